"""What may be played under one chord, and what does it cost to come from the one before?

Nouns:

* :class:`Bounds`: what the notes of a line must hold to.
* :class:`Candidate`: one way to play the lick's line under one chord.
* :class:`Pool`: all candidates of one chord that can be part of a best way.
* :class:`HandPlaces`: the places of one hand on one neck.
* :class:`Home`: what one chord's line is compared with.
* :class:`ChordGround`: what any line over one chord goes by.
* :class:`CarryCosts`: the terms, in tenths of a mm of hand travel (common practice, no source).
* :class:`Joins`: prices every join of a line on one instrument.
* :class:`PickedLine`: strokes and techniques of a line.
* :class:`PickingTask`: what is known of the picking before the strings are.
"""

from __future__ import annotations

from lickwright.changes.lines.candidates import (
    TURNED,
    Candidate,
    Pool,
    cheapest_of_each,
    keep_cheapest,
    pool_of,
    turn_of,
)
from lickwright.changes.lines.clarity import clarity_cost, clarity_of, standing_of
from lickwright.changes.lines.ground import ChordGround
from lickwright.changes.lines.hand_places import HandPlaces
from lickwright.changes.lines.home import (
    FREE,
    HIGH_FRET,
    LOW_STRING,
    NEAR,
    Bounds,
    Home,
    home_of,
)
from lickwright.changes.lines.joins import (
    FURTHEST_STEP,
    CarryCosts,
    Joins,
    RunEnd,
    pick_code,
    place_codes,
    turn_code,
)
from lickwright.changes.lines.strokes import PickedLine, PickingTask, new_strokes_cost, stroke_book

__all__ = [
    "FREE",
    "FURTHEST_STEP",
    "HIGH_FRET",
    "LOW_STRING",
    "NEAR",
    "TURNED",
    "Bounds",
    "Candidate",
    "CarryCosts",
    "ChordGround",
    "HandPlaces",
    "Home",
    "Joins",
    "PickedLine",
    "PickingTask",
    "Pool",
    "RunEnd",
    "cheapest_of_each",
    "clarity_cost",
    "clarity_of",
    "home_of",
    "keep_cheapest",
    "new_strokes_cost",
    "pick_code",
    "place_codes",
    "pool_of",
    "standing_of",
    "stroke_book",
    "turn_code",
    "turn_of",
]
