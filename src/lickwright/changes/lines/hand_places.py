"""Where may the left hand stand while it plays some places on the neck?

A hand's place is the fret of its index finger, as players name positions.  From there it reaches
its comfortable spread towards the bridge, so that one shape may be played from a few places, and
the least travel through a whole line is a choice among them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from lickwright.neck import Guitar, HandProfile, Position

#: Slack for rounding: a tenth of a mm is nothing to a hand.
_SLACK_MM = 0.1


@dataclass(frozen=True, slots=True)
class HandPlaces:
    """The places of one hand on one neck."""

    guitar: Guitar
    hand: HandProfile

    @property
    def tenths(self) -> tuple[int, ...]:
        """Where the index finger stands at each fret, in tenths of a mm from the nut.

        On fanned frets the mm are those of the longest string.
        """
        return _tenths(self.guitar)

    def holding(self, positions: Sequence[Position]) -> tuple[int, ...]:
        """Frets of the index finger from which the hand plays all of these places, ascending.

        A spread wider than the comfortable one is played from its lowest fret alone; open strings
        are played from anywhere, and alone from the first fret.
        """
        stopped = [place for place in positions if place.fret > 0]
        if not stopped:
            return (1,)
        along = sorted(self.guitar.along(place) for place in stopped)
        scale = max(self.guitar.scale_mm[place.string - 1] for place in stopped)
        lowest = min(place.fret for place in stopped)
        first = along[-1] * scale - self.hand.comfortable_reach_mm - _SLACK_MM
        tenths, longest = self.tenths, max(self.guitar.scale_mm)
        return tuple(
            fret
            for fret in range(1, lowest + 1)
            if fret == lowest or tenths[fret] / 10 * scale / longest >= first
        )

    def frames(self, positions: Sequence[Position]) -> list[tuple[Position, ...]]:
        """A line cut where it leaves the hand's comfortable reach, each part as long as can be."""
        frames: list[tuple[Position, ...]] = []
        part: list[Position] = []
        for place in positions:
            if part and not self._spans([*part, place]):
                frames.append(tuple(part))
                part = []
            part.append(place)
        return [*frames, tuple(part)] if part else frames

    def ways(self, positions: Sequence[Position]) -> Iterator[tuple[int, tuple[int, ...]]]:
        """For each first and last place of the hand: the least travel through a line cut into
        frames, in tenths of a mm, and the index finger's fret at each note.
        """
        frames = self.frames(positions)
        first_holds, *later = [self.holding(frame) for frame in frames]
        tenths = self.tenths
        for first in first_holds:
            ways: dict[int, tuple[int, tuple[int, ...]]] = {first: (0, (first,) * len(frames[0]))}
            for frame, hold in zip(frames[1:], later, strict=True):
                ways = {
                    fret: min(
                        (travel + abs(tenths[before] - tenths[fret]), (*way, *(fret,) * len(frame)))
                        for before, (travel, way) in ways.items()
                    )
                    for fret in hold
                }
            yield from (ways[fret] for fret in sorted(ways))

    def _spans(self, positions: Sequence[Position]) -> bool:
        stopped = [place for place in positions if place.fret > 0]
        if not stopped:
            return True
        along = [self.guitar.along(place) for place in stopped]
        scale = max(self.guitar.scale_mm[place.string - 1] for place in stopped)
        return (max(along) - min(along)) * scale <= self.hand.comfortable_reach_mm + _SLACK_MM


@lru_cache(maxsize=64)
def _tenths(guitar: Guitar) -> tuple[int, ...]:
    longest = max(guitar.scale_mm)
    return tuple(
        round(10 * longest * guitar.along(Position(1, fret)))
        for fret in range(guitar.last_fret + 1)
    )
