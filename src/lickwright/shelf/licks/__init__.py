"""What is known of a lick on the shelf?

Nouns:

* :class:`ChordFact`: one chord that some bars of a lick imply.
* :class:`LickFacts`: what a lick is found by.
* :class:`ShelvedLick`: one lick to keep: its Score, and what it is found by.
* :class:`ShelvedLesson`: a lesson to keep: what its file says, word for word, and its examples in
  order.
* :class:`LessonCard`: a lesson of the shelf, in short.
* :class:`LickCard`: a lick of the shelf, in short.
"""

from __future__ import annotations

from lickwright.shelf.licks.as_example import example_text, meter_of
from lickwright.shelf.licks.facts import TECHNIQUES, ChordFact, LickFacts
from lickwright.shelf.licks.families import FAMILIES
from lickwright.shelf.licks.index_marks import (
    chord_mark,
    family_mark,
    key_mark,
    marks_of,
    technique_mark,
    triad_mark,
    tuning_mark,
)
from lickwright.shelf.licks.scores import score_data, score_from, score_from_json, score_json
from lickwright.shelf.licks.shelved import (
    LessonCard,
    LickCard,
    ShelvedLesson,
    ShelvedLick,
    score_digest,
)
from lickwright.shelf.licks.shelving import MUSICXML_ENDINGS, shelved_lesson, shelved_musicxml

__all__ = [
    "FAMILIES",
    "MUSICXML_ENDINGS",
    "TECHNIQUES",
    "ChordFact",
    "LessonCard",
    "LickCard",
    "LickFacts",
    "ShelvedLesson",
    "ShelvedLick",
    "chord_mark",
    "example_text",
    "family_mark",
    "key_mark",
    "marks_of",
    "meter_of",
    "score_data",
    "score_digest",
    "score_from",
    "score_from_json",
    "score_json",
    "shelved_lesson",
    "shelved_musicxml",
    "technique_mark",
    "triad_mark",
    "tuning_mark",
]
