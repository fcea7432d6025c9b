"""Where do several triads lie best, played one after the other?

One shape for each triad, each joined to the next as :mod:`lickwright.neck.shapes.joins` ranks a
pair; the whole chain has the lowest sum of join costs, found by one pass of dynamic programming.
"""

from __future__ import annotations

from collections.abc import Sequence

from lickwright.errors import NeckError
from lickwright.neck.instrument import Guitar
from lickwright.neck.reach import HandProfile
from lickwright.neck.shapes.joins import find_joined_shapes
from lickwright.neck.shapes.search import find_shapes
from lickwright.neck.shapes.shape import Shape
from lickwright.neck.window import Span, fret_window, read_guitar
from lickwright.theory import Triad


def chain_shapes(
    triads: Sequence[Triad],
    guitar: Guitar | None = None,
    frets: Span | list[tuple[int, int]] | None = None,
    strings: Span | None = None,
    *,
    contours: Sequence[str] | None = None,
    hand: str | HandProfile = "medium",
) -> tuple[Shape, ...]:
    """The best chain of shapes, one a triad, in the order in which they are played.

    Parameters
    ----------
    triads : at least one.
    guitar, strings, hand : as in :func:`~lickwright.neck.shapes.search.find_shapes`.
    frets : one window for all, or a list of windows, one for each triad in turn.
    contours : for each join, one of :data:`~lickwright.neck.shapes.joins.CONTOURS`; ``None`` lets
        every join take its smoothest.

    Returns
    -------
    tuple of Shape
        A shape for each triad in turn.

    Raises
    ------
    NeckError
        Where a triad has no shape there, or two neighbours none that join.

    Examples
    --------
    >>> from lickwright.theory import parse_triad
    >>> chain = chain_shapes([parse_triad("D"), parse_triad("F#m")], frets="9-14", strings="1-4")
    >>> for shape in chain:
    ...     print(*(f"{place.string}/{place.fret}" for place in shape.positions))
    4/12 3/11 2/10 1/10
    4/11 3/11 2/10 1/9
    """
    guitar = read_guitar(guitar)
    windows = _windows(frets, len(triads), guitar)
    if len(triads) == 1:
        shapes = find_shapes(triads[0], guitar, windows[0], strings, hand=hand)
        if not shapes:
            raise NeckError(f"{triads[0]} has no shape there", mend=_MEND)
        return (shapes[0],)
    # For each shape that a chain can end on: the cost of the best chain, and the chain.
    ends: dict[Shape, tuple[float, tuple[Shape, ...]]] = {}
    for index in range(len(triads) - 1):
        first, second = triads[index], triads[index + 1]
        here, there = windows[index], windows[index + 1]
        pairs = find_joined_shapes(
            first,
            second,
            guitar,
            (min(here[0], there[0]), max(here[1], there[1])),
            strings,
            contour=contours[index] if contours is not None else None,
            hand=hand,
        )
        longer: dict[Shape, tuple[float, tuple[Shape, ...]]] = {}
        for pair in pairs:
            if not (_lies_in(pair.first, here) and _lies_in(pair.second, there)):
                continue
            before = (0.0, (pair.first,)) if index == 0 else ends.get(pair.first)
            if before is None:
                continue
            cost = before[0] + pair.cost
            if pair.second not in longer or cost < longer[pair.second][0]:
                longer[pair.second] = (cost, (*before[1], pair.second))
        if not longer:
            raise NeckError(f"{first} and {second} have no shapes there that join", mend=_MEND)
        ends = longer
    return min(ends.values(), key=lambda chain: chain[0])[1]


def _windows(
    frets: Span | list[tuple[int, int]] | None, count: int, guitar: Guitar
) -> list[tuple[int, int]]:
    """The window of each triad."""
    if not isinstance(frets, list):
        return [fret_window(frets, guitar)] * count
    if len(frets) != count:
        raise NeckError(
            f"{len(frets)} windows of frets for {count} triads",
            mend="Give one window, or one for each triad",
        )
    return [fret_window(span, guitar) for span in frets]


def _lies_in(shape: Shape, window: tuple[int, int]) -> bool:
    return window[0] <= shape.lowest_fret and shape.highest_fret <= window[1]


_MEND = "Widen the frets or the strings"
