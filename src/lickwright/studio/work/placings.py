"""Where else can the triads of an example lie?  Places along the neck, and shapes in each.

A lesson file names windows, of frets for each triad and of strings for all; which shapes lie there
is for the lesson to find.  So a placing is only offered where the file, with its windows, finds
those very shapes: what a hand takes hold of is what it gets.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from lickwright.lesson.compile import USUAL_CONTOUR, joins_of
from lickwright.neck import Guitar
from lickwright.neck.shapes import FEWEST_STRINGS, MergedArpeggio, Shape
from lickwright.studio.work.preview import ExampleRequest, workshop_of

SHAPES_A_PLACE = 6

#: A string and a fret.
Place = tuple[int, int]

AnyLaid = Shape | MergedArpeggio


@dataclass(frozen=True, slots=True)
class Placing:
    """One way to lay the triads: the windows that the lesson file gets, and what it asks.

    Parameters
    ----------
    shapes : the places of each triad, lowest note first.
    frets : a range for each triad, as the lesson file writes it.
    strings : the range of all.
    reach_mm : of each shape, from its first finger to its last.
    cost : what ranks it, in mm; the lower, the smoother.
    """

    shapes: tuple[tuple[Place, ...], ...]
    frets: tuple[str, ...]
    strings: str
    reach_mm: tuple[float, ...]
    cost: float

    @property
    def key(self) -> str:
        """What names it among all placings of its triads."""
        return f"{' '.join(self.frets)} on {self.strings}"

    @property
    def lowest(self) -> int:
        return min(fret for shape in self.shapes for _, fret in shape)


def placings(request: ExampleRequest) -> list[Placing]:
    """Every way to lay one triad, or two, that the lesson file can name, the smoothest first.

    Of merged triads, two or three: every arpeggio, with one shape.
    """
    # Only read, not worked out: where the triads cannot lie as the file has them, this mends it.
    lesson = workshop_of(request.text, request.path).lesson
    guitar, entry = lesson.guitar, lesson.examples[request.index]
    triads = entry.triads or ()
    is_merged = entry.joined == "merged" and len(triads) in {2, 3}
    if len(triads) not in {1, 2} and not is_merged:
        return []
    joins = [] if is_merged else joins_of(entry.contour or USUAL_CONTOUR, len(triads))
    found = []
    for low, high in combinations(range(1, guitar.string_count + 1), 2):
        if high - low + 1 >= FEWEST_STRINGS:
            ranked = (
                _merged(triads, guitar, (low, high), lesson.hand)
                if is_merged
                else _ranked(triads, guitar, (low, high), joins, lesson.hand)
            )
            found += [
                _placing(shapes, guitar, cost)
                for shapes, cost in _first_in_its_windows(ranked)
                if _extent(shapes) == (low, high)
            ]
    return sorted(found, key=lambda placing: placing.cost)


def _ranked(
    triads: Sequence[Any], guitar: Guitar, strings: tuple[int, int], joins: list[str], hand: str
) -> Iterator[tuple[tuple[Shape, ...], float]]:
    """The shapes on some strings with their costs, in the order in which a lesson prefers them."""
    from lickwright.neck.shapes import find_joined_shapes, ranked_shapes

    if len(triads) == 1:
        for cost, shape in ranked_shapes(triads[0], guitar, None, strings, None, hand):
            yield (shape,), cost
        return
    first, second = triads
    pairs = find_joined_shapes(first, second, guitar, strings=strings, contour=joins[0], hand=hand)
    for pair in pairs:
        yield (pair.first, pair.second), pair.cost


def _merged(
    triads: Sequence[Any], guitar: Guitar, strings: tuple[int, int], hand: str
) -> Iterator[tuple[tuple[MergedArpeggio, ...], float]]:
    """The merged arpeggios on some strings, as a lesson prefers them."""
    from lickwright.neck.shapes import ranked_merged

    for cost, arpeggio in ranked_merged(triads, guitar, None, strings, hand):
        yield (arpeggio,), cost


def _first_in_its_windows(
    ranked: Iterator[tuple[tuple[AnyLaid, ...], float]],
) -> list[tuple[tuple[AnyLaid, ...], float]]:
    """Those before which nothing else comes that lies in the same windows of frets."""
    import numpy as np

    first: dict[tuple[int, ...], tuple[tuple[AnyLaid, ...], float]] = {}
    for shapes, cost in ranked:
        # Lowest frets with their sign turned: one window lies in another where none is greater.
        window = [edge for s in shapes for edge in (-s.lowest_fret, s.highest_fret)]
        first.setdefault(tuple(window), (shapes, cost))
    windows, found = np.array(list(first), np.int16), list(first.values())
    return [
        found[at] for at in range(len(found)) if not (windows[:at] <= windows[at]).all(axis=1).any()
    ]


def _extent(shapes: Sequence[AnyLaid]) -> tuple[int, int]:
    strings = [place.string for shape in shapes for place in shape.positions]
    return min(strings), max(strings)


def _placing(shapes: tuple[AnyLaid, ...], guitar: Guitar, cost: float) -> Placing:
    low, high = _extent(shapes)
    return Placing(
        places_of(shapes),
        tuple(f"{shape.lowest_fret}-{shape.highest_fret}" for shape in shapes),
        f"{low}-{high}",
        tuple(_reach_mm(shape, guitar) for shape in shapes),
        cost,
    )


def places_of(shapes: Sequence[AnyLaid]) -> tuple[tuple[Place, ...], ...]:
    """The places of some shapes as plain numbers."""
    return tuple(tuple((at.string, at.fret) for at in shape.positions) for shape in shapes)


def _reach_mm(shape: AnyLaid, guitar: Guitar) -> float:
    fingers = [guitar.finger_mm(place) for place in shape.positions if place.fret]
    return max(fingers) - min(fingers) if fingers else 0.0


def by_place(found: Sequence[Placing]) -> list[list[Placing]]:
    """Every place along the neck, from the nut up; in each, its shapes, the smoothest first."""
    places: dict[int, list[Placing]] = {}
    for placing in found:
        shapes = places.setdefault(placing.lowest, [])
        if len(shapes) < SHAPES_A_PLACE:
            shapes.append(placing)
    return [places[lowest] for lowest in sorted(places)]


def standing(places: list[list[Placing]], raw: Mapping[str, Any]) -> tuple[int, int] | None:
    """Which of the places an example names, ``None`` where it is none of them."""
    frets = raw.get("frets")
    own = tuple(frets) if isinstance(frets, list) else (frets,)
    for at, shapes in enumerate(places):
        for which, placing in enumerate(shapes):
            if placing.frets == own and placing.strings == str(raw.get("strings")):
                return at, which
    return None


def moves(
    found: Sequence[Placing], now: tuple[tuple[Place, ...], ...], voice: int
) -> list[Placing]:
    """Where one of the triads that lie at ``now`` can be moved to, a placing for each shape.

    The others stay where they are, so far as they still join; else they come along.
    """
    best: dict[tuple[Place, ...], Placing] = {}
    for placing in found:
        shape = placing.shapes[voice]
        if shape not in best or (_stay(placing, now, voice) and not _stay(best[shape], now, voice)):
            best[shape] = placing
    best.pop(now[voice], None)
    return list(best.values())


def _stay(placing: Placing, now: tuple[tuple[Place, ...], ...], voice: int) -> bool:
    return all(
        own == was
        for at, (own, was) in enumerate(zip(placing.shapes, now, strict=True))
        if at != voice
    )
