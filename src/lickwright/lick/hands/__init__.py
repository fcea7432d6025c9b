"""What do both hands do in a line, how hard is it, and how is it learnt?

Nouns:

* :class:`Playability`: what a lick asks of two hands at a tempo; note indexes count from 0.
* :class:`InPosition`: a line in one position.
* :class:`PracticeStep`: one thing to do.
* :class:`Player`: whose hands they are; :class:`HandSpeeds`: how fast.
"""

from __future__ import annotations

from lickwright.lick.hands.difficulty import Playability, playability
from lickwright.lick.hands.finishing import fingered_notes, finish
from lickwright.lick.hands.mirrored import part_strokes
from lickwright.lick.hands.player import FASTEST_HZ, LEVELS, SLOWEST_HZ, Player, read_player
from lickwright.lick.hands.positions import InPosition, in_positions
from lickwright.lick.hands.practice import PracticeStep, minutes, practice_plan, tempo_rungs
from lickwright.lick.hands.reach import check_reach
from lickwright.lick.hands.tempo import HandSpeeds

__all__ = [
    "FASTEST_HZ",
    "LEVELS",
    "SLOWEST_HZ",
    "HandSpeeds",
    "InPosition",
    "Playability",
    "Player",
    "PracticeStep",
    "check_reach",
    "fingered_notes",
    "finish",
    "in_positions",
    "minutes",
    "part_strokes",
    "playability",
    "practice_plan",
    "read_player",
    "tempo_rungs",
]
