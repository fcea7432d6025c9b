"""How do shapes, a contour and a rhythm become a line?

Nouns:

* :class:`ContourWay`: how one shape is played.
* :class:`Contour`: one way for each shape in turn.
* :class:`PartTask`: what is known of a part before it has a place.
* :class:`PartFilling`: what fills a part's time after its last note.
* :class:`PartPlan`: one part before it is in time; what its link takes from the model is filled
  in already.
"""

from __future__ import annotations

from lickwright.lick.phrase.composing import (
    AnyShape,
    Voices,
    compose,
    in_turn,
    line_note,
    places_of,
    plain_spelling,
)
from lickwright.lick.phrase.contour import Contour, ContourWay, parse_contour, turned_round
from lickwright.lick.phrase.easier import ends_of, plain, variations
from lickwright.lick.phrase.part_places import PartTask, Shapes, place_parts
from lickwright.lick.phrase.parts import Home, PartFilling, PartPlan, join_parts

__all__ = [
    "AnyShape",
    "Contour",
    "ContourWay",
    "Home",
    "PartFilling",
    "PartPlan",
    "PartTask",
    "Shapes",
    "Voices",
    "compose",
    "ends_of",
    "in_turn",
    "join_parts",
    "line_note",
    "parse_contour",
    "place_parts",
    "places_of",
    "plain",
    "plain_spelling",
    "turned_round",
    "variations",
]
