"""Floor 4: one example, whole: the single thing that every medium is made from.

Nouns:

* :class:`Bar`: one bar; ``onset`` and ``length`` in quarter notes, a pickup shorter than its
  meter.
* :class:`ChordSpan`: a chord as it is printed and as the backing sounds it.
* :class:`Score`: one example, ready for every medium.
* :class:`Click`: one click of a count-in; ``accent`` marks the first beat of a bar.
* :class:`CountIn`: the clicks before the music and how long they take, in quarter notes.
* :class:`Swing`: how written pairs are played.
* :class:`PlayedTime`: written moments as they are played, in quarter notes from the first bar line.
"""

from __future__ import annotations

from lickwright.score.played import PlayedTime, played_time
from lickwright.score.score import NO_CHORD, Bar, ChordSpan, Score, place_name
from lickwright.score.swing import STRAIGHT, Swing, parse_swing
from lickwright.score.timeline import (
    SAMPLE_RATE,
    Click,
    CountIn,
    check_tempo,
    count_in,
    seconds,
)

__all__ = [
    "NO_CHORD",
    "SAMPLE_RATE",
    "STRAIGHT",
    "Bar",
    "ChordSpan",
    "Click",
    "CountIn",
    "PlayedTime",
    "Score",
    "Swing",
    "check_tempo",
    "count_in",
    "parse_swing",
    "place_name",
    "played_time",
    "seconds",
]
