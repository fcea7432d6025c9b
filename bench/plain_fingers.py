"""The left hand in plain Python: the model of docs/hands.md said again, note by note.

It shares nothing with the library but the table of weights: every term is worked out with scalars,
straight from its description, and the shortest path is the textbook recurrence.  The tests hold the
library against it, and the bench measures how much faster the library is.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from lickwright.lick.fingering import weights as w

W = w.HandWeights()
WEAK = {1: 0, 2: 0, 3: W.ring, 4: W.little}
ROLL = {1: W.roll_index, 2: W.roll_middle, 3: W.roll_ring, 4: W.roll_little}

State = tuple[int, int]  # finger, fret of the index
Note = tuple[int, int]  # string, fret

#: A medium hand on a 648 mm neck: spreads by pair of fingers, as docs/hands.md has them.
SCALE_MM = 648.0
COMFORTABLE = {(1, 2): 48, (1, 3): 70, (1, 4): 94, (2, 3): 31, (2, 4): 60, (3, 4): 29}
GREATEST = {(1, 2): 76, (1, 3): 100, (1, 4): 126, (2, 3): 56, (2, 4): 88, (3, 4): 52}


def behind_wire_mm(fret: int) -> float:
    """Where a finger stands: a quarter of the way back from the wire to the one before."""
    wire, before = (SCALE_MM * (1 - 2 ** (-n / 12)) for n in (fret, fret - 1))
    return wire - (wire - before) / 4


def haste(seconds: float | None) -> float:
    if seconds is None:
        return 1.0
    slowest, fastest = w.HASTE_BOUNDS
    return min(fastest, max(slowest, w.UNHURRIED_S / seconds))


def states(fret: int, frets: int = 24) -> list[State]:
    """Fingers and places that reach a fret, in the order in which ties go."""
    found = []
    for finger, offset in w.OFFSETS:
        place = fret + 1 - finger - offset
        if not 1 <= place <= frets:
            continue
        away = abs(behind_wire_mm(fret) - behind_wire_mm(place))
        if finger == 1 or away <= GREATEST[1, finger]:
            found.append((finger, place))
    return found


def off_its_fret(finger: int, frets: int) -> int:
    name = w.OFFSETS[finger, frets]
    return 0 if name is None else int(getattr(W, name))


def note_cost(note: Note, state: State) -> int:
    finger, place = state
    return off_its_fret(finger, note[1] - (place + finger - 1)) + WEAK[finger]


def step_cost(one: Note, a: State, two: Note, b: State, hurry: float, free: bool) -> int:
    """Everything that going from one stopped note to the next costs; ``free`` after an open."""
    cost = 0
    (finger, place), (next_finger, next_place) = a, b
    travel = abs(behind_wire_mm(place) - behind_wire_mm(next_place))
    if place != next_place and travel <= w.PIVOT_MM:
        cost += round((W.pivot + W.move_per_mm * travel) * hurry**w.SMALL_MOVE)
    elif place != next_place:
        cost += round((W.shift + W.move_per_mm * travel) * hurry**w.LARGE_MOVE)
        if not free and (finger, one[0]) != (next_finger, two[0]):
            unguided = W.unguided_along if one[0] == two[0] else W.unguided_across
            cost += round(unguided * hurry**w.LARGE_MOVE)
    if place != next_place and one[0] != two[0] and place <= two[1] <= place + 3 and not free:
        cost += W.within_reach
    if free:
        return cost + (W.off_open_position if 1 < next_place <= w.LAST_OPEN_PLACE else 0)
    if finger == next_finger:
        return cost + same_finger_cost(one, two, finger, next_place - place, travel, hurry)
    if one == two:
        cost += W.swap
    lower, higher = sorted([(finger, one), (next_finger, two)])
    rise = higher[1][1] - lower[1][1]
    mm = abs(behind_wire_mm(two[1]) - behind_wire_mm(one[1]))
    pair = (lower[0], higher[0])
    if place == next_place:
        if mm > GREATEST[pair] or (rise < 0 and one[0] == two[0]):
            return w.IMPOSSIBLE
        if rise < 0:
            cost += W.crossed
        if rise == 0 and one[0] != two[0]:
            to_thinner = higher[1][0] < lower[1][0]
            cost += W.stacked if to_thinner else W.crossed_on_one_fret
    if travel <= w.PIVOT_MM and rise > 0:
        per_mm = W.stretch_per_mm if one[0] == two[0] else W.stretch_across_per_mm
        cost += round(per_mm * max(0.0, mm - COMFORTABLE[pair]))
    return cost


def same_finger_cost(
    one: Note, two: Note, finger: int, moved: int, travel: float, hurry: float
) -> int:
    gap = abs(one[0] - two[0])
    if gap == 0:
        if one[1] == two[1]:
            return 0
        return round((W.slide_with_hand if moved else W.slide) * hurry)
    if one[1] != two[1] or (gap > 1 and finger > 1):
        carried = two[1] - one[1] == moved and travel > w.PIVOT_MM
        return round((W.leap_with_hand if carried else W.jump) * hurry)
    if gap == 1:
        return round(ROLL[finger] * hurry**w.SMALL_MOVE)
    return W.barre + W.barre_per_string * gap


def ahead_cost(one: Note, a: State, three: Note, c: State, hurry: float) -> int:
    """Everything that two stopped notes cost which one more parts."""
    (finger, place), (next_finger, next_place) = a, c
    frets = three[1] - one[1]
    travel = abs(behind_wire_mm(place) - behind_wire_mm(next_place))
    cost = round(W.moved_on * hurry**w.LARGE_MOVE) if travel > w.PIVOT_MM else 0
    if finger == next_finger:
        carried = frets == next_place - place
        return cost + (round(W.needed_again * hurry) if frets and not carried else 0)
    if one == three:
        cost += W.refingered
    if one[0] == three[0] and travel > w.PIVOT_MM:
        cost += round(W.unguided_ahead * hurry**w.LARGE_MOVE)
    return cost


def ahead(
    notes: Sequence[Note], seconds: float | None, columns: Sequence[Sequence[State]]
) -> list[list[list[int]] | None]:
    """What each column costs with the one two before; ``None`` where an open string parts them."""
    stopped = [index for index, note in enumerate(notes) if note[1] > 0]
    hurry = haste(seconds)
    found: list[list[list[int]] | None] = []
    for column, index in enumerate(stopped):
        if column < 2 or index - stopped[column - 2] > 2:
            found.append(None)
            continue
        one, three = notes[index - 2], notes[index]
        found.append(
            [
                [ahead_cost(one, a, three, c, hurry) for c in columns[column]]
                for a in columns[column - 2]
            ]
        )
    return found


def lattice(
    notes: Sequence[Note], seconds: float | None
) -> tuple[list[list[State]], list[list[int]], list[list[list[int]]]]:
    """States, their costs and the steps between them, for the stopped notes of an even line."""
    stopped = [index for index, note in enumerate(notes) if note[1] > 0]
    columns = [states(notes[index][1]) for index in stopped]
    nodes = [
        [note_cost(notes[index], state) for state in column]
        for index, column in zip(stopped, columns, strict=True)
    ]
    if stopped and stopped[0] > 0:
        nodes[0] = [
            cost + (W.off_open_position if 1 < place <= w.LAST_OPEN_PLACE else 0)
            for cost, (_, place) in zip(nodes[0], columns[0], strict=True)
        ]
    hurry = haste(seconds)
    steps = [
        [
            [
                step_cost(notes[before], a, notes[index], b, hurry, index - before > 1)
                for b in columns[column]
            ]
            for a in columns[column - 1]
        ]
        for column, (before, index) in enumerate(pairwise(stopped), 1)
    ]
    return columns, nodes, steps


def same_hand(
    notes: Sequence[Note], columns: Sequence[Sequence[State]], pairs: Sequence[tuple[int, int]]
) -> list[tuple[int, int, list[tuple[int, int]]]]:
    """For pairs of notes that repeat each other: their columns, and the states that are the same.

    The same finger, as far off its own fret.
    """
    stopped = [index for index, note in enumerate(notes) if note[1] > 0]
    column_of = {index: column for column, index in enumerate(stopped)}
    found = []
    for later, earlier in pairs:
        if later in column_of and earlier in column_of:
            keys = [
                [(finger, notes[index][1] - place) for finger, place in columns[column_of[index]]]
                for index in (later, earlier)
            ]
            shared = [(a, keys[1].index(key)) for a, key in enumerate(keys[0]) if key in keys[1]]
            found.append((column_of[later], column_of[earlier], shared))
    return found


def least_cost(notes: Sequence[Note], seconds: float | None = None) -> int:
    """The cheapest fingering's cost, by the textbook recurrence over pairs of states."""
    columns, nodes, steps = lattice(notes, seconds)
    if not nodes:
        return 0
    looks = ahead(notes, seconds, columns)
    reached: dict[tuple[int, int], float] = {(0, s): node for s, node in enumerate(nodes[0])}
    for column, step in enumerate(steps, 1):
        look = looks[column]
        fresh: dict[tuple[int, int], float] = {}
        for (q, r), cost in reached.items():
            for s, node in enumerate(nodes[column]):
                total = cost + step[r][s] + node + (look[q][s] if look else 0)
                if total < fresh.get((r, s), math.inf):
                    fresh[r, s] = total
        reached = fresh
    least = min(reached.values())
    return int(least) if math.isfinite(least) else w.IMPOSSIBLE
