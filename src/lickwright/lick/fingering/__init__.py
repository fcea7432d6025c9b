"""Which finger stops each note, and why?

Nouns:

* :class:`FingeredNote`: a note with the finger that stops it.
* :class:`Fingering`: a whole line fingered.
* :class:`Held`: fingers on notes: arrays that broadcast against each other.
* :class:`Trellis`: columns of states with the costs of being in one and of going to the next.
* :class:`NoteCosts`: what one note costs the left hand.
* :class:`Pin`: what the teacher has settled for one note; ``None`` leaves it open.
* :class:`Moment`: notes that start together.
* :class:`FingeringTrellis`: all states of the hand along a line.
* :class:`Repeat`: a stretch of moments that does again what an earlier one did.
* :class:`HandWeights`: what weighs how much for one player.
* :class:`HandTask`: one line for one left hand; without techniques every note is picked.
"""

from __future__ import annotations

from lickwright.lick.fingering.costs import (
    grip_terms,
    hand_tables,
    haste,
    moment_terms,
    out_of_reach,
)
from lickwright.lick.fingering.figures import Repeat, find_repeats
from lickwright.lick.fingering.fingers import (
    FingeredNote,
    Fingering,
    assign_fingers,
    best_fingerings,
    line_repeats,
)
from lickwright.lick.fingering.grips import find_grips
from lickwright.lick.fingering.hand_states import Array, Flags, Held, hold
from lickwright.lick.fingering.paths import Trellis, blocked_at, cheapest, gentlest
from lickwright.lick.fingering.reasons import NoteCosts, explain_fingers, price_fingers
from lickwright.lick.fingering.task import HandTask, Moment, Onset, Pin, Place, read_task
from lickwright.lick.fingering.ties import tie, tied_paths
from lickwright.lick.fingering.trellis import FingeringTrellis, fingering_trellis
from lickwright.lick.fingering.weights import (
    IMPOSSIBLE,
    OPEN_STRING,
    STRING_SKIP,
    UNHURRIED_S,
    UP_THE_NECK,
    HandWeights,
    weights_of,
)

__all__ = [
    "IMPOSSIBLE",
    "OPEN_STRING",
    "STRING_SKIP",
    "UNHURRIED_S",
    "UP_THE_NECK",
    "Array",
    "FingeredNote",
    "Fingering",
    "FingeringTrellis",
    "Flags",
    "HandTask",
    "HandWeights",
    "Held",
    "Moment",
    "NoteCosts",
    "Onset",
    "Pin",
    "Place",
    "Repeat",
    "Trellis",
    "assign_fingers",
    "best_fingerings",
    "blocked_at",
    "cheapest",
    "explain_fingers",
    "find_grips",
    "find_repeats",
    "fingering_trellis",
    "gentlest",
    "grip_terms",
    "hand_tables",
    "haste",
    "hold",
    "line_repeats",
    "moment_terms",
    "out_of_reach",
    "price_fingers",
    "read_task",
    "tie",
    "tied_paths",
    "weights_of",
]
