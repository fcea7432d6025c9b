"""Where do lessons and licks lie, and how do they come and go?

Nouns:

* :class:`Shelf`: an open shelf; use it in a ``with`` statement, or :meth:`close` it.
"""

from __future__ import annotations

from lickwright.shelf.store import tables
from lickwright.shelf.store.backup import back_up, put_back
from lickwright.shelf.store.export import export_file, import_file
from lickwright.shelf.store.keeping import (
    keep_lesson,
    keep_lick,
    remove_lesson,
    remove_lick,
    same_lesson,
)
from lickwright.shelf.store.soundness import verify
from lickwright.shelf.store.store import Shelf, address_of
from lickwright.shelf.store.text_index import holding

__all__ = [
    "Shelf",
    "address_of",
    "back_up",
    "export_file",
    "holding",
    "import_file",
    "keep_lesson",
    "keep_lick",
    "put_back",
    "remove_lesson",
    "remove_lick",
    "same_lesson",
    "tables",
    "verify",
]
