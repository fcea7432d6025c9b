"""Where do frets, strings and places of a stretch of neck stand in a picture?

The neck lies flat with its lowest string at the bottom, as in tab, the nut at the left, or at the
right for a left-handed player; frets count from the nut, or from the capo.  Print, screen and film
share this layout; the px of :class:`NeckSizes` are each medium's own, and so are pens and colours.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import accumulate

from lickwright.neck import Guitar, Position, fret_mm, inlays

#: Two corners or two ends: x, y, x, y.
Ends = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class NeckWindow:
    """First and last fret shown, and whether the open strings have a column."""

    first: int
    last: int
    has_open: bool

    @property
    def at_nut(self) -> bool:
        """Whether the board begins at the nut."""
        return self.first == 1

    @property
    def has_nut(self) -> bool:
        return self.at_nut or self.has_open

    @property
    def is_broken(self) -> bool:
        """Whether frets are left out between the open strings and the board."""
        return self.has_open and not self.at_nut

    @property
    def frets(self) -> range:
        return range(self.first, self.last + 1)

    def holds(self, place: Position) -> bool:
        return self.has_open if place.fret == 0 else self.first <= place.fret <= self.last


def window_around(
    places: Iterable[Position], guitar: Guitar, *, spare: int, least: int
) -> NeckWindow:
    """The stretch of neck around some places.

    Parameters
    ----------
    spare : frets shown beyond them on both sides, where the neck has them.
    least : frets shown at least.
    """
    places = list(places)
    stopped = [place.fret for place in places if place.fret > 0]
    low, high = (min(stopped), max(stopped)) if stopped else (1, 1)
    # A nut that would stand just outside the picture tells more than a cut edge.
    low = 1 if low <= 2 + spare else low - spare
    high = min(max(high + spare, low + least - 1), guitar.last_fret)
    low = max(1, min(low, high - least + 1))
    return NeckWindow(low, high, any(place.fret == 0 for place in places))


def fret_shares(window: NeckWindow, eased_beyond: float) -> list[float]:
    """The widths of the frets, that of the last one as 1.

    True proportions (twelve-tone equal temperament) up to ``eased_beyond`` frets.  A longer stretch
    is eased, the more the longer, or the first frets would swallow the picture.
    """
    true = [fret_mm(1.0, fret) - fret_mm(1.0, fret - 1) for fret in window.frets]
    ease = min(1.0, eased_beyond / len(true))
    return [(width / true[-1]) ** ease for width in true]


@dataclass(frozen=True, slots=True)
class NeckSizes:
    """What a medium settles, in its px along a right-handed neck.

    Parameters
    ----------
    names_x, open_x : the middles of the columns of string names and of open strings.
    nut_x : the nut beside the open strings; ``bare_nut_x`` where they are not shown.
    break_px : from the nut to the board where frets between them are left out.
    edge_px : from there to the board where neither nut nor open strings are shown.
    nut_px, capo_px : how thick each is; ``nut_over``, ``capo_over``: how far it stands out.
    stub_px : of a string from the nut to the break.
    cuts_px : the two strokes of the break, from the nut; ``lean_px``, ``cut_over``: how far each
        leans and stands out.
    before_px, after_px : how far the strings run on past the board.
    """

    names_x: float
    open_x: float
    nut_x: float
    bare_nut_x: float
    break_px: float
    edge_px: float
    nut_px: float
    capo_px: float
    nut_over: float
    capo_over: float
    stub_px: float
    cuts_px: tuple[float, float]
    lean_px: float
    cut_over: float
    before_px: float
    after_px: float

    def nut_right(self, window: NeckWindow) -> float:
        """Where the nut ends and the strings begin to sound."""
        return self.nut_x if window.has_open else self.bare_nut_x

    def board_x(self, window: NeckWindow) -> float:
        """Where the board begins: at the nut, or past a break or a cut edge."""
        if window.at_nut:
            return self.nut_right(window)
        return self.nut_right(window) + (self.break_px if window.has_open else self.edge_px)


@dataclass(frozen=True, slots=True)
class NeckLayout:
    """A stretch of neck in a picture; everything in px from its left upper corner.

    Parameters
    ----------
    wires : the wires ``first - 1`` to ``last`` along a right-handed neck; see :func:`wires_of`.
    top : the highest string; ``gap``: from string to string.
    width : of the neck's picture: a left-handed neck is turned over in it.
    """

    guitar: Guitar
    window: NeckWindow
    sizes: NeckSizes
    wires: tuple[float, ...]
    top: float
    gap: float
    width: float

    def turned(self, x: float) -> float:
        """Where a place along a right-handed neck stands in the picture."""
        return self.width - x if self.guitar.left_handed else x

    def string_y(self, string: int) -> float:
        return self.top + self.gap * (string - 1)

    @property
    def bottom(self) -> float:
        return self.string_y(self.guitar.string_count)

    def fret_x(self, fret: int) -> float:
        """The middle of a fret, or of the column of open strings for 0."""
        if fret == 0:
            return self.turned(self.sizes.open_x)
        index = fret - self.window.first
        return self.turned((self.wires[index] + self.wires[index + 1]) / 2)

    def place(self, place: Position) -> tuple[float, float]:
        """The middle of a place."""
        return self.fret_x(place.fret), self.string_y(place.string)

    @property
    def names_x(self) -> float:
        return self.turned(self.sizes.names_x)

    @property
    def narrowest(self) -> float:
        """The narrowest fret."""
        return min(b - a for a, b in zip(self.wires, self.wires[1:], strict=False))

    # --- what is drawn --------------------------------------------------------------------------

    def board(self) -> Ends:
        return self.turned(self.wires[0]), self.top, self.turned(self.wires[-1]), self.bottom

    def inlays(self) -> Iterator[tuple[float, float]]:
        """The middles of the inlays."""
        for fret in self.window.frets:
            for between in inlays(self.guitar, fret):
                yield self.fret_x(fret), self.top + self.gap * (between - 0.5)

    def wire_xs(self) -> Iterator[float]:
        """The fret wires; the nut is none of them."""
        return map(self.turned, self.wires[1:] if self.window.at_nut else self.wires)

    @property
    def nut_over(self) -> float:
        """How far the nut, or the capo in its place, stands out."""
        return self.sizes.capo_over if self.guitar.capo else self.sizes.nut_over

    def nut(self) -> Ends | None:
        """The nut, or the capo in its place; None where it is not shown."""
        if not self.window.has_nut:
            return None
        right = self.sizes.nut_right(self.window)
        left = right - (self.sizes.capo_px if self.guitar.capo else self.sizes.nut_px)
        ends = self.top - self.nut_over, self.bottom + self.nut_over
        return self.turned(left), ends[0], self.turned(right), ends[1]

    def cuts(self) -> Iterator[Ends]:
        """The strokes that say that frets are left out."""
        if self.window.is_broken:
            sizes = self.sizes
            for cut in (sizes.nut_x + along for along in sizes.cuts_px):
                upper, lower = self.turned(cut + sizes.lean_px), self.turned(cut - sizes.lean_px)
                yield upper, self.top - sizes.cut_over, lower, self.bottom + sizes.cut_over

    def string_lines(self, string: int) -> Iterator[Ends]:
        """A string over the board, and where the neck is broken, its beginning at the nut."""
        y, sizes = self.string_y(string), self.sizes
        start = self.wires[0] if self.window.at_nut else self.wires[0] - sizes.before_px
        yield self.turned(start), y, self.turned(self.wires[-1] + sizes.after_px), y
        if self.window.is_broken:
            yield self.turned(sizes.nut_x), y, self.turned(sizes.nut_x + sizes.stub_px), y


def wires_of(board_x: float, widths: Iterable[float]) -> tuple[float, ...]:
    """The wires of frets of some widths, the first at ``board_x``."""
    return tuple(accumulate(widths, initial=board_x))
