"""What do both hands do in a line, how hard is it, and how is it learnt?

Nouns:

* :class:`Playability`: what a lick asks of two hands at a tempo; note indexes count from 0.
* :class:`InPosition`: a line in one position.
* :class:`PracticeStep`: one thing to do.
"""

from __future__ import annotations

from lickwright.lick.hands.difficulty import Playability, playability
from lickwright.lick.hands.finishing import fingered_notes, finish
from lickwright.lick.hands.mirrored import part_strokes
from lickwright.lick.hands.positions import InPosition, in_positions
from lickwright.lick.hands.practice import PracticeStep, minutes, practice_plan, tempo_rungs
from lickwright.lick.hands.reach import check_reach

__all__ = [
    "InPosition",
    "Playability",
    "PracticeStep",
    "check_reach",
    "fingered_notes",
    "finish",
    "in_positions",
    "minutes",
    "part_strokes",
    "playability",
    "practice_plan",
    "tempo_rungs",
]
