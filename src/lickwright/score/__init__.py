"""Floor 4: one example, whole: the single thing that every medium is made from.

Nouns:

* :class:`Bar`: one bar; ``onset`` and ``length`` in quarter notes, a pickup shorter than its
  meter.
* :class:`ChordSpan`: a chord as it is printed and as the backing sounds it.
* :class:`Score`: one example, ready for every medium.
* :class:`Click`: one click of a count-in; ``accent`` marks the first beat of a bar.
* :class:`CountIn`: the clicks before the music and how long they take, in quarter notes.
"""

from __future__ import annotations

from lickwright.score.score import NO_CHORD, Bar, ChordSpan, Score, place_name
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
    "Bar",
    "ChordSpan",
    "Click",
    "CountIn",
    "Score",
    "check_tempo",
    "count_in",
    "place_name",
    "seconds",
]
