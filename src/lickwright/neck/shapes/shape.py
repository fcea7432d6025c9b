"""What is an arpeggio shape, and how much of a hand does it take?"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from lickwright.neck.instrument import Guitar, Position
from lickwright.theory import Triad


def notes_per_string(positions: Sequence[Position]) -> tuple[int, ...]:
    """How many notes each string has, in the order in which the strings come."""
    strings = [position.string for position in positions]
    return tuple(strings.count(string) for string in dict.fromkeys(strings))


def frame_mm(positions: Iterable[Position], guitar: Guitar) -> tuple[float, float]:
    """Lowest and highest place in mm from the nut at which fingers stand; see :class:`Shape`.

    Parameters
    ----------
    positions : places on the neck, open strings aside.
    guitar : the instrument, whose scale lengths count.

    Returns
    -------
    (float, float)
        Millimetres from the nut, the lower first.

    Examples
    --------
    >>> low, high = frame_mm([Position(4, 12), Position(3, 11)], Guitar())
    >>> round(low), round(high)
    (300, 319)
    """
    stopped = [place for place in positions if place.fret > 0]
    if not stopped:
        return (0.0, 0.0)
    along = [guitar.along(place) for place in stopped]
    longest = max(guitar.scale_mm[place.string - 1] for place in stopped)
    return (min(along) * longest, max(along) * longest)


@dataclass(frozen=True, slots=True)
class Shape:
    """The tones of one triad laid on neighbouring strings under one hand.

    Parameters
    ----------
    triad : whose tones sound.
    positions : from the lowest note to the highest; strings run from the low to the high.
    """

    triad: Triad
    positions: tuple[Position, ...]

    @property
    def notes_per_string(self) -> tuple[int, ...]:
        """How many notes each string has, lowest string first."""
        return notes_per_string(self.positions)

    @property
    def lowest_fret(self) -> int:
        return min(position.fret for position in self.positions)

    @property
    def highest_fret(self) -> int:
        return max(position.fret for position in self.positions)

    def inversion(self, guitar: Guitar) -> int:
        """0 with the root lowest, 1 with the third (or 2nd, 4th), 2 with the fifth."""
        lowest = guitar.midi_at(self.positions[0]) % 12
        return [note.pc for note in self.triad.notes].index(lowest)

    def frame_mm(self, guitar: Guitar) -> tuple[float, float]:
        """Where the fingers stand: lowest and highest place in mm from the nut.

        Open strings need no finger; a shape of open strings alone stands at the nut.  On fanned
        frets the mm are those of the longest string used.
        """
        return frame_mm(self.positions, guitar)

    def __str__(self) -> str:
        places = " ".join(f"{place.string}/{place.fret}" for place in self.positions)
        return f"{self.triad}: {places}"


INVERSIONS = ("root position", "first inversion", "second inversion")
