"""Floor 8: finished lessons and licks, kept, searched and compared.

Nouns:

* :class:`Coverage`: how many licks lie in each place of the table; places without any are left
  out.
* :class:`Near`: a lick of the shelf, and how it is like the one that was asked about.
* :class:`LickSearch`: what is looked for; ``None`` and empty do not matter.
"""

from __future__ import annotations

from lickwright.shelf.errors import ShelfError
from lickwright.shelf.gaps import EXAMPLES, PICKING, Coverage, coverage
from lickwright.shelf.neighbours import Near, near, near_lick, own_licks
from lickwright.shelf.searching import LickSearch, find, lessons, lick_card

__all__ = [
    "EXAMPLES",
    "PICKING",
    "Coverage",
    "LickSearch",
    "Near",
    "ShelfError",
    "coverage",
    "find",
    "lessons",
    "lick_card",
    "near",
    "near_lick",
    "own_licks",
]
