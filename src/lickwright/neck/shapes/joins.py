"""Which shapes of two triads join under the hand?  Every pair that joins well, with its reasons.

Two shapes join where a line leaves one and lands on the other.  Each shape is played upwards or
downwards, so there are four contours: *up-down* turns over the top, *down-up* under the bottom,
*up-up* and *down-down* go on in the same direction.  A pair joins well when

* the line moves to the same or the neighbouring string,
* it moves by a minor third at most, and
* the hand travels no further than half its own comfortable reach.

Hand travel is the least that the hand must move along the neck, in mm, from a place where it
frames the first shape to a place where it frames the second; two shapes inside one reach take no
travel at all.  The limits and the weights of the ranking are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, overload

from lickwright.errors import NeckError, did_you_mean
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import HandProfile, hand_profile
from lickwright.neck.shapes.search import FramedShape, framed_shapes
from lickwright.neck.shapes.shape import Shape
from lickwright.neck.window import Span, fret_window, read_guitar
from lickwright.theory import Triad

if TYPE_CHECKING:
    import numpy as np

CONTOURS = ("up-down", "down-up", "up-up", "down-down")
WIDEST_STEP = 3
WIDEST_STRING_CHANGE = 1
FARTHEST_TRAVEL = 0.5  # of a comfortable reach

#: What makes a join less smooth, each in mm of hand travel.
JOIN_COSTS: dict[str, float] = {
    "mm of hand travel": 1.0,
    "the same note twice": 12.0,
    "semitone beyond a whole step": 3.0,
    "same string": 4.0,
    "no shared place": 3.0,
    "line goes on in one direction": 2.0,
}
#: Of two shapes that are played round and round: a semitone of the way back beyond a major third.
WAY_BACK, WIDEST_BACK = 3.0, 4


@dataclass(frozen=True, slots=True)
class ShapePair:
    """Two shapes and where the line crosses from one to the other.

    Parameters
    ----------
    first, second : the shapes.
    contour : how they are played: ``"up-down"``, ``"down-up"``, ``"up-up"`` or ``"down-down"``.
    step : semitones from the last note of the first to the first note of the second, downwards
        negative.
    travel_mm : least distance that the hand moves along the neck.
    cost : rank in mm; the lower, the smoother.
    frets : the window that both were asked to lie in, ``None`` for the whole neck.
    back : semitones from the last note of the second to the first note of the first, where the two
        are played round and round.
    """

    first: Shape
    second: Shape
    contour: str
    step: int
    travel_mm: float
    cost: float
    frets: tuple[int, int] | None = None
    back: int = 0

    @property
    def leave(self) -> Position:
        """Last place of the first shape."""
        return self.first.positions[_NOTE[_leaves(self.contour)]]

    @property
    def land(self) -> Position:
        """First place of the second shape."""
        return self.second.positions[_NOTE[_lands(self.contour)]]

    @property
    def shared(self) -> tuple[Position, ...]:
        """Places that lie in both shapes, from the lowest note up."""
        return tuple(place for place in self.first.positions if place in self.second.positions)

    @property
    def line(self) -> tuple[Position, ...]:
        """Both shapes in the order in which the contour plays them."""
        up = (self.contour.startswith("up"), self.contour.endswith("up"))
        return tuple(
            place
            for shape, rising in zip((self.first, self.second), up, strict=True)
            for place in (shape.positions if rising else reversed(shape.positions))
        )

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
    limit: int | None = None,
    loop: bool = False,
) -> JoinedShapes:
    """Every pair of shapes of two triads that joins well, the smoothest first.

    A pair is listed once, with its smoothest contour.

    Parameters
    ----------
    first, second : triads or their symbols, in the order in which they are played.
    guitar, frets, strings, notes_per_string, hand : as in
        :func:`~lickwright.neck.shapes.search.find_shapes`, for both shapes.
    contour : one of ``CONTOURS`` to keep to it, ``None`` for the smoothest of the four.
    limit : how many of the smoothest to hand over; ``None`` for all.
    loop : whether the two are played round and round, so that the way back counts as well.

    Returns
    -------
    JoinedShapes
        Pairs of shapes that join, the smoothest first.

    Raises
    ------
    NeckError, TheoryError, HandError
        When an argument cannot be read or asks for what the instrument does not have.

    Examples
    --------
    >>> joined = find_joined_shapes("D", "F#m", frets="9-14", strings="1-4", limit=3)
    >>> len(joined)
    3
    """
    import numpy as np

    if contour is not None and contour not in CONTOURS:
        raise NeckError(
            f"there is no contour '{contour}'",
            mend=did_you_mean(contour, CONTOURS).rstrip("?") or f"Use {', '.join(CONTOURS)}",
        )
    guitar = read_guitar(guitar)
    profile = hand_profile(hand)
    window = None if frets is None else fret_window(frets, guitar)
    contours = CONTOURS if contour is None else (contour,)
    here, there = (
        _measured(framed_shapes(triad, guitar, frets, strings, notes_per_string, profile), guitar)
        for triad in (first, second)
    )
    reach = profile.comfortable_reach_mm
    travel = np.maximum(
        0.0,
        np.maximum(
            np.minimum(there.low_mm, there.high_mm - reach)[None, :] - here.low_mm[:, None],
            np.minimum(here.low_mm, here.high_mm - reach)[:, None] - there.low_mm[None, :],
        ),
    )
    near = (travel <= FARTHEST_TRAVEL * reach) & ~_same(here, there)
    i, j = np.nonzero(near)
    which, step, back, join_cost = _smoothest(here, there, i, j, contours, loop=loop)
    kept = which >= 0
    i, j, which, step, back = i[kept], j[kept], which[kept], step[kept], back[kept]
    shares = (here.places @ there.places.T)[i, j] > 0
    cost = (
        join_cost[kept]
        + JOIN_COSTS["mm of hand travel"] * travel[i, j]
        + np.where(shares, 0.0, JOIN_COSTS["no shared place"])
        + here.rank[i]
        + there.rank[j]
    ).round(3)
    order = np.argsort(cost, kind="stable")[:limit]
    return JoinedShapes(
        here.shapes,
        there.shapes,
        contours,
        np.stack([i, j, which, step, back])[:, order],
        np.stack([travel[i, j].round(1), cost])[:, order],
        window,
    )


class JoinedShapes(Sequence[ShapePair]):
    """Ranked pairs of shapes, the smoothest first; a pair is built when it is read.

    A whole neck has tens of thousands of pairs, of which a player reads a handful.
    """

    __slots__ = ("_contours", "_first", "_measures", "_picks", "_second", "_window")

    def __init__(
        self,
        first: list[Shape],
        second: list[Shape],
        contours: Sequence[str],
        picks: np.ndarray,
        measures: np.ndarray,
        window: tuple[int, int] | None,
    ) -> None:
        self._first = first
        self._second = second
        self._contours = contours
        self._picks = picks  # rows: first shape, second shape, contour, step, back
        self._measures = measures  # rows: travel in mm, cost
        self._window = window

    def __len__(self) -> int:
        return int(self._picks.shape[1])

    @overload
    def __getitem__(self, index: int) -> ShapePair: ...
    @overload
    def __getitem__(self, index: slice) -> list[ShapePair]: ...
    def __getitem__(self, index: int | slice) -> ShapePair | list[ShapePair]:
        if isinstance(index, slice):
            return [self[k] for k in range(*index.indices(len(self)))]
        first, second, contour, step, back = self._picks[:, index].tolist()
        travel_mm, cost = self._measures[:, index].tolist()
        return ShapePair(
            self._first[first],
            self._second[second],
            self._contours[contour],
            step,
            travel_mm,
            cost,
            self._window,
            back,
        )


#: Index of the lowest and of the highest note among a shape's positions.
_NOTE = (0, -1)


def _leaves(contour: str) -> int:
    """Which end of the first shape the line leaves: 0 the lowest note, 1 the highest."""
    return int(contour.startswith("up"))


def _lands(contour: str) -> int:
    """Which end of the second shape the line lands on: 0 the lowest note, 1 the highest."""
    return int(contour.endswith("down"))


@dataclass(frozen=True, slots=True)
class _Measured:
    """All shapes of one triad with what a join asks of them, one array row for each shape.

    ``string`` and ``midi`` have a column for the lowest and one for the highest note; ``places``
    a column for each place on the neck, 1 where the shape has it.
    """

    shapes: list[Shape]
    rank: np.ndarray
    low_mm: np.ndarray
    high_mm: np.ndarray
    string: np.ndarray
    midi: np.ndarray
    places: np.ndarray


def _measured(ranked: Sequence[FramedShape], guitar: Guitar) -> _Measured:
    import numpy as np

    shapes = [one.shape for one in ranked]
    ends = [[shape.positions[note] for note in _NOTE] for shape in shapes]
    places = np.zeros((len(shapes), guitar.string_count * (guitar.last_fret + 1)), np.float32)
    for row, shape in enumerate(shapes):
        for place in shape.positions:
            places[row, (place.string - 1) * (guitar.last_fret + 1) + place.fret] = 1
    return _Measured(
        shapes,
        np.array([one.cost for one in ranked]),
        np.array([one.low_mm for one in ranked]),
        np.array([one.high_mm for one in ranked]),
        np.array([[end.string for end in pair] for pair in ends], np.int16).reshape(-1, 2),
        np.array([[guitar.midi_at(end) for end in pair] for pair in ends], np.int16).reshape(-1, 2),
        places,
    )


def _same(here: _Measured, there: _Measured) -> np.ndarray:
    """Where both are one and the same shape: a triad joined to itself."""
    import numpy as np

    rows = {shape.positions: row for row, shape in enumerate(there.shapes)}
    same = np.zeros((len(here.shapes), len(there.shapes)), bool)
    for row, shape in enumerate(here.shapes):
        if shape.positions in rows:
            same[row, rows[shape.positions]] = True
    return same


def _smoothest(
    here: _Measured,
    there: _Measured,
    i: np.ndarray,
    j: np.ndarray,
    contours: Sequence[str],
    *,
    loop: bool,
) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
    """For each pair: index of the smoothest contour (-1 for none), its step, its step back, its
    cost.
    """
    import numpy as np

    best = np.full(i.shape, np.inf)
    which = np.full(i.shape, -1)
    steps, backs = np.zeros(i.shape, int), np.zeros(i.shape, int)
    for index, contour in enumerate(contours):
        leave, land = _leaves(contour), _lands(contour)
        step = there.midi[j, land] - here.midi[i, leave]
        back = here.midi[i, 1 - leave] - there.midi[j, 1 - land]
        size = np.abs(step)
        change = np.abs(there.string[j, land] - here.string[i, leave])
        cost = (
            JOIN_COSTS["semitone beyond a whole step"] * np.maximum(0, size - 2)
            + JOIN_COSTS["the same note twice"] * (step == 0)
            + JOIN_COSTS["same string"] * (change == 0)
            + JOIN_COSTS["line goes on in one direction"] * (leave != land)
        )
        if loop:
            cost = cost + WAY_BACK * np.maximum(0, np.abs(back) - WIDEST_BACK)
        smoother = (size <= WIDEST_STEP) & (change <= WIDEST_STRING_CHANGE) & (cost < best)
        best = np.where(smoother, cost, best)
        which = np.where(smoother, index, which)
        steps = np.where(smoother, step, steps)
        backs = np.where(smoother, back, backs)
    return which, steps, backs, best


def _step_in_words(step: int) -> str:
    if step == 0:
        return "the same note again at the join"
    size = ("half step", "whole step", "minor third")[abs(step) - 1]
    return f"{size} {'up' if step > 0 else 'down'} at the join"
