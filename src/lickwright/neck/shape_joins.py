"""Which shapes of two triads join under the hand?  Every pair that joins well, with its reasons.

Two shapes join where a line leaves one and lands on the other.  Each shape is played upwards or
downwards, so there are four contours: *up-down* turns over the top, *down-up* under the bottom,
*up-up* and *down-down* go on in the same direction.  A pair joins well when

* the line moves to the same or the neighbouring string,
* it moves by a major third at most, and
* the hand travels no further than its own comfortable reach.

Hand travel is the least that the hand must move along the neck, in mm, from a place where it
frames the first shape to a place where it frames the second; two shapes inside one reach take no
travel at all.  The limits and the weights of the ranking are common practice, no source.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

from lickwright.errors import NeckError, did_you_mean
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import HandProfile, hand_profile
from lickwright.neck.shape import Shape
from lickwright.neck.shape_search import ranked_shapes
from lickwright.neck.window import Span, fret_window, read_guitar
from lickwright.theory.triad import Triad

CONTOURS = ("up-down", "down-up", "up-up", "down-down")
WIDEST_STEP = 4
WIDEST_STRING_CHANGE = 1

#: What makes a join less smooth, each in mm of hand travel.
JOIN_COSTS: dict[str, float] = {
    "mm of hand travel": 1.0,
    "the same note twice": 12.0,
    "semitone beyond a whole step": 3.0,
    "same string": 4.0,
    "no shared place": 3.0,
    "line goes on in one direction": 2.0,
}


@dataclass(frozen=True, slots=True)
class ShapePair:
    """Two shapes and where the line crosses from one to the other.

    Parameters
    ----------
    first, second : the shapes.
    contour : how they are played: ``"up-down"``, ``"down-up"``, ``"up-up"`` or ``"down-down"``.
    leave, land : last place of the first shape and first place of the second.
    step : semitones from ``leave`` to ``land``, downwards negative.
    travel_mm : least distance that the hand moves along the neck.
    shared : places that lie in both shapes.
    frets : the window that both were asked to lie in, ``None`` for the whole neck.
    cost : rank in mm; the lower, the smoother.
    """

    first: Shape
    second: Shape
    contour: str
    leave: Position
    land: Position
    step: int
    travel_mm: float
    shared: tuple[Position, ...]
    frets: tuple[int, int] | None
    cost: float

    @property
    def reasons(self) -> tuple[str, ...]:
        """Why these shapes join, in words."""
        said = [
            "the hand stays where it is"
            if self.travel_mm == 0.0
            else f"the hand travels {self.travel_mm:.0f} mm",
            _step_in_words(self.step),
            "same string at the join"
            if self.leave.string == self.land.string
            else "neighbouring string at the join",
        ]
        if self.shared:
            places = ", ".join(str(place) for place in self.shared)
            said.append(f"shared tone: both take {places}")
        if self.frets is not None:
            said.append(f"both lie within frets {self.frets[0]}-{self.frets[1]}")
        return tuple(said)


def find_joined_shapes(
    first: Triad | str,
    second: Triad | str,
    guitar: Guitar | str | None = None,
    frets: Span | None = None,
    strings: Span | None = None,
    notes_per_string: int | str | Sequence[int] | None = None,
    *,
    contour: str | None = None,
    hand: str | HandProfile = "medium",
) -> list[ShapePair]:
    """Every pair of shapes of two triads that joins well, the smoothest first.

    A pair is listed once, with its smoothest contour.

    Parameters
    ----------
    first, second : triads or their symbols, in the order in which they are played.
    guitar, frets, strings, notes_per_string, hand : as in
        :func:`~lickwright.neck.shape_search.find_shapes`, for both shapes.
    contour : one of ``CONTOURS`` to keep to it, ``None`` for the smoothest of the four.

    Raises
    ------
    NeckError, TheoryError, HandError
        When an argument cannot be read or asks for what the instrument does not have.
    """
    if contour is not None and contour not in CONTOURS:
        raise NeckError(
            f"there is no contour '{contour}'",
            mend=did_you_mean(contour, CONTOURS).rstrip("?") or f"Use {', '.join(CONTOURS)}",
        )
    guitar = read_guitar(guitar)
    profile = hand_profile(hand)
    window = None if frets is None else fret_window(frets, guitar)
    contours = CONTOURS if contour is None else (contour,)
    leaving, landing = (
        [
            _measured(rank, shape, guitar, profile)
            for rank, shape in ranked_shapes(
                triad, guitar, frets, strings, notes_per_string, profile
            )
        ]
        for triad in (first, second)
    )
    joins = sorted(_joins(leaving, landing, contours, profile.comfortable_reach_mm))
    return [
        _pair(leaving[i], landing[j], contours[which], travel, window, cost)
        for cost, i, j, which, travel in joins
    ]


@dataclass(frozen=True, slots=True)
class _Measured:
    """A shape with what a join asks of it, measured once.

    ``ends`` holds string and MIDI key of the lowest and the highest note; the hand frames the
    shape from anywhere between ``nearest_mm`` and ``farthest_mm``.
    """

    rank: float
    shape: Shape
    ends: tuple[tuple[int, int], tuple[int, int]]
    nearest_mm: float
    farthest_mm: float
    places: frozenset[Position]


def _measured(rank: float, shape: Shape, guitar: Guitar, hand: HandProfile) -> _Measured:
    low_mm, high_mm = shape.frame_mm(guitar)
    lowest, highest = shape.positions[0], shape.positions[-1]
    return _Measured(
        rank,
        shape,
        ((lowest.string, guitar.midi_at(lowest)), (highest.string, guitar.midi_at(highest))),
        min(low_mm, high_mm - hand.comfortable_reach_mm),
        low_mm,
        frozenset(shape.positions),
    )


def _leaves(contour: str) -> int:
    """Which end of the first shape the line leaves: 1 for the highest note."""
    return int(contour.startswith("up"))


def _lands(contour: str) -> int:
    """Which end of the second shape the line lands on: 1 for the highest note."""
    return int(contour.endswith("down"))


def _joins(
    leaving: Sequence[_Measured],
    landing: Sequence[_Measured],
    contours: Sequence[str],
    reach_mm: float,
) -> list[tuple[float, int, int, int, float]]:
    """Cost, index of each shape, index of the contour and hand travel of every pair that joins."""
    by_end: tuple[dict[tuple[int, int], list[int]], ...] = (defaultdict(list), defaultdict(list))
    for j, shape in enumerate(landing):
        for end, place in zip(by_end, shape.ends, strict=True):
            end[place].append(j)
    string_changes = range(-WIDEST_STRING_CHANGE, WIDEST_STRING_CHANGE + 1)
    moves = [
        (string, step, _move_cost(string, step))
        for string, step in product(string_changes, range(-WIDEST_STEP, WIDEST_STEP + 1))
    ]
    travel_cost, unshared = JOIN_COSTS["mm of hand travel"], JOIN_COSTS["no shared place"]
    joins = []
    for i, here in enumerate(leaving):
        best: dict[int, tuple[float, int, float]] = {}
        for which, contour in enumerate(contours):
            string, midi = here.ends[_leaves(contour)]
            turning = 0.0 if _leaves(contour) == _lands(contour) else _GOES_ON
            landings = by_end[_lands(contour)]
            for string_change, step, move_cost in moves:
                for j in landings.get((string + string_change, midi + step), ()):
                    there = landing[j]
                    travel = max(
                        0.0,
                        there.nearest_mm - here.farthest_mm,
                        here.nearest_mm - there.farthest_mm,
                    )
                    if travel > reach_mm or here.places == there.places:
                        continue
                    cost = travel_cost * travel + move_cost + turning
                    if j not in best or (cost, which) < best[j][:2]:
                        best[j] = (cost, which, travel)
        for j, (cost, which, travel) in best.items():
            there = landing[j]
            if here.places.isdisjoint(there.places):
                cost += unshared
            joins.append((round(cost + here.rank + there.rank, 3), i, j, which, travel))
    return joins


_GOES_ON = JOIN_COSTS["line goes on in one direction"]


def _move_cost(string_change: int, step: int) -> float:
    cost = JOIN_COSTS["semitone beyond a whole step"] * max(0, abs(step) - 2)
    if step == 0:
        cost += JOIN_COSTS["the same note twice"]
    if string_change == 0:
        cost += JOIN_COSTS["same string"]
    return cost


def _pair(
    here: _Measured,
    there: _Measured,
    contour: str,
    travel_mm: float,
    frets: tuple[int, int] | None,
    cost: float,
) -> ShapePair:
    leave, land = _leaves(contour), _lands(contour)
    return ShapePair(
        here.shape,
        there.shape,
        contour,
        here.shape.positions[-leave],
        there.shape.positions[-land],
        there.ends[land][1] - here.ends[leave][1],
        round(travel_mm, 1),
        tuple(place for place in here.shape.positions if place in there.places),
        frets,
        cost,
    )


def _step_in_words(step: int) -> str:
    if step == 0:
        return "the same note again at the join"
    size = ("half step", "whole step", "minor third", "major third")[abs(step) - 1]
    return f"{size} {'up' if step > 0 else 'down'} at the join"
