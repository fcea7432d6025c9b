"""Which strokes may a line under one chord have?

Those of the lick, where they stay possible on the new strings; those with the stroke turned round
on which the lick starts (again), since it may not join up with what comes before; and the best of
the picking style, from either stroke.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from lickwright.changes.lines.joins import CarryCosts, RunEnd, run_ends
from lickwright.errors import HandError
from lickwright.lick import Stroke, Technique
from lickwright.lick.fingering import Repeat
from lickwright.lick.picking import (
    REST_GAP,
    Beat,
    Picking,
    StrokeCosts,
    assign_strokes,
    check_strokes,
    hand_swing,
    legato_techniques,
    opposite,
    stroke_costs,
)
from lickwright.neck import Position


@dataclass(frozen=True, slots=True)
class PickedLine:
    """Strokes and techniques of a line.

    Parameters
    ----------
    points : of :class:`~lickwright.lick.picking.strokes.StrokeCosts`, all terms together.
    first, last : what the picked notes at its ends do.
    changed : how many notes have another stroke than in the lick.
    """

    strokes: tuple[Stroke | None, ...]
    techniques: tuple[Technique, ...]
    points: int
    first: RunEnd
    last: RunEnd
    changed: int


@dataclass(frozen=True, slots=True)
class PickingTask:
    """What is known of the picking before the strings are.

    Parameters
    ----------
    onsets : of the line's notes, in quarter notes from a bar line.
    room : quarter notes from the last onset to the end of the chord.
    strokes, techniques : the lick's own, one a note.
    starts : indices of the notes on which the lick starts: 0, and where it starts again.
    beat : length of a beat in quarter notes, or the lengths of a bar's beats in turn.
    """

    onsets: tuple[Fraction, ...]
    room: Fraction
    strokes: tuple[Stroke | None, ...]
    techniques: tuple[Technique, ...]
    picking: Picking
    points: StrokeCosts
    starts: tuple[int, ...] = (0,)
    beat: Beat = Fraction(1)


class StrokeBook:
    """Picked lines by strings, each worked out once: thousands of lines are one to the pick."""

    def __init__(self, task: PickingTask) -> None:
        self._task = task
        self._lines: dict[bytes, tuple[PickedLine, ...]] = {}

    def lines(self, positions: Sequence[Position]) -> tuple[PickedLine, ...]:
        """The picked lines that some positions allow; there is always one."""
        seen = seen_by_the_pick(positions)
        if seen not in self._lines:
            self._lines[seen] = tuple(_picked_lines(self._task, positions))
        return self._lines[seen]

    def known(self, seen: bytes) -> tuple[PickedLine, ...] | None:
        """The lines of positions that were asked for before, by what the pick sees of them."""
        return self._lines.get(seen)


@lru_cache(maxsize=256)
def stroke_book(task: PickingTask) -> StrokeBook:
    """The book of a task; the same one whenever the task comes back."""
    return StrokeBook(task)


def seen_by_the_pick(positions: Sequence[Position]) -> bytes:
    """A byte a note: thrice its string, and 0, 1 or 2 where the fret falls, stays or rises on it.

    The first note on a string stays.
    """
    seen = bytearray()
    string, fret = 0, 0
    for place in positions:
        rise = place.fret - fret if place.string == string else 0
        seen.append(3 * place.string + 1 + (rise > 0) - (rise < 0))
        string, fret = place.string, place.fret
    return bytes(seen)


def _picked_lines(task: PickingTask, positions: Sequence[Position]) -> list[PickedLine]:
    lines: dict[tuple[Stroke | None, ...], PickedLine] = {}
    found = [*_own(task, positions), *(_anew(task, positions, first) for first in Stroke)]
    for line in found:
        if line is not None:
            lines.setdefault(line.strokes, line)
    return list(lines.values())


def _own(task: PickingTask, positions: Sequence[Position]) -> Iterator[PickedLine]:
    """The lick's own strokes where a pick can play them, its starts turned round or not."""
    if all(stroke is None for stroke in task.strokes):
        return
    for turned in ((), task.starts[:1], task.starts[1:], task.starts):
        strokes = tuple(
            opposite(stroke) if stroke is not None and index in turned else stroke
            for index, stroke in enumerate(task.strokes)
        )
        wrong = check_strokes(
            positions,
            strokes,
            task.techniques,
            onsets=task.onsets,
            beat=task.beat,
            policy=task.picking,
        )
        if not wrong:
            yield _line(task, positions, strokes, task.techniques)


def _anew(task: PickingTask, positions: Sequence[Position], first: Stroke) -> PickedLine | None:
    """The best strokes of the style from a first stroke; ``None`` where the style has none such.

    A hammer-on, pull-off or slide stays where its string stays, else the note is picked.
    """
    if task.picking is Picking.LEGATO:
        techniques = tuple(legato_techniques(positions, onsets=task.onsets))
    else:
        techniques = tuple(
            technique
            if index and positions[index].string == positions[index - 1].string
            else Technique.PICK
            for index, technique in enumerate(task.techniques)
        )
    pins = {0: first} if techniques[0] is Technique.PICK else {}
    try:
        strokes = assign_strokes(
            positions,
            task.picking,
            techniques=techniques,
            onsets=task.onsets,
            beat=task.beat,
            pins=pins,
            costs=task.points,
            repeats=_loop(positions),
        )
    except HandError:
        return None  # the style has no line that begins with this stroke
    return _line(task, positions, tuple(strokes), techniques)


def _loop(positions: Sequence[Position]) -> tuple[Repeat, ...]:
    """The line as a loop, if the pick sees it go round the same strings to its end."""
    seen = seen_by_the_pick(positions)
    for period in range(3, len(seen) - 2):
        if seen[period] // 3 == seen[0] // 3 and seen[period + 1 :] == seen[1:-period]:
            return (Repeat(period, len(seen) - period, 0, "again"),)
    return ()


def new_strokes_cost(line: PickedLine, costs: CarryCosts) -> int:
    """What it costs that strokes are not the lick's: in proportion to how many are changed."""
    return costs.new_strokes * line.changed // len(line.strokes)


def _swings_back(task: PickingTask) -> bool:
    """Whether the hand has time for the same stroke again where the chord ends."""
    hand = hand_swing((*task.onsets, task.onsets[-1] + task.room), task.beat)
    return hand[-2].stroke is hand[-1].stroke


def _line(
    task: PickingTask,
    positions: Sequence[Position],
    strokes: tuple[Stroke | None, ...],
    techniques: tuple[Technique, ...],
) -> PickedLine:
    terms = stroke_costs(
        positions,
        strokes,
        task.picking,
        techniques=techniques,
        onsets=task.onsets,
        beat=task.beat,
        costs=task.points,
    )
    first, last = run_ends([place.string for place in positions], strokes)
    if task.room >= REST_GAP or (task.picking is Picking.ALTERNATE and _swings_back(task)):
        last = RunEnd.FREE
    points = sum(term.points for note in terms for term in note)
    changed = sum(
        own is not None and own is not stroke
        for own, stroke in zip(task.strokes, strokes, strict=True)
    )
    return PickedLine(strokes, techniques, points, first, last, changed)
