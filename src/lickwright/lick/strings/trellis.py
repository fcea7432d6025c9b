"""Which states has a note whose string is open to choice?  The trellis of strings and fingers.

A state is a place of every note of the moment, its finger and the place of the hand.  While open
strings sound the hand lies somewhere too: a state for each place, that only the hand itself
changes, on its way to the next stopped note.

This module needs numpy and is loaded by the search alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from lickwright.errors import HandError
from lickwright.lick.fingering import (
    IMPOSSIBLE,
    OPEN_STRING,
    STRING_SKIP,
    UNHURRIED_S,
    UP_THE_NECK,
    Array,
    Flags,
    HandTask,
    Held,
    Moment,
    Pin,
    Trellis,
    find_grips,
    grip_terms,
    hand_tables,
    haste,
    hold,
    moment_terms,
    out_of_reach,
)
from lickwright.neck import Position

_State = tuple[tuple[Position, ...], tuple[int, ...], int]  # places, fingers, fret of the index


@dataclass(frozen=True, slots=True)
class StringColumn:
    """The states of one moment: per note what its finger does, and the cost of each state."""

    held: tuple[Held, ...]
    node: Array
    labels: Array
    open: Flags


def string_trellis(
    task: HandTask, places: Sequence[Sequence[Position]]
) -> tuple[list[StringColumn], Trellis]:
    """The columns of a line, one for each moment, and the trellis over them.

    Parameters
    ----------
    places : for every note, where it may lie.

    Raises
    ------
    HandError
        When no hand can stop the notes of a moment: says which.
    """
    kinds: dict[object, StringColumn] = {}
    columns: list[StringColumn] = []
    keys: list[object] = []
    for moment in task.moments:
        key = tuple((tuple(places[index]), task.pins.get(index)) for index in moment.notes)
        if key not in kinds:
            kinds[key] = _column(moment, task, places)
        columns.append(kinds[key])
        keys.append(key)
    known: dict[object, Array] = {}
    steps: list[Array] = [np.zeros((0, 0), np.int64)]
    for c in range(1, len(columns)):
        seconds = task.moments[c].seconds
        pair = (keys[c - 1], keys[c], seconds)
        if pair not in known:
            known[pair] = _step(columns[c - 1], columns[c], seconds, task)
        steps.append(known[pair])
    nodes = [column.node for column in columns]
    return columns, Trellis(nodes, steps, [column.labels for column in columns])


def _column(moment: Moment, task: HandTask, places: Sequence[Sequence[Position]]) -> StringColumn:
    states = sorted(set(_states(moment, task, places)), key=_order)
    if not states:
        raise _no_state(moment)
    index = np.array([place for _, _, place in states], np.int64)
    held = tuple(
        hold(
            task.guitar,
            np.array([fingers[k] for _, fingers, _ in states], np.int64),
            np.array([positions[k].string for positions, _, _ in states], np.int64),
            np.array([positions[k].fret for positions, _, _ in states], np.int64),
            index,
        )
        for k in range(len(moment.notes))
    )
    hand = hand_tables(task.hand)
    node = sum(grip_terms(held, hand).values(), np.zeros(len(states), np.int64))
    for note in held:
        node += UP_THE_NECK * note.fret + OPEN_STRING * (note.finger == 0)
        lost = (note.finger > 0) & out_of_reach(note, hand, task.guitar.last_fret)
        node = np.where(lost, IMPOSSIBLE, node)
    node = np.minimum(node, IMPOSSIBLE)
    if node.min() >= IMPOSSIBLE:
        raise _no_state(moment)
    ranks: dict[object, int] = {}
    labels = [ranks.setdefault(state[:2], len(ranks)) for state in states]
    open_ = np.all([note.finger == 0 for note in held], axis=0)
    return StringColumn(held, node, np.array(labels, np.int64), open_)


def _order(state: _State) -> tuple[object, ...]:
    """Of equals, the lower place of the notes, the lower finger, the lower place of the hand."""
    positions, fingers, place = state
    return ([p.fret for p in positions], [p.string for p in positions], fingers, place)


def _states(
    moment: Moment, task: HandTask, places: Sequence[Sequence[Position]]
) -> Iterator[_State]:
    """Every way to sound the notes of a moment, reach aside."""
    for positions in product(*(places[index] for index in moment.notes)):
        if len({position.string for position in positions}) < len(positions):
            continue
        at = dict(zip(moment.notes, positions, strict=True))
        if all(position.fret == 0 for position in positions):
            pinned = {task.pins.get(index, Pin()).place for index in moment.notes} - {None}
            for place in pinned or range(1, task.guitar.last_fret + 1):
                yield positions, (0,) * len(positions), place or 0
            continue
        for fingers, place in find_grips(moment.notes, task, at):
            stopping = iter(fingers)
            yield (
                positions,
                tuple(next(stopping) if position.fret else 0 for position in positions),
                place,
            )


def _step(a: StringColumn, b: StringColumn, seconds: float | None, task: HandTask) -> Array:
    terms = moment_terms(
        [held.before() for held in a.held],
        [held.after() for held in b.held],
        haste(np.array(UNHURRIED_S if seconds is None else seconds)),
        a.open[:, None],
        hand_tables(task.hand),
        np.zeros((), np.int64),
    )
    total = np.minimum(sum(terms.values()), IMPOSSIBLE)
    # over open strings the hand stays; it moves on its way to the next stopped note
    stays = a.held[0].place[:, None] == b.held[0].place[None, :]
    total = np.where(b.open[None, :], np.where(stays, 0, IMPOSSIBLE), total)
    gap = np.min(
        [np.abs(one.string[:, None] - two.string[None, :]) for one in a.held for two in b.held],
        axis=0,
    )
    step: Array = total + STRING_SKIP * np.maximum(0, gap - 1)
    return step


def _no_state(moment: Moment) -> HandError:
    if len(moment.notes) == 1:
        return HandError(
            f"note {moment.notes[0] + 1} cannot be stopped as pinned",
            mend="Pin another finger, string or place, or leave it free",
        )
    at = ", ".join(str(index + 1) for index in moment.notes)
    return HandError(
        f"notes {at} start together, and no hand stops them all at once",
        mend="Leave notes out, or play them one after the other",
    )
