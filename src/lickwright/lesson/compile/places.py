"""Where do the triads of an example or of a part lie, joined as the lesson says?"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from itertools import pairwise

from lickwright.errors import NeckError
from lickwright.lick.phrase import Contour, ContourWay, parse_contour
from lickwright.neck import Guitar
from lickwright.neck.shapes import (
    MergedArpeggio,
    Shape,
    chain_shapes,
    find_joined_shapes,
    ranked_merged,
    ranked_shapes,
    why_not_merged,
)
from lickwright.theory import Triad

#: Where triads are placed when the lesson names no frets: above the wide frets near the nut,
#: below the cramped end of the neck.  Common practice, no source.
USUAL_FRETS = (2, 17)
USUAL_CONTOUR = parse_contour("up down")

FretWindow = tuple[int, int]

#: Ways to lay triads run by run that the parts of a lick choose from.
MOST_CHAINS = 200


def windows_of(
    frets: Sequence[FretWindow] | None, count: int, guitar: Guitar
) -> tuple[FretWindow, ...]:
    """The frets of each of ``count`` triads."""
    last = guitar.last_fret
    usual = (min(USUAL_FRETS[0], last), min(USUAL_FRETS[1], last))
    given = tuple(frets or [usual])
    return given * count if len(given) == 1 else given


# A lesson is worked out anew at every edit, and most edits leave these as they were.


@lru_cache(maxsize=64)
def chained(
    triads: tuple[Triad, ...],
    guitar: Guitar,
    windows: tuple[FretWindow, ...],
    strings: tuple[int, int] | None,
    contour: Contour,
    hand: str,
) -> tuple[Shape, ...]:
    """One shape a triad, each joined to the next.

    Raises
    ------
    NeckError
        Where a triad has no shape there, or two neighbours none that join.
    """
    joins = joins_of(contour, len(triads))
    return chain_shapes(triads, guitar, list(windows), strings, contours=joins, hand=hand)


@lru_cache(maxsize=64)
def chains_there(
    triads: tuple[Triad, ...],
    guitar: Guitar,
    windows: tuple[FretWindow, ...],
    strings: tuple[int, int] | None,
    contour: Contour,
    hand: str,
) -> tuple[tuple[float, tuple[Shape, ...]], ...]:
    """The chain of :func:`chained`, then other ways to lay the triads, with their costs.

    Others are known for one triad, and for two that share a window; at most :data:`MOST_CHAINS`.
    """
    best = chained(triads, guitar, windows, strings, contour, hand)
    others: list[tuple[float, tuple[Shape, ...]]] = []
    if len(triads) == 1:
        ranked = ranked_shapes(triads[0], guitar, windows[0], strings, None, hand)
        others = [(cost, (shape,)) for cost, shape in ranked[:MOST_CHAINS]]
    elif len(triads) == 2 and windows[0] == windows[1]:
        (join,) = joins_of(contour, 2)
        pairs = find_joined_shapes(
            *triads, guitar, windows[0], strings, contour=join, hand=hand, limit=MOST_CHAINS
        )
        others = [(pair.cost, (pair.first, pair.second)) for pair in pairs]
    first = min((cost for cost, _ in others), default=0.0)
    return ((first, best), *((cost, shapes) for cost, shapes in others if shapes != best))


@lru_cache(maxsize=64)
def merged_there(
    triads: tuple[Triad, ...],
    guitar: Guitar,
    frets: tuple[FretWindow, ...] | None,
    strings: tuple[int, int] | None,
    hand: str,
) -> tuple[tuple[float, MergedArpeggio], ...]:
    """The merged arpeggios of some triads in a place with their costs, the best first.

    Raises
    ------
    NeckError
        Where there is none; it says why.  Where the triads cannot be merged.
    """
    if frets is not None and len(frets) > 1:
        raise NeckError("merged triads lie in one place", mend="Give one range of frets")
    (window,) = windows_of(frets, 1, guitar)
    found = ranked_merged(triads, guitar, window, strings, hand)
    if not found:
        raise NeckError(
            why_not_merged(triads, guitar, window, strings, hand=hand),
            mend="Widen the frets or the strings",
        )
    return tuple(found)


def joins_of(contour: Contour, count: int) -> list[str]:
    """For each pair of neighbours, which end of a shape the line leaves and lands on."""
    ways = [contour.ways[i % len(contour.ways)] for i in range(count)]
    return [
        f"{'up' if _ends_high(way) else 'down'}-{'down' if _starts_high(after) else 'up'}"
        for way, after in pairwise(ways)
    ]


def _ends_high(way: ContourWay) -> bool:
    return way.direction.endswith("up")


def _starts_high(way: ContourWay) -> bool:
    return way.direction.startswith("down")
