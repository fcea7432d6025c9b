"""How does a lick go through a progression?

Nouns:

* :class:`Carried`: a lick over changes.
* :class:`CarryPin`: what the teacher has settled for the chords that begin in a bar; ``None``
  leaves it open.
* :class:`CarryWish`: what else the teacher says, of one bar or of the whole line.
"""

from __future__ import annotations

from lickwright.changes.carry.carrying import Carried, carry, carry_ways
from lickwright.changes.carry.filling import fill_chords
from lickwright.changes.carry.task import CarryPin
from lickwright.changes.carry.wishes import NO_WISH, CarryWish

__all__ = [
    "NO_WISH",
    "Carried",
    "CarryPin",
    "CarryWish",
    "carry",
    "carry_ways",
    "fill_chords",
]
