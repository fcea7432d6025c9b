"""The neck of a film: the layout that print has too, in the sizes of the screen, and its pens."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property

from lickwright.drawing import (
    INK,
    QUIET,
    NeckLayout,
    NeckSizes,
    NeckWindow,
    fret_shares,
    svg,
    window_around,
    wires_of,
)
from lickwright.neck import Guitar, Position, inlays
from lickwright.video.frames import BOARD, CAPITAL_EM, INLAY, SOFT, Anchor, Words, line
from lickwright.video.words import signs


def window_of(places: Iterable[Position], guitar: Guitar) -> NeckWindow:
    """The stretch of neck around some places, a fret to spare on both sides where there is one."""
    return window_around(places, guitar, spare=1, least=5)


def sizes_of(unit: float) -> NeckSizes:
    """The sizes of the screen, ``unit`` px to the unit."""
    return NeckSizes(
        names_x=22 * unit,
        open_x=66 * unit,
        nut_x=98 * unit,
        bare_nut_x=48 * unit,
        break_px=30 * unit,
        edge_px=6 * unit,
        nut_px=7 * unit,
        capo_px=14 * unit,
        nut_over=1.5 * unit,
        capo_over=9 * unit,
        stub_px=9 * unit,
        cuts_px=(10 * unit, 19 * unit),
        lean_px=4 * unit,
        cut_over=8 * unit,
        before_px=8 * unit,
        after_px=9 * unit,
    )


@dataclass(frozen=True)
class FilmNeck:
    """A stretch of neck that fills a picture of ``width`` by ``height`` px."""

    guitar: Guitar
    window: NeckWindow
    width: float
    height: float
    top: float
    unit: float

    @cached_property
    def layout(self) -> NeckLayout:
        sizes = sizes_of(self.unit)
        left = sizes.board_x(self.window)
        shares = fret_shares(self.window, 10.0)
        room = self.width - left - 16 * self.unit
        wires = wires_of(left, (room * share / sum(shares) for share in shares))
        gap = (self.height - self.top - 62 * self.unit) / (self.guitar.string_count - 1)
        return NeckLayout(self.guitar, self.window, sizes, wires, self.top, gap, self.width)

    def x(self, place: Position) -> float:
        """Where along the neck a place stands."""
        return self.layout.fret_x(place.fret)

    def string_y(self, string: int) -> float:
        return self.layout.string_y(string)

    @property
    def mark_size(self) -> float:
        """Size of a mark that leaves room for its neighbours."""
        return min(0.45 * self.layout.gap, 0.43 * self.layout.narrowest, 21 * self.unit)

    def shapes(self) -> str:
        """The neck without its marks."""
        return "".join([*self._wood(), *self._strings()])

    def words(self) -> Iterator[Words]:
        """String names and fret numbers."""
        size = min(27 * self.unit, 0.95 * self.layout.gap)
        for string in range(1, self.guitar.string_count + 1):
            name = signs(str(self.guitar.open_strings[string - 1].name))
            base = self.string_y(string) + CAPITAL_EM / 2 * size
            yield Words(name, self.layout.names_x, base, size, SOFT, "semibold")
        base = self.height - 13 * self.unit
        if self.guitar.capo:
            side: Anchor = "end" if self.guitar.left_handed else "start"
            text, x = f"capo {self.guitar.capo}", self.layout.turned(8 * self.unit)
            yield Words(text, x, base, 24 * self.unit, SOFT, "semibold", True, side)
        narrow = self.layout.narrowest < 30 * self.unit
        for fret in self.window.frets:
            marked = bool(inlays(self.guitar, fret))
            if narrow and not marked:
                continue
            x, colour = self.layout.fret_x(fret), INK if marked else SOFT
            yield Words(str(fret), x, base, 28 * self.unit, colour, "bold" if marked else "regular")

    def _wood(self) -> Iterator[str]:
        neck = self.layout
        yield svg.rect(*neck.board(), BOARD)
        for x, y in neck.inlays():
            yield svg.shape("disc", x, y, 0.14 * neck.gap, INLAY)
        for x in neck.wire_xs():
            yield line(x, neck.top, x, neck.bottom, 2.4 * self.unit, QUIET)
        if nut := neck.nut():
            yield svg.rect(*nut, INK, rounding=neck.nut_over / 2)
        for cut in neck.cuts():
            yield line(*cut, 1.6 * self.unit, QUIET)

    def _strings(self) -> Iterator[str]:
        count = self.guitar.string_count
        for string in range(1, count + 1):
            weight = (1.3 + 1.9 * (string - 1) / (count - 1)) * self.unit
            for ends in self.layout.string_lines(string):
                yield line(*ends, weight, INK)
