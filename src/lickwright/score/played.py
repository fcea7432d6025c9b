"""When is a written moment played?

Swing bends the inside of a pair alone; beats and bar lines stay.  A pair of the line in which
anything else is written (a triplet, sixteenths, a dotted figure) is played as it is written.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from lickwright.lick import LickNote
from lickwright.score.score import Bar, Score
from lickwright.score.swing import STRAIGHT


@dataclass(frozen=True, slots=True)
class PlayedTime:
    """Written moments as they are played, in quarter notes from the first bar line.

    Parameters
    ----------
    pair : length of a pair.
    share : of a pair that its first note takes.
    pairs : where the pairs begin that the band swings, ascending.
    of_line : those of them that the line swings too.
    """

    pair: Fraction
    share: Fraction
    pairs: tuple[Fraction, ...]
    of_line: tuple[Fraction, ...]

    def line(self, moment: Fraction) -> Fraction:
        """When the line plays what is written at a moment."""
        return self._bent(moment, self.of_line)

    def band(self, moment: Fraction) -> Fraction:
        """When the band plays what is written at a moment."""
        return self._bent(moment, self.pairs)

    def written(self, played: float) -> float:
        """What stands written where the line is at a time, in quarter notes: :meth:`line` back."""
        if not self.of_line:
            return played
        place = bisect_right(self.of_line, played) - 1
        start = float(self.of_line[max(place, 0)])
        past, pair, share = played - start, float(self.pair), float(self.share)
        if place < 0 or past >= pair:
            return played
        turn = share * pair
        if past < turn:
            return start + past / (2 * share)
        return start + pair / 2 + (past - turn) / (2 * (1 - share))

    def _bent(self, moment: Fraction, pairs: Sequence[Fraction]) -> Fraction:
        start = moment - self.pair / 2
        at = bisect_right(pairs, start) - 1
        swung = at >= 0 and pairs[at] == start
        return start + self.share * self.pair if swung else moment


def played_time(score: Score, tempo_bpm: float) -> PlayedTime:
    """When everything in a score is played at a tempo.

    Parameters
    ----------
    score : its swing is what it says; even notes where it says none.
    tempo_bpm : quarter notes a minute.

    Returns
    -------
    PlayedTime

    Examples
    --------
    >>> from dataclasses import replace
    >>> from lickwright.lick import Lick
    >>> from lickwright.neck import Guitar
    >>> from lickwright.score import Swing
    >>> from lickwright.theory import parse_key
    >>> bar = Bar(1, Fraction(0), Fraction(4), 4, 4, parse_key("C major"))
    >>> score = Score("", Guitar(), Lick((), Fraction(4)), (bar,), (), 60.0, 90.0)
    >>> swung = replace(score, swing=Swing(Fraction(2)))
    >>> played_time(swung, 90).line(Fraction(1, 2))
    Fraction(2, 3)
    """
    swing = score.swing or STRAIGHT
    pair, share = 2 * swing.unit, swing.share(tempo_bpm)
    if share == Fraction(1, 2):
        return PlayedTime(pair, share, (), ())
    pairs = tuple(start for bar in score.bars for start in _pairs(bar, pair))
    broken = set(_broken(score.lick.notes, pairs, pair))
    return PlayedTime(pair, share, pairs, tuple(start for start in pairs if start not in broken))


def _pairs(bar: Bar, pair: Fraction) -> Iterator[Fraction]:
    """Where pairs begin in a bar: in the beats that they fill."""
    beat = bar.zero
    for length in bar.beat_lengths:
        if (length / pair).denominator == 1:
            for number in range(int(length / pair)):
                start = beat + number * pair
                if bar.onset < start + pair and start < bar.end:
                    yield start
        beat += length


def _broken(
    notes: Sequence[LickNote], pairs: Sequence[Fraction], pair: Fraction
) -> Iterator[Fraction]:
    """The pairs in which something else is written than their two halves."""
    for note in notes:
        for moment in (note.onset, note.end):
            at = bisect_right(pairs, moment) - 1
            if at >= 0 and moment - pairs[at] < pair and (moment - pairs[at]) % (pair / 2):
                yield pairs[at]
