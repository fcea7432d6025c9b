"""When does each note start and end, and how is that written in a line of text?

Nouns:

* :class:`RhythmValue`: a written note value or rest; ``tied`` means it is held into the value that
  follows.
* :class:`TupletGroup`: ``actual`` equal values in the time of ``normal``, some of them joined or
  divided.
* :class:`BarMark`: a bar line the writer expects here.
* :class:`Rhythm`: a cycle of values, written as shortly as it can be: ``e e`` is the same rhythm
  as ``e``.
* :class:`Ending`: how far the last note is held.
* :class:`Meter`: where the bar lines and the beats are.
* :class:`LaidOut`: notes in time: ``spans`` holds (onset, duration); ``length`` reaches the last
  bar line.
"""

from __future__ import annotations

from lickwright.lick.rhythm.beats import bar_length, felt_beats
from lickwright.lick.rhythm.reading import (
    USUAL_NORMAL,
    VALUES,
    BarMark,
    Item,
    Rhythm,
    RhythmValue,
    TupletGroup,
    cycle_of,
    parse_rhythm,
)
from lickwright.lick.rhythm.timing import (
    COMMON_TIME,
    Ending,
    LaidOut,
    Meter,
    attacks_within,
    lay_out,
    written_end,
)
from lickwright.lick.rhythm.writing import rhythm_of

__all__ = [
    "COMMON_TIME",
    "USUAL_NORMAL",
    "VALUES",
    "BarMark",
    "Ending",
    "Item",
    "LaidOut",
    "Meter",
    "Rhythm",
    "RhythmValue",
    "TupletGroup",
    "attacks_within",
    "bar_length",
    "cycle_of",
    "felt_beats",
    "lay_out",
    "parse_rhythm",
    "rhythm_of",
    "written_end",
]
