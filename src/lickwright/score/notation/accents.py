"""Where does a meter lean? Its beats, and how strong each moment of a bar is.

A :class:`AccentGrid` ranks the moments of a stretch of time: level 0 is its two ends, level 1 the
strongest divisions inside it (the middle of a 4/4 bar), and so on down through beats, halves of
beats, quarters of beats.  Splitting a note so that the reader sees the beats is a question about
these levels alone.

How meters divide is common practice, no source: 4/4 and 12/8 lean on their middle, x/8 meters in
threes count dotted quarters, odd meters take the groups that players count first (7/8 as
2+2+3, 5/8 as 3+2, 5/4 as 3+2).
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import accumulate

from lickwright.errors import RhythmError
from lickwright.lick.rhythm import felt_beats


@dataclass(frozen=True, slots=True, eq=False)
class AccentGrid:
    """Ranked moments from 0 to ``length``, in quarter notes; known by itself, not by its value.

    Parameters
    ----------
    tiers : per level the moments it adds to those before, ascending; tier 0 is ``(0, length)``.
    cell : the stretch between neighbouring moments of the last tier; finer levels halve it.
    """

    tiers: tuple[tuple[Fraction, ...], ...]
    cell: Fraction

    @property
    def length(self) -> Fraction:
        return self.tiers[0][-1]

    @lru_cache(maxsize=4096)  # noqa: B019 - there are few grids, and they stay
    def level(self, moment: Fraction) -> int:
        """How deep a moment lies; 0 is the strongest."""
        for level, moments in enumerate(self.tiers):
            if moment in moments:
                return level
        level, step = len(self.tiers) - 1, self.cell
        while (moment / step).denominator != 1:
            step /= 2
            level += 1
            if step.denominator > 1 << 12:
                raise RhythmError(
                    f"a moment {moment} quarter notes into the bar has no plain note value",
                    mend="Write it as a tuplet",
                )
        return level

    def moments(self, level: int, start: Fraction, end: Fraction) -> tuple[Fraction, ...]:
        """The moments of one level strictly between ``start`` and ``end``."""
        if level < len(self.tiers):
            return tuple(moment for moment in self.tiers[level] if start < moment < end)
        step = self.cell / (1 << (level - len(self.tiers) + 1))
        first = start // step + 1
        moments = []
        while first * step < end:
            if first % 2:
                moments.append(first * step)
            first += 1
        return tuple(moments)

    def strongest_inside(self, start: Fraction, end: Fraction) -> tuple[int, tuple[Fraction, ...]]:
        """The lowest level that has moments strictly inside a stretch, and those moments."""
        level = 0
        while not (inside := self.moments(level, start, end)):
            level += 1
        return level, inside


@dataclass(frozen=True, slots=True)
class MeterAccents:
    """A meter as the page shows it.

    Parameters
    ----------
    beats : the moments at which beats begin, with the bar's end last; quarter notes.
    compound : beats are dotted values (6/8, 9/8, 12/8).
    grid : the ranked moments of one full bar.
    """

    beats: tuple[Fraction, ...]
    compound: bool
    grid: AccentGrid

    def beat_of(self, moment: Fraction) -> int:
        """Index of the beat that a moment falls in."""
        return max(0, sum(1 for beat in self.beats[:-1] if beat <= moment) - 1)


@lru_cache(maxsize=64)
def meter(beats: int, unit: int) -> MeterAccents:
    """The meter of a time signature.

    Parameters
    ----------
    beats, unit : upper and lower figure.

    Returns
    -------
    MeterAccents
        The beats, in quarter notes, and how the bar is felt.

    Raises
    ------
    RhythmError
        When the figures are not those of a time signature.

    Examples
    --------
    >>> meter(6, 8) == meter(6, 8), meter(6, 8) == meter(3, 4)
    (True, False)
    """
    if beats < 1 or unit not in (1, 2, 4, 8, 16, 32):
        raise RhythmError(
            f"{beats}/{unit} is not a time signature",
            mend="Write a count of beats over 1, 2, 4, 8, 16 or 32",
        )
    one = Fraction(4, unit)
    units = _running(one for _ in range(beats))
    compound = unit >= 8 and beats % 3 == 0
    # A bar of three short beats is beamed as one, though it is counted in three.
    beat_lengths = (3 * one,) if compound and beats == 3 else felt_beats(beats, unit)
    counted = _running(beat_lengths)
    halves: tuple[Fraction, ...] = ()
    if len(beat_lengths) == 4:
        halves = (counted[0], counted[2], counted[4])
    elif unit < 8 and beats in (5, 7):
        halves = (counted[0], counted[3 if beats == 5 else 4], counted[-1])
    whole: tuple[Fraction, ...] = (Fraction(0), counted[-1])
    tiers: list[tuple[Fraction, ...]] = [whole]
    seen = set(whole)
    for tier in (halves, counted, units):
        added = tuple(moment for moment in tier if moment not in seen)
        if added:
            tiers.append(added)
            seen.update(added)
    return MeterAccents(counted, compound, AccentGrid(tuple(tiers), one))


@lru_cache(maxsize=64)
def tuplet_grid(actual: int, unit: Fraction) -> AccentGrid:
    """The moments of a tuplet in written time: ``actual`` equal units of one plain value."""
    moments = tuple(count * unit for count in range(actual + 1))
    tiers: list[tuple[Fraction, ...]] = [(moments[0], moments[-1])]
    if actual > 1:
        tiers.append(moments[1:-1])
    return AccentGrid(tuple(tiers), unit)


def _running(lengths: Iterable[Fraction]) -> tuple[Fraction, ...]:
    """The moments at which stretches laid end to end begin, and where the last one ends."""
    return tuple(accumulate(lengths, initial=Fraction(0)))
