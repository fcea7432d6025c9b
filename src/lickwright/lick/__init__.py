"""Floor 2: what the hands play and when.

Nouns:

* :class:`Stroke`: a stroke of the picking hand.
* :class:`Technique`: how the note starts.
* :class:`LickNote`: one note.
* :class:`Tuplet`: a stretch of time in which ``actual`` equal values fill the room of ``normal``.
* :class:`Part`: one part of a lick.
* :class:`PartLink`: what a part of a lick does with an earlier part;
  :mod:`lickwright.lick.phrase.parts` defines it.
* :class:`Lick`: a monophonic line on one instrument; notes ascend in time and never overlap.
"""

from __future__ import annotations

from lickwright.lick.notes import Lick, LickNote, Part, PartLink, Stroke, Technique, Tuplet

__all__ = [
    "Lick",
    "LickNote",
    "Part",
    "PartLink",
    "Stroke",
    "Technique",
    "Tuplet",
]
