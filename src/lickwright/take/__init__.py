"""Floor 6: a recording turned back into notes.

Nouns:

* :class:`GoingBack`: where the player stopped and went back.
* :class:`HeardNote`: one printed note and what was heard of it.
* :class:`NoteVerdict`: what became of a printed note.
* :class:`Take`: a take held against its score.
* :class:`TakeError`: a recording that cannot be read, or in which the example cannot be found.
"""

from __future__ import annotations

from lickwright.take.errors import TakeError
from lickwright.take.report import GoingBack, HeardNote, NoteVerdict, Take

__all__ = [
    "GoingBack",
    "HeardNote",
    "NoteVerdict",
    "Take",
    "TakeError",
]
