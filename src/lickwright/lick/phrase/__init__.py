"""How do shapes, a contour and a rhythm become a line?

Nouns:

* :class:`Approach`: the notes that lead to a target.
* :class:`ContourWay`: how one shape is played.
* :class:`Contour`: one way for each shape in turn.
* :class:`Joining`: how the shapes of a line become its path.
* :class:`PhraseValue`: how good a phrase a line is, and why.
* :class:`Landing`: on which tone and beat a line ends, and how long it is held.
* :class:`PartTask`: what is known of a part before it has a place.
* :class:`PartFilling`: what fills a part's time after its last note.
* :class:`PartPlan`: one part before it is in time; what its link takes from the model is filled
  in already.
"""

from __future__ import annotations

from lickwright.lick.phrase.composing import (
    AnyShape,
    Joining,
    Voices,
    compose,
    in_turn,
    line_note,
    phrase_path,
    places_of,
    plain_spelling,
)
from lickwright.lick.phrase.contour import Contour, ContourWay, parse_contour, turned_round
from lickwright.lick.phrase.easier import ends_of, plain, variations
from lickwright.lick.phrase.joining import Approach, parse_approach, parse_cells
from lickwright.lick.phrase.judging import (
    PhraseValue,
    beat_counts,
    landing_counts,
    line_counts,
    on_beats,
    phrase_value,
    points_of,
)
from lickwright.lick.phrase.landed import displaced, land, landing_of, landing_place
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
    "Approach",
    "Contour",
    "ContourWay",
    "Home",
    "Joining",
    "Landing",
    "PartFilling",
    "PartPlan",
    "PartTask",
    "PhraseValue",
    "Shapes",
    "Voices",
    "beat_counts",
    "chord_degree",
    "compose",
    "displaced",
    "ends_of",
    "guide_tones",
    "in_turn",
    "join_parts",
    "land",
    "landing_beat",
    "landing_counts",
    "landing_length",
    "landing_of",
    "landing_place",
    "landing_tones",
    "line_counts",
    "line_note",
    "on_beats",
    "parse_approach",
    "parse_cells",
    "parse_contour",
    "parse_landing",
    "phrase_path",
    "phrase_value",
    "place_parts",
    "places_of",
    "plain",
    "plain_spelling",
    "points_of",
    "turned_round",
    "variations",
]
