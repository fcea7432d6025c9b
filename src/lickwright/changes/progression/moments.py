"""Where in the music is a moment, as players say it: which bar, which beat?"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from lickwright.changes.progression.chart import Changes
from lickwright.lick.rhythm import felt_beats


@dataclass(frozen=True, slots=True, order=True)
class BarBeat:
    """A bar, as it is played, and a beat of it, both from 1."""

    bar: int
    beat: int

    def __str__(self) -> str:
        return f"bar {self.bar}, beat {self.beat}"


def bar_and_beat(changes: Changes, moment: Fraction) -> BarBeat:
    """The bar and the beat in which a moment lies; what lies after the end is in the last.

    Parameters
    ----------
    moment : quarter notes from the first bar line.

    Examples
    --------
    >>> from lickwright.changes.progression import parse_changes
    >>> str(bar_and_beat(parse_changes("C | (3/4) F | G"), Fraction(8)))
    'bar 3, beat 2'
    """
    bar = next((bar for bar in reversed(changes.bars) if bar.onset <= moment), changes.bars[0])
    now, number = bar.onset, 0
    for length in felt_beats(bar.beats, bar.unit):
        if now > moment:
            break
        number += 1
        now += length
    return BarBeat(bar.number, max(number, 1))
