"""What may be played under one chord, and what does it cost to come from the one before?

Nouns:

* :class:`Candidate`: one way to play the lick's line under one chord.
* :class:`Pool`: all candidates of one chord that can be part of a best way.
* :class:`HandPlaces`: the places of one hand on one neck.
* :class:`Home`: what one chord's line is compared with.
* :class:`CarryCosts`: the terms, in tenths of a mm of hand travel (common practice, no source).
* :class:`Joins`: prices every join of a line on one instrument.
* :class:`PickedLine`: strokes and techniques of a line.
* :class:`PickingTask`: what is known of the picking before the strings are.
"""

from __future__ import annotations

from lickwright.changes.lines.candidates import (
    Candidate,
    Pool,
    cheapest_of_each,
    keep_cheapest,
    pool_of,
)
from lickwright.changes.lines.clarity import clarity_cost, clarity_of
from lickwright.changes.lines.hand_places import HandPlaces
from lickwright.changes.lines.home import Home, home_of
from lickwright.changes.lines.joins import CarryCosts, Joins, pick_code, place_codes
from lickwright.changes.lines.strokes import PickedLine, PickingTask, new_strokes_cost, stroke_book

__all__ = [
    "Candidate",
    "CarryCosts",
    "HandPlaces",
    "Home",
    "Joins",
    "PickedLine",
    "PickingTask",
    "Pool",
    "cheapest_of_each",
    "clarity_cost",
    "clarity_of",
    "home_of",
    "keep_cheapest",
    "new_strokes_cost",
    "pick_code",
    "place_codes",
    "pool_of",
    "stroke_book",
]
