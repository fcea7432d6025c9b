"""How do shapes, a contour and a rhythm become a line?

Nouns:

* :class:`ContourWay`: how one shape is played.
* :class:`Contour`: one way for each shape in turn.
* :class:`Landing`: on which tone and beat a line ends, and how long it is held.
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
    plain_spelling,
)
from lickwright.lick.phrase.contour import Contour, ContourWay, parse_contour, turned_round
from lickwright.lick.phrase.easier import variations
from lickwright.lick.phrase.landing import (
    Landing,
    chord_degree,
    guide_tones,
    landing_beat,
    landing_length,
    landing_tones,
    parse_landing,
)
from lickwright.lick.phrase.part_places import PartTask, Shapes, place_parts
from lickwright.lick.phrase.parts import Home, PartFilling, PartPlan, join_parts

__all__ = [
    "AnyShape",
    "Contour",
    "ContourWay",
    "Home",
    "Landing",
    "PartFilling",
    "PartPlan",
    "PartTask",
    "Shapes",
    "Voices",
    "chord_degree",
    "compose",
    "guide_tones",
    "in_turn",
    "join_parts",
    "landing_beat",
    "landing_length",
    "landing_tones",
    "line_note",
    "parse_contour",
    "parse_landing",
    "place_parts",
    "plain_spelling",
    "turned_round",
    "variations",
]
