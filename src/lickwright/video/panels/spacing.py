"""Where on the screen does each moment of the tab stand?

The tab is cut into *pages* that stand still while a playhead moves over them: still figures are
read more easily than moving ones.  Where the music needs more than one page, two stand side by
side and take turns: while one is played, the other already shows what follows.  Pages are cut at
bar lines, or at beats where a bar is too wide.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Collection, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from lickwright.score import Bar, Score

#: From one moment of the score to another, in quarter notes.
Stretch = tuple[Fraction, Fraction]

#: A longer note gets more room, but less than its share of time (engravers' practice).
_STRETCH = 0.6
#: The part of a column that stands before a page's first note, and after its last.
_BEFORE = 0.75
_AFTER = 0.35
#: What a bar line inside a page takes, in columns.
_BAR_LINE = 0.5


@dataclass(frozen=True, slots=True)
class Page:
    """A stretch of tab.

    Parameters
    ----------
    onset, end : quarter notes.
    times, xs : the moments that have a column and where it stands, in px from the left; the last
        is the end of the page.
    """

    onset: Fraction
    end: Fraction
    times: tuple[Fraction, ...]
    xs: tuple[float, ...]

    def x(self, time: Fraction | float) -> float:
        """Where a moment stands; evenly between two columns."""
        last = len(self.times) - 2
        index = min(max(bisect_right(self.times, time) - 1, 0), last)
        begin, end = self.times[index], self.times[index + 1]
        share = min(max(float((time - begin) / (end - begin)), 0.0), 1.0)
        return self.xs[index] + share * (self.xs[index + 1] - self.xs[index])


def pages_of(score: Score, width: float, column: float) -> tuple[Page, ...]:
    """The pages of a score.

    Parameters
    ----------
    width : of the whole tab in px; one page fills it, two share it.
    column : the least width in px between two notes.
    """
    moments, bars = _moments(score), frozenset(bar.onset for bar in score.bars)
    whole = (Fraction(0), score.length)
    if _need(moments, bars, whole) * column <= width:
        return (_page(moments, bars, whole, width, column),)
    half = width / 2
    stretches: list[Stretch] = []
    for bar in score.bars:
        joined = (stretches[-1][0], bar.end) if stretches else None
        if joined and joined[0] in bars and _need(moments, bars, joined) * column <= half:
            stretches[-1] = joined
        else:
            stretches.extend(_parts(bar, moments, half / column))
    return tuple(_page(moments, bars, stretch, half, column) for stretch in stretches)


def _moments(score: Score) -> tuple[Fraction, ...]:
    """Every moment at which something begins: notes, rests, bars."""
    found = {bar.onset for bar in score.bars} | {score.length}
    for note in score.lick.notes:
        found |= {note.onset, note.end}
    return tuple(sorted(time for time in found if 0 <= time <= score.length))


def _inside(moments: Sequence[Fraction], stretch: Stretch) -> list[Fraction]:
    onset, end = stretch
    first, last = bisect_right(moments, onset), bisect_left(moments, end)
    return [onset, *moments[first:last], end]


def _need(moments: Sequence[Fraction], bars: Collection[Fraction], stretch: Stretch) -> float:
    """How many columns a stretch takes at least."""
    times = _inside(moments, stretch)
    bar_lines = sum(time in bars for time in times[1:-1])
    return len(times) - 1 + _BEFORE + _AFTER + _BAR_LINE * bar_lines


def _parts(bar: Bar, moments: Sequence[Fraction], columns: float) -> list[Stretch]:
    """A bar in as few equal groups of beats as fit; beats that do not fit are squeezed."""
    starts = [onset for onset, _ in bar.felt_beats] or [bar.onset]
    starts[0] = bar.onset
    stretches: list[Stretch] = []
    for count in range(1, len(starts) + 1):
        size = -(-len(starts) // count)
        cuts = [*starts[::size], bar.end]
        stretches = list(pairwise(cuts))
        if all(_need(moments, (), stretch) <= columns for stretch in stretches):
            break
    return stretches


def _page(
    moments: Sequence[Fraction],
    bars: Collection[Fraction],
    stretch: Stretch,
    width: float,
    column: float,
) -> Page:
    times = _inside(moments, stretch)
    need = _need(moments, bars, stretch)
    least = min(column, width / need)
    spare = width - need * least
    weights = [float(end - begin) ** _STRETCH for begin, end in pairwise(times)]
    xs = [_BEFORE * least]
    for time, weight in zip(times[1:], weights, strict=True):
        bar_line = _BAR_LINE if time in bars and time < stretch[1] else 0.0
        xs.append(xs[-1] + (1.0 + bar_line) * least + spare * weight / sum(weights))
    return Page(stretch[0], stretch[1], tuple(times), tuple(xs))
