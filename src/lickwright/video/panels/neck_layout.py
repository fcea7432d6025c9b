"""Where do the places of a neck stand on the screen?

As in the printed diagrams the neck lies flat, its lowest string at the bottom, the nut at the
left, or at the right for a left-handed player; frets count from the nut or from the capo.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from lickwright.drawing import INK, QUIET
from lickwright.neck import Guitar, Position, fret_mm, inlays
from lickwright.video.frames import BOARD, CAPITAL_EM, INLAY, SOFT, Anchor, Words, line, rect, shape
from lickwright.video.words import signs

_LEAST_FRETS = 5


@dataclass(frozen=True, slots=True)
class Window:
    """First and last fret shown, and whether the open strings have a column."""

    first: int
    last: int
    has_open: bool

    def holds(self, place: Position) -> bool:
        return self.has_open if place.fret == 0 else self.first <= place.fret <= self.last


def window_of(places: Iterable[Position], guitar: Guitar) -> Window:
    """The stretch of neck around some places, a fret to spare on both sides where there is one."""
    places = list(places)
    stopped = [place.fret for place in places if place.fret > 0]
    low, high = (min(stopped), max(stopped)) if stopped else (1, 1)
    # A nut that would stand just outside the picture tells more than a cut edge.
    low = 1 if low <= 3 else low - 1
    high = min(max(high + 1, low + _LEAST_FRETS - 1), guitar.last_fret)
    low = max(1, min(low, high - _LEAST_FRETS + 1))
    return Window(low, high, any(place.fret == 0 for place in places))


@dataclass(frozen=True, slots=True)
class NeckLayout:
    """A stretch of neck in a picture of ``width`` by ``height`` px, ``unit`` px to the unit."""

    guitar: Guitar
    window: Window
    width: float
    height: float
    top: float
    unit: float

    # --- where things stand, in px from the left upper corner -------------------------------------

    @property
    def gap(self) -> float:
        return self._span / (self.guitar.string_count - 1)

    @property
    def _span(self) -> float:
        return self.height - self.top - 62 * self.unit

    def string_y(self, string: int) -> float:
        return self.top + self.gap * (string - 1)

    def x(self, place: Position) -> float:
        """Where along the neck a place stands."""
        if place.fret == 0:
            return self._turned(self._open_x)
        wires = self._wires()
        index = place.fret - self.window.first
        return self._turned((wires[index] + wires[index + 1]) / 2)

    @property
    def mark_size(self) -> float:
        """Size of a mark that leaves room for its neighbours."""
        wires = self._wires()
        narrowest = min(b - a for a, b in pairwise(wires))
        return min(0.45 * self.gap, 0.43 * narrowest, 21 * self.unit)

    def _turned(self, x: float) -> float:
        return self.width - x if self.guitar.left_handed else x

    @property
    def _names_x(self) -> float:
        return 22 * self.unit

    @property
    def _open_x(self) -> float:
        return self._names_x + 44 * self.unit

    @property
    def _nut_x(self) -> float:
        return self._open_x + 32 * self.unit if self.window.has_open else 48 * self.unit

    @property
    def _at_nut(self) -> bool:
        return self.window.first == 1

    def _wires(self) -> list[float]:
        """The wires ``first - 1`` to ``last``; long stretches eased as in print."""
        left = self._nut_x
        if not self._at_nut:
            left += 30 * self.unit if self.window.has_open else 6 * self.unit
        frets = range(self.window.first, self.window.last + 1)
        true = [fret_mm(1.0, fret) - fret_mm(1.0, fret - 1) for fret in frets]
        ease = min(1.0, 10.0 / len(true))
        shares = [(width / true[-1]) ** ease for width in true]
        room = self.width - left - 16 * self.unit
        wires = [left]
        for share in shares:
            wires.append(wires[-1] + room * share / sum(shares))
        return wires

    # --- the picture ------------------------------------------------------------------------------

    def shapes(self) -> str:
        """The neck without its marks."""
        return "".join([*self._wood(), *self._strings()])

    def words(self) -> Iterator[Words]:
        """String names and fret numbers."""
        size = 27 * self.unit
        for string in range(1, self.guitar.string_count + 1):
            name = signs(str(self.guitar.open_strings[string - 1].name))
            size_here = min(size, 0.95 * self.gap)
            base = self.string_y(string) + CAPITAL_EM / 2 * size_here
            yield Words(name, self._turned(self._names_x), base, size_here, SOFT, "semibold")
        base = self.height - 13 * self.unit
        if self.guitar.capo:
            inset = 8 * self.unit
            x = self.width - inset if self.guitar.left_handed else inset
            side: Anchor = "end" if self.guitar.left_handed else "start"
            text = f"capo {self.guitar.capo}"
            yield Words(text, x, base, 24 * self.unit, SOFT, "semibold", True, side)
        wires = self._wires()
        narrow = min(b - a for a, b in pairwise(wires)) < 30 * self.unit
        for fret in range(self.window.first, self.window.last + 1):
            marked = bool(inlays(self.guitar, fret))
            if narrow and not marked:
                continue
            x = self.x(Position(1, fret))
            colour = INK if marked else SOFT
            yield Words(str(fret), x, base, 28 * self.unit, colour, "bold" if marked else "regular")

    def _wood(self) -> Iterator[str]:
        wires = self._wires()
        bottom = self.string_y(self.guitar.string_count)
        yield rect(self._turned(wires[0]), self.top, self._turned(wires[-1]), bottom, BOARD)
        for fret in range(self.window.first, self.window.last + 1):
            for between in inlays(self.guitar, fret):
                y = self.top + self.gap * (between - 0.5)
                yield shape("disc", self.x(Position(1, fret)), y, 0.14 * self.gap, INLAY)
        for wire in wires[1:] if self._at_nut else wires:
            x = self._turned(wire)
            yield line(x, self.top, x, bottom, 2.4 * self.unit, QUIET)
        if self._at_nut or self.window.has_open:
            thick = 14.0 if self.guitar.capo else 7.0
            left, right = self._turned(self._nut_x - thick * self.unit), self._turned(self._nut_x)
            over = 9 * self.unit if self.guitar.capo else 1.5 * self.unit
            yield rect(left, self.top - over, right, bottom + over, INK, over / 2)
        if self.window.has_open and not self._at_nut:
            for cut in (self._nut_x + 10 * self.unit, self._nut_x + 19 * self.unit):
                a, b = self._turned(cut + 4 * self.unit), self._turned(cut - 4 * self.unit)
                over = 8 * self.unit
                yield line(a, self.top - over, b, bottom + over, 1.6 * self.unit, QUIET)

    def _strings(self) -> Iterator[str]:
        wires = self._wires()
        count = self.guitar.string_count
        start = wires[0] if self._at_nut else wires[0] - 8 * self.unit
        for string in range(1, count + 1):
            y = self.string_y(string)
            weight = (1.3 + 1.9 * (string - 1) / (count - 1)) * self.unit
            end = wires[-1] + 9 * self.unit
            yield line(self._turned(start), y, self._turned(end), y, weight, INK)
            if self.window.has_open and not self._at_nut:
                stop = self._nut_x + 9 * self.unit
                yield line(self._turned(self._nut_x), y, self._turned(stop), y, weight, INK)
