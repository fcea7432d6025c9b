"""What do a player's own fingerings say about the hand?  Weights fitted to fingered lines.

Every weight of the hand counts something that a fingering does: how often a finger rolls, how many
millimetres the hand moves.  The cost of a fingering is the sum of its counts, each times its
weight.  So a line that a player fingers otherwise than the cheapest way says which weights are too
great and which too small (structured perceptron with a margin: Collins 2002; Tsochantaridis et al.
2005).  Each weight changes by a factor, and is drawn back towards the usual one.

This module needs numpy and is loaded by the learning alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np
import numpy.typing as npt

from lickwright.errors import HandError
from lickwright.lick.fingering import (
    IMPOSSIBLE,
    FingeringTrellis,
    HandTask,
    HandWeights,
    Onset,
    Place,
    Repeat,
    Trellis,
    fingering_trellis,
    line_repeats,
    read_task,
    tie,
    tied_paths,
)
from lickwright.lick.notes import Technique
from lickwright.neck import Guitar, HandProfile, Position

Vector = npt.NDArray[np.float64]
Cells = npt.NDArray[np.int64]

NAMES = tuple(field.name for field in fields(HandWeights))
#: One whole unit of a weight, so that what is rounded keeps three digits.
_UNIT = 1000
#: A weight that is usually nothing grows from here.
_NOTHING = 100.0
#: A finger that the player does not use must cost so much more.
_MARGIN = 150
#: How far one line moves a weight, and how strongly it is drawn back to the usual.
_RATE, _DRAW = 0.08, 0.02
_LEAST, _MOST_FACTOR = 0.02, 12.0


@dataclass(frozen=True, slots=True)
class FingeredLine:
    """A line with the fingers that a player gives it.

    Parameters
    ----------
    task : its notes in time, without pins.
    places : where each note lies.
    repeats : its figures.
    ways : the fingers of every way that the player fingers it.
    """

    task: HandTask
    places: tuple[Position, ...]
    repeats: tuple[Repeat, ...]
    ways: tuple[tuple[int, ...], ...]


def fingered_line(
    positions: Iterable[Place],
    ways: Iterable[Sequence[int]],
    guitar: Guitar | str | None = None,
    tempo_bpm: float | None = None,
    *,
    onsets: Sequence[Onset] | None = None,
    hand: str | HandProfile = "medium",
    techniques: Sequence[Technique] | None = None,
) -> FingeredLine:
    """A line as a player fingers it.

    Parameters
    ----------
    positions : string and fret of each note.
    ways : the fingers of every way that the player fingers it, one a note, 0 for an open string.
    guitar, tempo_bpm, onsets, hand, techniques : as in
        :func:`~lickwright.lick.fingering.fingers.assign_fingers`.

    Returns
    -------
    FingeredLine

    Raises
    ------
    HandError, NeckError, RhythmError
        With the number of the note, counted from 1, and why it cannot be.

    Examples
    --------
    >>> fingered_line([(3, 5), (3, 7)], [[1, 3]]).ways
    ((1, 3),)
    """
    places = tuple(Position(*at) if isinstance(at, tuple) else at for at in positions)
    own = tuple(tuple(way) for way in ways)
    for way in own:
        if len(way) != len(places):
            raise HandError(
                f"{len(way)} fingers for {len(places)} notes", mend="Give one finger for each note"
            )
    task = read_task(len(places), guitar, tempo_bpm, None, onsets, hand, "sum", techniques)
    return FingeredLine(task, places, line_repeats(task, places), own)


class CountedLine:
    """A line with what each of its states and steps counts, by weight."""

    def __init__(self, line: FingeredLine) -> None:
        self.line = line
        hand = replace(line.task.hand, habits=())
        self.base = _lattice(line, hand)
        units = [
            _lattice(line, replace(hand, habits=tuple((n, _UNIT * (n == own)) for n in NAMES)))
            for own in NAMES
        ]
        columns = range(len(self.base.columns))
        shut = self.base.trellis
        self.shut = (
            [node >= IMPOSSIBLE for node in shut.nodes],
            [step >= IMPOSSIBLE for step in shut.steps],
        )
        self.nodes = [_counts([u.trellis.nodes[c] for u in units]) for c in columns]
        self.steps = [_counts([u.trellis.steps[c] for u in units]) for c in columns]
        self.ahead = [
            None
            if all(u.ahead[c] is None for u in units)
            else _counts([_or_nothing(u.ahead[c], self.base, c) for u in units])
            for c in columns
        ]

    def fingers(self, column: int) -> list[tuple[int, ...]]:
        """The fingers of each state of a column."""
        held = self.base.held(column)
        return list(zip(*(note.finger.tolist() for note in held), strict=True))

    def wanted(self, way: Sequence[int]) -> list[npt.NDArray[np.bool_]]:
        """For each column, the states whose fingers are those of a way."""
        return [
            np.array([own == tuple(way[at] for at in notes) for own in self.fingers(column)])
            for column, notes in enumerate(self.base.columns)
        ]

    def solved(
        self,
        weights: Vector,
        only: Sequence[npt.NDArray[np.bool_]] | None = None,
        spare: Sequence[npt.NDArray[np.bool_]] | None = None,
        keep: bool = True,
    ) -> tuple[int, tuple[int, ...]]:
        """Cost and states of the cheapest fingering, where it may only use some states, or where
        all states but some are cheaper by the margin."""
        nodes: list[Cells] = []
        for column, counts in enumerate(self.nodes):
            node = np.where(self.shut[0][column], IMPOSSIBLE, _priced(weights, counts))
            if only is not None:
                node = np.where(only[column], node, IMPOSSIBLE)
            if spare is not None:
                node = np.where(spare[column], node, node - _MARGIN)
            nodes.append(node)
        steps = [
            np.where(shut, IMPOSSIBLE, _priced(weights, counts)) if column else counts[0]
            for column, (shut, counts) in enumerate(zip(self.shut[1], self.steps, strict=True))
        ]
        ahead = [None if counts is None else _priced(weights, counts) for counts in self.ahead]
        trellis = Trellis(nodes, steps, self.base.trellis.labels)
        lattice = replace(self.base, trellis=trellis, ahead=ahead)
        moments = [moment.notes for moment in self.line.task.moments]
        kept = tie(lattice, self.line.repeats if keep else (), moments, {})
        paths = tied_paths(lattice, kept, "sum", 1)
        return (paths[0].cost, paths[0].states) if paths else (IMPOSSIBLE, ())

    def counts(self, states: Sequence[int]) -> Vector:
        """What a path counts, by weight."""
        total = np.zeros(len(NAMES))
        for column, state in enumerate(states):
            total += self.nodes[column][:, state]
            if column:
                total += self.steps[column][:, states[column - 1], state]
            ahead = self.ahead[column]
            if ahead is not None:
                total += ahead[:, states[column - 2], state]
        return total

    def agreeing(self, weights: Vector) -> int:
        """Notes on which the cheapest fingering agrees with the nearest of the player's ways."""
        _, states = self.solved(weights)
        found = [0] * len(self.line.places)
        for column, state in enumerate(states):
            own = self.fingers(column)[state]
            for at, finger in zip(self.base.columns[column], own, strict=True):
                found[at] = finger
        return max(sum(a == b for a, b in zip(found, way, strict=True)) for way in self.line.ways)


def usual_weights() -> Vector:
    """The weights of a hand that nothing is known of, in the order of :data:`NAMES`."""
    usual = HandWeights()
    return np.array([getattr(usual, name) for name in NAMES], np.float64)


def fitted(lines: Sequence[CountedLine], rounds: int = 12, start: Vector | None = None) -> Vector:
    """The weights by which the lines are fingered as the player fingers them, as near as may be.

    The mean over all rounds but the first, which is steadier than the last.
    """
    usual = usual_weights() if start is None else start
    grain = np.where(usual > 0, usual, _NOTHING)
    factor = np.where(usual > 0, 1.0, 0.0)
    kept: list[Vector] = []
    for number in range(rounds):
        rate = _RATE / (1 + number / 4)
        for line in lines:
            weights = grain * factor
            wanted = _nearest(line, weights)
            if wanted is None:
                continue
            states, allowed = wanted
            _, found = line.solved(weights, spare=allowed)
            change = line.counts(found) - line.counts(states)
            if change.any():
                push = change * grain
                push /= max(1.0, float(np.abs(push).sum()) / 1000)
                factor = np.clip(factor + rate * push / 300, _LEAST * (usual > 0), _MOST_FACTOR)
        factor += _DRAW * (np.where(usual > 0, 1.0, 0.0) - factor)
        if number:
            kept.append(factor.copy())
    return np.asarray(np.rint(grain * np.mean(kept or [factor], axis=0)))


def _nearest(
    line: CountedLine, weights: Vector
) -> tuple[tuple[int, ...], list[npt.NDArray[np.bool_]]] | None:
    """The cheapest path that has the fingers of one of the player's ways, and that way's states."""
    best = None
    for way in line.line.ways:
        allowed = line.wanted(way)
        cost, states = line.solved(weights, only=allowed)
        if not states or cost >= IMPOSSIBLE:  # the player does not keep the figures
            cost, states = line.solved(weights, only=allowed, keep=False)
        if states and cost < IMPOSSIBLE and (best is None or cost < best[0]):
            best = (cost, states, allowed)
    return None if best is None else (best[1], best[2])


def _lattice(line: FingeredLine, hand: HandProfile) -> FingeringTrellis:
    return fingering_trellis(replace(line.task, hand=hand, pins={}), line.places)


def _or_nothing(costs: Cells | None, base: FingeringTrellis, column: int) -> Cells:
    if costs is not None:
        return costs
    nodes = base.trellis.nodes
    return np.zeros((len(nodes[column - 2]), len(nodes[column])), np.int64)


def _counts(costs: Sequence[Cells]) -> Vector:
    """Counts by weight, from costs at one whole unit of each."""
    together = np.stack(costs).astype(np.float64)
    return np.where(together >= IMPOSSIBLE, 0.0, together / _UNIT)


def _priced(weights: Vector, counts: Vector) -> Cells:
    return np.rint(np.tensordot(weights, counts, 1)).astype(np.int64)


def fitted_habits(lines: Sequence[FingeredLine]) -> tuple[tuple[str, int], ...]:
    """The habits of a player: every weight that the lines move from the usual one.

    Parameters
    ----------
    lines : each with the player's fingers.

    Returns
    -------
    tuple of (str, int)
        As :class:`~lickwright.neck.HandProfile` has them.

    Examples
    --------
    >>> dict(fitted_habits([fingered_line([(3, 5), (3, 7)], [[1, 3]])]))["little"] > 150
    True
    """
    return habits_of(fitted([CountedLine(line) for line in lines]))


def habits_of(weights: Vector) -> tuple[tuple[str, int], ...]:
    """The weights that are not the usual ones, by name."""
    return tuple(
        (name, int(weight))
        for name, weight, usual in zip(NAMES, weights, usual_weights(), strict=True)
        if weight != usual
    )
