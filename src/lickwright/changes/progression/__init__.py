"""Which chords does a progression hold, and what does each do in its key?

Nouns:

* :class:`ChordRole`: what one chord does.
* :class:`PlacedChord`: a chord in time: in which played bar it begins, how long it lasts, in
  which key.
* :class:`BarBeat`: where a moment stands: the number of its bar and of its beat.
* :class:`Changes`: a progression: as it is written, and as it is played with its repeats
  unfolded.
"""

from __future__ import annotations

from lickwright.changes.progression.analysis import ChordRole, analyse, scale_of_the_moment
from lickwright.changes.progression.chart import (
    Changes,
    PlacedChord,
    Stretch,
    held_on,
    parse_changes,
    parse_time,
)
from lickwright.changes.progression.keys import in_inferred_keys, infer_keys, pivot_before
from lickwright.changes.progression.moments import BarBeat, bar_and_beat
from lickwright.changes.progression.scales import offered_scales

__all__ = [
    "BarBeat",
    "Changes",
    "ChordRole",
    "PlacedChord",
    "Stretch",
    "analyse",
    "bar_and_beat",
    "held_on",
    "in_inferred_keys",
    "infer_keys",
    "offered_scales",
    "parse_changes",
    "parse_time",
    "pivot_before",
    "scale_of_the_moment",
]
