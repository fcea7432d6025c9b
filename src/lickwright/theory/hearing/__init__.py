"""What chord do some notes imply over a bass, and how surely?

Nouns:

* :class:`ClaimVerdict`: what the notes say to a claimed chord.
* :class:`Reading`: one way to hear some notes over a bass.
* :class:`LineTone`: a note of a line, in time.
* :class:`Ornament`: a note of a line that leads to another.
* :class:`Sounding`: pitch classes that sound together, the bass among them.
* :class:`Heard`: one way to hear a mask over its bass.
* :class:`OverChord`: what some notes say over a chord that the band sounds.
* :class:`Rub`: a note that the band's chord does not carry.
"""

from __future__ import annotations

from lickwright.theory.hearing.claim import TRUSTED, ClaimVerdict, judge, judge_line
from lickwright.theory.hearing.implied import Reading, implied_chords, readings_of, spelled_reading
from lickwright.theory.hearing.line import (
    LineTone,
    Ornament,
    even_line,
    harmony_of,
    ornaments,
    weights_of,
)
from lickwright.theory.hearing.naming import TENSIONS
from lickwright.theory.hearing.naming_table import name_over, names_over
from lickwright.theory.hearing.over_chord import OverChord, Rub, heard_over, sum_over
from lickwright.theory.hearing.plain_name import STYLES, Style, written_name
from lickwright.theory.hearing.sounding import NoteLike, Notes, Sounding, read_sounding
from lickwright.theory.hearing.strength import Heard, hear

__all__ = [
    "STYLES",
    "TENSIONS",
    "TRUSTED",
    "ClaimVerdict",
    "Heard",
    "LineTone",
    "NoteLike",
    "Notes",
    "Ornament",
    "OverChord",
    "Reading",
    "Rub",
    "Sounding",
    "Style",
    "even_line",
    "harmony_of",
    "hear",
    "heard_over",
    "implied_chords",
    "judge",
    "judge_line",
    "name_over",
    "names_over",
    "ornaments",
    "read_sounding",
    "readings_of",
    "spelled_reading",
    "sum_over",
    "weights_of",
    "written_name",
]
