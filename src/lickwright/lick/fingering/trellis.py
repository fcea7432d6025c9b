"""Which states can the hand be in at each moment, and what does each way between them cost?

A moment with one stopped note has a state for each entry of
:data:`~lickwright.lick.fingering.costs.OFFSETS`.  Notes that start together are a *grip*: a state
for each way of stopping them all at once in one place (:mod:`~lickwright.lick.fingering.grips`).  A
moment of open strings has no state: the hand stays, or moves on with its fingers off the strings.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from lickwright.errors import HandError
from lickwright.lick.fingering.costs import (
    HandTables,
    ahead_terms,
    hand_tables,
    haste,
    moment_terms,
    open_position_cost,
    out_of_reach,
    slur_of,
    step_terms,
)
from lickwright.lick.fingering.grips import Grips, grips
from lickwright.lick.fingering.hand_states import (
    STATE_FINGER,
    STATE_OFFSET,
    Array,
    Flags,
    Floats,
    Held,
    hold,
)
from lickwright.lick.fingering.paths import Trellis, blocked_at
from lickwright.lick.fingering.task import HandTask, Moment, Pin
from lickwright.lick.fingering.weights import IMPOSSIBLE, UNHURRIED_S
from lickwright.neck import Position

#: Rows of the table of distinct steps that are worked out at once: few enough for their arrays to
#: stay in a processor's cache.
_CHUNK = 64


@dataclass(frozen=True, slots=True)
class FingeringTrellis:
    """The states of a line.

    Parameters
    ----------
    columns : the notes that fingers stop, for each moment that has any.
    hurry : haste of the step into each column.
    free : whether an open string sounded alone before each column.
    slur : how each column is slurred from the note before: 0 not, 1 slid, 2 hammered or pulled.
    singles : states of every note of the line, were it stopped alone; a row for each note.
    grips : states of the columns with more than one note.
    trellis : the costs.
    ahead : for each column, what it costs with the one two before; ``None`` for nothing.
    """

    columns: tuple[tuple[int, ...], ...]
    hurry: Floats
    free: Flags
    slur: Array
    singles: Held
    grips: Mapping[int, Grips]
    trellis: Trellis
    ahead: Sequence[Array | None] = ()

    def held(self, column: int) -> tuple[Held, ...]:
        """What each note of a column has in each state."""
        if column in self.grips:
            return self.grips[column].held
        return (self.singles.rows(self.columns[column][0]),)


def fingering_trellis(task: HandTask, places: Sequence[Position]) -> FingeringTrellis:
    """All states of the hand along a line of notes, one of them stopped at least.

    Parameters
    ----------
    task : the line for one left hand.
    places : of its notes.

    Returns
    -------
    FingeringTrellis
        A column for each moment that a finger stops.

    Raises
    ------
    HandError
        When no hand can stop the notes of a moment, or not as pinned: says which note and why.

    Examples
    --------
    >>> from lickwright.lick.fingering import read_task
    >>> task = read_task(3, None, None, None, None, "medium", "sum")
    >>> line = [Position(3, 5), Position(3, 0), Position(3, 7)]
    >>> fingering_trellis(task, line).columns
    ((0,), (2,))
    """
    moments = list(_stopped(task, places))
    columns = tuple(notes for _, notes, _ in moments)
    found = {
        column: grips(moment.notes, task, dict(enumerate(places)))
        for column, (moment, notes, _) in enumerate(moments)
        if len(notes) > 1
    }
    string = np.array([place.string for place in places], np.int64)[:, None]
    fret = np.array([place.fret for place in places], np.int64)[:, None]
    singles = hold(task.guitar, STATE_FINGER, string, fret, fret + 1 - STATE_FINGER - STATE_OFFSET)
    hand = hand_tables(task.hand)
    state = hand.off_its_fret[STATE_FINGER, STATE_OFFSET] + hand.weak[STATE_FINGER]
    costs = np.where(out_of_reach(singles, hand, task.guitar.last_fret), IMPOSSIBLE, state)
    _keep_pins(costs, singles, task)
    lost = costs.min(axis=1) >= IMPOSSIBLE
    for notes in columns:
        if len(notes) == 1 and lost[notes[0]]:
            raise _no_finger(notes[0], places[notes[0]], task)
    nodes = list(costs[[notes[0] for notes in columns]])
    labels = [STATE_FINGER] * len(columns)
    for column, grip in found.items():
        nodes[column], labels[column] = grip.node, grip.labels
    seconds = [
        UNHURRIED_S if moment.seconds is None else moment.seconds for moment, _, _ in moments
    ]
    free = np.array([free for _, _, free in moments], bool)
    lattice = FingeringTrellis(
        columns,
        haste(np.array(seconds)),
        free,
        np.array([slur_of(task, moment.notes) for moment, _, _ in moments], np.int64),
        singles,
        found,
        Trellis(nodes, [], labels),
    )
    if free[0]:
        nodes[0] = nodes[0] + open_position_cost(lattice.held(0)[0].place, hand)
    trellis = Trellis(nodes, _steps(lattice, task), labels)
    return replace(lattice, trellis=trellis, ahead=_ahead(lattice, hand))


def _stopped(
    task: HandTask, places: Sequence[Position]
) -> Iterator[tuple[Moment, tuple[int, ...], bool]]:
    """Every moment that needs a finger, its stopped notes, and whether open strings led to it."""
    free = False
    for moment in task.moments:
        notes = tuple(index for index in moment.notes if places[index].fret > 0)
        if notes:
            yield moment, notes, free
        free = not notes


def refuse_blocked(lattice: FingeringTrellis, places: Sequence[Position], task: HandTask) -> None:
    """Say which pinned note cannot follow the one before it, where there is no way through."""
    column = blocked_at(lattice.trellis)
    if column is None:
        return
    before, after = lattice.columns[column - 1][-1], lattice.columns[column][0]
    said = [
        f"finger {pin.finger} on {place}"
        if pin.finger is not None
        else f"{place} in position {pin.place}"
        for pin, place in (
            (task.pins.get(index, Pin()), places[index]) for index in (before, after)
        )
    ]
    raise HandError(
        f"note {after + 1}: {said[1]} cannot follow {said[0]} (note {before + 1}) in one place of "
        "the hand",
        mend="Free one of the pins, or let the hand shift",
    )


def _keep_pins(costs: Array, singles: Held, task: HandTask) -> None:
    for index, pin in task.pins.items():
        if pin.finger is not None:
            costs[index, singles.finger[index] != pin.finger] = IMPOSSIBLE
        if pin.place is not None:
            costs[index, singles.place[index] != pin.place] = IMPOSSIBLE


def _steps(lattice: FingeringTrellis, task: HandTask) -> list[Array]:
    """The step into every column; the first is not read."""
    count = len(lattice.columns)
    hand = hand_tables(task.hand)
    steps: list[Array] = [np.zeros((0, 0), np.int64)] * count
    alone = np.array([column not in lattice.grips for column in range(count)], bool)
    plain = np.flatnonzero(alone[1:] & alone[:-1]) + 1
    notes = np.array([notes[0] for notes in lattice.columns], np.int64)
    # Equal steps are worked out once: a line repeats few pairs of notes.
    place = lattice.singles.string[:, 0] * 64 + lattice.singles.fret[:, 0]
    hurries, hurry = np.unique(lattice.hurry, return_inverse=True)
    key = (place[notes[plain - 1]] << 10 | place[notes[plain]]) * (6 * len(hurries))
    key += 6 * hurry[plain] + 2 * lattice.slur[plain] + lattice.free[plain]
    _, first, which = np.unique(key, return_index=True, return_inverse=True)
    table = np.empty((len(first), len(STATE_FINGER), len(STATE_FINGER)), np.int64)
    for start in range(0, len(first), _CHUNK):
        columns = plain[first[start : start + _CHUNK]]
        terms = step_terms(
            lattice.singles.rows(notes[columns - 1]).before(),
            lattice.singles.rows(notes[columns]).after(),
            lattice.hurry[columns, None, None],
            lattice.free[columns, None, None],
            hand,
            lattice.slur[columns, None, None],
        )
        table[start : start + _CHUNK] = sum(terms.values())
    for column, row in zip(plain.tolist(), which.tolist(), strict=True):
        steps[column] = table[row]
    for column in (np.flatnonzero(~(alone[1:] & alone[:-1])) + 1).tolist():
        terms = moment_terms(
            [held.before() for held in lattice.held(column - 1)],
            [held.after() for held in lattice.held(column)],
            lattice.hurry[column],
            lattice.free[column],
            hand,
            lattice.slur[column],
        )
        steps[column] = np.minimum(sum(terms.values()), IMPOSSIBLE)
    return steps


def _ahead(lattice: FingeringTrellis, hand: HandTables) -> list[Array | None]:
    """What each column costs with the one two before it, where no open string lies between."""
    count = len(lattice.columns)
    costs: list[Array | None] = [None] * count
    alone = np.array([column not in lattice.grips for column in range(count)], bool)
    at = np.flatnonzero(alone[2:] & alone[:-2] & ~lattice.free[2:] & ~lattice.free[1:-1]) + 2
    if not len(at):
        return costs
    notes = np.array([notes[0] for notes in lattice.columns], np.int64)
    place = lattice.singles.string[:, 0] * 64 + lattice.singles.fret[:, 0]
    hurries, hurry = np.unique(lattice.hurry, return_inverse=True)
    key = (place[notes[at - 2]] << 10 | place[notes[at]]) * len(hurries) + hurry[at]
    _, first, which = np.unique(key, return_index=True, return_inverse=True)
    table = np.empty((len(first), len(STATE_FINGER), len(STATE_FINGER)), np.int64)
    for start in range(0, len(first), _CHUNK):
        columns = at[first[start : start + _CHUNK]]
        terms = ahead_terms(
            lattice.singles.rows(notes[columns - 2]).before(),
            lattice.singles.rows(notes[columns]).after(),
            lattice.hurry[columns, None, None],
            hand,
        )
        table[start : start + _CHUNK] = sum(terms.values())
    dear: Flags = np.asarray(table.any(axis=(1, 2)))
    for column, row in zip(at.tolist(), which.tolist(), strict=True):
        if dear[row]:
            costs[column] = table[row]
    return costs


def _no_finger(index: int, place: Position, task: HandTask) -> HandError:
    """Why the pins of a note leave it no finger."""
    pin = task.pins.get(index, Pin())
    if pin.finger is None:
        what = f"{place} cannot be reached from position {pin.place}"
    elif pin.place is None:
        what = f"finger {pin.finger} cannot reach {place}: the index would lie behind the nut"
    else:
        what = f"finger {pin.finger} cannot reach {place} from position {pin.place}"
    return HandError(f"note {index + 1}: {what}", mend="Pin another finger, or leave it free")
