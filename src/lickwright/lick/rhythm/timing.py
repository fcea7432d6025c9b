"""When does each note of a line start and end, given its rhythm?

Onsets and lengths are exact fractions of a quarter note from the start of the lick.  A note may
cross a bar line (the page ties it); a tuplet may not, so a tuplet that would is written as the
tuplets of the same ratio that fill the room on either side.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction
from itertools import accumulate, cycle
from typing import Self

from lickwright.errors import RhythmError
from lickwright.lick.notes import Tuplet
from lickwright.lick.rhythm.beats import bar_length, felt_beats
from lickwright.lick.rhythm.reading import BarMark, Rhythm, RhythmValue, TupletGroup

_SHORTEST_UNIT = Fraction(1, 32)  # a 128th note, in quarter notes


class Ending(StrEnum):
    """How far the last note is held."""

    WRITTEN = "written"
    BEAT = "beat"
    BAR = "bar"


@dataclass(frozen=True, slots=True)
class Meter:
    """Where the bar lines and the beats are.

    Parameters
    ----------
    bar : length of a bar.
    pickup : length of the short bar before the first, or 0.
    beat : length of a beat, where all are equal.
    beats : lengths of a bar's beats in turn, where they differ (7/8 felt as 2+2+3).
    """

    bar: Fraction = Fraction(4)
    pickup: Fraction = Fraction(0)
    beat: Fraction = Fraction(1)
    beats: tuple[Fraction, ...] = ()

    @classmethod
    def of(cls, beats: int, unit: int, pickup: Fraction | int = 0) -> Self:
        """The meter of a time signature, after a ``pickup`` of so many quarter notes.

        >>> Meter.of(6, 8).beats
        (Fraction(3, 2), Fraction(3, 2))
        """
        felt = felt_beats(beats, unit)
        return cls(bar_length(beats, unit), Fraction(pickup), felt[0], felt)

    def bar_end(self, moment: Fraction) -> Fraction:
        """The first bar line at or after ``moment``."""
        if moment <= self.pickup and self.pickup > 0:
            return self.pickup
        bars = -((self.pickup - moment) // self.bar)
        return self.pickup + max(bars, 0) * self.bar

    def bar_line_after(self, moment: Fraction) -> Fraction:
        """The first bar line later than ``moment``."""
        if moment < self.pickup:
            return self.pickup
        return self.pickup + ((moment - self.pickup) // self.bar + 1) * self.bar

    def bar_of(self, moment: Fraction) -> int:
        """Which bar a moment lies in, counted from 0; a pickup is a bar."""
        if moment < self.pickup:
            return 0
        return int((moment - self.pickup) // self.bar) + (1 if self.pickup else 0)

    def in_bar(self, moment: Fraction) -> Fraction:
        """How far into its bar a moment is; a pickup counts as the end of a full bar."""
        return (moment - self.pickup) % self.bar

    def seen_from(self, moment: Fraction) -> Meter:
        """The same bar lines and beats for what begins at ``moment``: its time starts from 0."""
        past = self.in_bar(moment)
        return replace(self, pickup=self.bar - past if past else Fraction(0))

    @property
    def beat_starts(self) -> tuple[Fraction, ...]:
        """Where in a bar its beats begin."""
        beats = self.beats or (self.beat,) * int(-(-self.bar // self.beat))
        return (Fraction(0), *accumulate(beats[:-1]))

    def on_beat(self, moment: Fraction) -> bool:
        """Whether a beat begins at a moment."""
        return self.in_bar(moment) in self.beat_starts

    def beat_end(self, moment: Fraction) -> Fraction:
        """The first beat at or after ``moment``."""
        place = self.in_bar(moment)
        later = (start for start in (*self.beat_starts, self.bar) if start >= place)
        return moment + next(later) - place

    def is_strong(self, moment: Fraction) -> bool:
        """On the first beat, or on the middle one of four or more beats of even number."""
        starts = self.beat_starts
        even = len(starts) >= 4 and len(starts) % 2 == 0
        strong = {starts[0], starts[len(starts) // 2]} if even else {starts[0]}
        return self.in_bar(moment) in strong


@dataclass(frozen=True, slots=True)
class LaidOut:
    """Notes in time: ``spans`` holds (onset, duration); ``length`` reaches the last bar line."""

    spans: tuple[tuple[Fraction, Fraction], ...]
    tuplets: tuple[Tuplet, ...]
    length: Fraction


COMMON_TIME = Meter()


def lay_out(
    rhythm: Rhythm,
    count: int,
    *,
    meter: Meter = COMMON_TIME,
    ending: Ending | str = Ending.WRITTEN,
    limit: Fraction | None = None,
) -> LaidOut:
    """Give ``count`` notes their places in time, playing the cycle as often as needed.

    Parameters
    ----------
    rhythm : the cycle.
    count : how many notes there are.
    meter : where the bar lines fall.
    ending : how far the last note is held.
    limit : quarter notes from the first bar line: nothing sounds beyond it, and every note must
        start before it.

    Returns
    -------
    LaidOut
        Onsets and durations in quarter notes, the tuplets, and the end of the last bar.

    Raises
    ------
    RhythmError
        Where a bar mark is not on a bar line, or a tuplet crosses one at an unwritable place.

    Examples
    --------
    >>> from lickwright.lick.rhythm.reading import parse_rhythm
    >>> laid = lay_out(parse_rhythm("q e e"), 4, ending="bar")
    >>> [(str(onset), str(length)) for onset, length in laid.spans]
    [('0', '1'), ('1', '1/2'), ('3/2', '1/2'), ('2', '2')]
    """
    spans: list[tuple[Fraction, Fraction]] = []
    tuplets: list[Tuplet] = []
    for onset, length, tuplet in _play(rhythm, meter):
        if tuplet is not None:
            tuplets += _within_bars(tuplet, meter)
        elif onset is None:
            spans[-1] = (spans[-1][0], spans[-1][1] + length)
        elif len(spans) == count:
            break
        else:
            spans.append((onset, length))
    end = Fraction(0)
    if spans:
        end = sum(spans[-1], end)
        tuplets = [tuplet for tuplet in tuplets if tuplet.onset < end]
        held = {
            Ending.WRITTEN: end,
            Ending.BEAT: meter.beat_end(end),
            Ending.BAR: meter.bar_end(end),
        }[Ending(ending)]
        end = held if limit is None else min(held, limit)
        spans[-1] = (spans[-1][0], end - spans[-1][0])
        tuplets = [tuplet for tuplet in tuplets if tuplet.onset < end]
    end = max([end, *(tuplet.onset + tuplet.length for tuplet in tuplets[-1:])])
    return LaidOut(tuple(spans), tuple(tuplets), meter.bar_end(end))


def attacks_within(rhythm: Rhythm, length: Fraction, *, meter: Meter = COMMON_TIME) -> int:
    """How many notes start before ``length`` quarter notes have passed.

    Parameters
    ----------
    rhythm : the cycle that is played, as often as needed.
    length : quarter notes from the first bar line.
    meter : where the bar lines fall.

    Returns
    -------
    int
        A note that starts right at ``length`` is not counted.

    Raises
    ------
    RhythmError
        Where a bar mark is not on a bar line, or a tuplet crosses one at an unwritable place.

    Examples
    --------
    >>> from lickwright.lick.rhythm.reading import parse_rhythm
    >>> attacks_within(parse_rhythm("16ths"), Fraction(4))
    16
    >>> attacks_within(parse_rhythm("q. e"), Fraction(4))
    4
    """
    count = 0
    for onset, _, tuplet in _play(rhythm, meter):
        if onset is not None and tuplet is None:
            if onset >= length:
                break
            count += 1
    return count


def written_end(rhythm: Rhythm, count: int, *, meter: Meter = COMMON_TIME) -> Fraction:
    """When ``count`` notes of a rhythm are over, rests written after the last one included.

    Rests count to the next note or to the end of the rhythm's cycle, whichever comes first; a
    tuplet that has begun is counted whole.

    Parameters
    ----------
    rhythm : the cycle.
    count : how many notes are played.
    meter : where the bar lines fall.

    Returns
    -------
    Fraction
        In quarter notes from the first bar line.

    Raises
    ------
    RhythmError
        Where a bar mark is not on a bar line, or a tuplet crosses one at an unwritable place.

    Examples
    --------
    >>> from lickwright.lick.rhythm.reading import parse_rhythm
    >>> str(written_end(parse_rhythm("q e re"), 2))
    '2'
    >>> str(written_end(parse_rhythm("q e re"), 3))
    '3'
    """
    laid = lay_out(rhythm, count, meter=meter)
    end = sum(laid.spans[-1], Fraction(0))
    cycle_length = sum(
        (item.length for item in rhythm.items if not isinstance(item, BarMark)), Fraction(0)
    )
    if end % cycle_length:
        following = lay_out(rhythm, count + 1, meter=meter).spans[-1][0]
        end = min(following, -(-end // cycle_length) * cycle_length)
    return max([end, *(tuplet.onset + tuplet.length for tuplet in laid.tuplets)])


def _play(
    rhythm: Rhythm, meter: Meter
) -> Iterator[tuple[Fraction | None, Fraction, Tuplet | None]]:
    """Endless events: a note (onset, length), a held value (None, length), or a tuplet."""
    now = Fraction(0)
    held = False
    last_mark = Fraction(0)
    for item in cycle(rhythm.items):
        if isinstance(item, BarMark):
            _check_bar_mark(now, last_mark, meter)
            last_mark = now
            continue
        values: tuple[RhythmValue, ...] = (item,) if isinstance(item, RhythmValue) else item.values
        ratio = Fraction(1)
        if isinstance(item, TupletGroup):
            ratio = item.ratio
            yield now, item.length, Tuplet(now, item.length, item.actual, item.normal)
        for value in values:
            length = value.length * ratio
            if not value.rest:
                yield (None if held else now), length, None
            held = value.tied
            now += length


def _check_bar_mark(now: Fraction, last_mark: Fraction, meter: Meter) -> None:
    if meter.in_bar(now) == 0:
        return
    bar = -(-(now - meter.pickup) // meter.bar) + (1 if meter.pickup else 0)
    raise RhythmError(
        f"bar {bar} of the rhythm holds {now - last_mark} quarter notes where the time asks for"
        f" {meter.bar}",
        mend="Make its values add up, or move the bar line",
    )


def _within_bars(tuplet: Tuplet, meter: Meter) -> list[Tuplet]:
    """The tuplet cut at bar lines, each piece a tuplet of the same ratio."""
    end = tuplet.onset + tuplet.length
    if end <= meter.bar_line_after(tuplet.onset):
        return [tuplet]
    pieces: list[Tuplet] = []
    onset = tuplet.onset
    while onset < end:
        room = min(meter.bar_line_after(onset), end) - onset
        unit = Fraction(16)
        while unit * tuplet.normal > room:
            unit /= 2
        if unit < _SHORTEST_UNIT:
            raise RhythmError(
                f"a tuplet of {tuplet.actual} crosses a bar line at a place that cannot be written",
                mend="Let its groups end on the bar line, or change the time",
            )
        pieces.append(Tuplet(onset, unit * tuplet.normal, tuplet.actual, tuplet.normal))
        onset += unit * tuplet.normal
    return pieces
