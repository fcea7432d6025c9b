"""Floor 2: what the hands play and when.

Nouns:

* :class:`Stroke`: a stroke of the picking hand.
* :class:`Technique`: how the note starts.
* :class:`Marks`: what a note bears: vibrato, mutes; passed whole.
* :class:`Belonging`: what a note belongs to: its part, and all triads that hold it.
* :class:`LickNote`: one note.
* :class:`Tuplet`: a stretch of time in which ``actual`` equal values fill the room of ``normal``.
* :class:`Part`: one part of a lick.
* :class:`PartLink`: what a part of a lick does with an earlier part;
  :mod:`lickwright.lick.phrase.parts` defines it.
* :class:`Part`: one part of a lick.
* :class:`Lick`: a monophonic line on one instrument; notes ascend in time and never overlap.
"""

from __future__ import annotations

from lickwright.lick.notes import (
    PLAIN,
    Belonging,
    Lick,
    LickNote,
    Marks,
    Part,
    PartLink,
    Stroke,
    Technique,
    Tuplet,
)

__all__ = [
    "PLAIN",
    "Belonging",
    "Lick",
    "LickNote",
    "Marks",
    "Part",
    "PartLink",
    "Stroke",
    "Technique",
    "Tuplet",
]
