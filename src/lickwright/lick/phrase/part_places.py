"""Where do the shapes of several parts lie best, played one after the other?

Every part brings the ways in which its triads can lie, each with its cost in mm of stretch.  To
these come, between neighbours, the costs at which two shapes join
(:data:`~lickwright.neck.shapes.joins.JOIN_COSTS`).  A part that mirrors must cross the strings the
other way round than its model, move for move, and a part may lie where its model does.

The first part is the idea, and lies where it lies best.  From there every part takes the cheapest
place after the one before it; only where a later mirror would not fit is a choice taken back, the
latest first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from lickwright.errors import NeckError
from lickwright.lick.phrase.composing import AnyShape, in_turn, places_of
from lickwright.lick.phrase.contour import Contour, PathNote, trace
from lickwright.neck import Guitar, HandProfile, Position, hand_profile
from lickwright.neck.shapes import JOIN_COSTS, frame_mm

#: Places of a part that are tried, the cheapest first, and trials in all.
MOST_PLACES, MOST_TRIALS = 40, 4_000

Shapes = tuple[AnyShape, ...]


@dataclass(frozen=True, slots=True)
class PartTask:
    """What is known of a part before it has a place.

    Parameters
    ----------
    name : of the part, for errors.
    ways : the shapes that may be played, each with its cost.
    contour : in which they are played.
    mirrors : index of the earlier part whose string changes it turns round.
    same_as : index of the earlier part whose shapes it takes, if as a mirror they fit it.
    """

    name: str
    ways: tuple[tuple[float, Shapes], ...]
    contour: Contour
    mirrors: int | None = None
    same_as: int | None = None


@dataclass(frozen=True, slots=True)
class _Laid:
    """A part in a place: its shapes, its cost, its line, the span of places of the hand in mm.

    ``crossings`` are the strings from note to note, ``moves`` the same within the shapes alone.
    """

    shapes: Shapes
    cost: float
    line: tuple[Position, ...]
    crossings: tuple[int, ...]
    moves: tuple[int | None, ...]
    hand_in: tuple[float, float]
    hand_out: tuple[float, float]


def place_parts(
    tasks: Sequence[PartTask], guitar: Guitar, hand: str | HandProfile = "medium"
) -> list[Shapes]:
    """The shapes of each part, near each other and fit for their links (see the module).

    Raises
    ------
    NeckError
        Where no place of a part that mirrors fits its model; it names both.
    """
    reach_mm = hand_profile(hand).comfortable_reach_mm

    def laid(task: PartTask, cost: float, shapes: Shapes) -> _Laid:
        path = trace(task.contour, [places_of(s) for s in in_turn(shapes, task.contour)])
        line = tuple(note.position for note in path)
        first, last = (frame_mm(places_of(shape), guitar) for shape in (shapes[0], shapes[-1]))
        return _Laid(
            shapes,
            cost,
            line,
            tuple(b.string - a.string for a, b in pairwise(line)),
            string_moves(path),
            (first[1] - reach_mm, first[0]),
            (last[1] - reach_mm, last[0]),
        )

    ways = [[laid(task, *way) for way in task.ways] for task in tasks]
    trials = iter(range(MOST_TRIALS))
    blocked = 0

    def fitting(index: int, chosen: Sequence[_Laid]) -> list[_Laid]:
        """The places of a part after those before it, the cheapest first."""
        task = tasks[index]
        model = None if task.mirrors is None else chosen[task.mirrors]
        if task.same_as is not None:
            same = laid(task, 0.0, chosen[task.same_as].shapes)
            if model is None or turns_round(same.moves, model.moves):
                return [same]
        found: Sequence[_Laid] = ways[index]
        if model is not None:
            found = [one for one in found if turns_round(one.moves, model.moves)]
        turned = None if model is None else tuple(-move for move in model.crossings)
        found = sorted(
            found,
            key=lambda one: (
                turned is not None and one.crossings != turned,
                one.cost + _join(chosen[-1:], one, guitar),
            ),
        )
        return found[:MOST_PLACES]

    def completed(index: int, chosen: list[_Laid]) -> list[_Laid] | None:
        nonlocal blocked
        if index == len(tasks):
            return chosen
        options = fitting(index, chosen)
        if not options:
            blocked = max(blocked, index)
        for one in options:
            if next(trials, None) is None:
                return None
            whole = completed(index + 1, [*chosen, one])
            if whole is not None:
                return whole
        return None

    found = completed(0, [])
    if found is None:
        task = tasks[blocked]
        model = tasks[task.mirrors or 0].name
        raise NeckError(
            f"'{task.name}' lies nowhere so that it crosses the strings as '{model}' does, the"
            " other way round",
            mend="Widen its frets or strings, or vary the earlier part instead",
        )
    return [one.shapes for one in found]


def _join(earlier: Sequence[_Laid], after: _Laid, guitar: Guitar) -> float:
    """What it costs to come from the part before, if there is one, in mm of hand travel."""
    if not earlier:
        return 0.0
    before = earlier[-1]
    travel_mm = max(
        0.0, after.hand_in[0] - before.hand_out[1], before.hand_out[0] - after.hand_in[1]
    )
    step = abs(guitar.midi_at(after.line[0]) - guitar.midi_at(before.line[-1]))
    return (
        JOIN_COSTS["mm of hand travel"] * travel_mm
        + JOIN_COSTS["the same note twice"] * (step == 0)
        + JOIN_COSTS["semitone beyond a whole step"] * max(0, step - 2)
    )


def string_moves(path: Sequence[PathNote]) -> tuple[int | None, ...]:
    """Strings from each note to the next, bassward positive; ``None`` from one shape to another."""
    return tuple(
        b.position.string - a.position.string if a.shape == b.shape else None
        for a, b in pairwise(path)
    )


def turns_round(moves: Sequence[int | None], model: Sequence[int | None]) -> bool:
    """Whether a line crosses the strings the other way round than its model.

    Between two shapes any move will do: there a stroke of its own can begin.
    """
    return len(moves) == len(model) and all(
        mine is None or theirs is None or mine == -theirs
        for mine, theirs in zip(moves, model, strict=True)
    )
