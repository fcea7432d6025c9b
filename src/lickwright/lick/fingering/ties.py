"""How is a repetition kept?  The states of a line with those of each figure made one.

Moments that follow each other (:mod:`~lickwright.lick.fingering.figures`) are one variable of a
graph (:mod:`~lickwright.lick.fingering.graph`): one finger, as far off its own fret each time, so
that the hand does the same.  The steps inside a figure are paid as often as it is played, its end
leads into its beginning where it loops, and the ways in and out are free.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from lickwright.lick.fingering.figures import Repeat
from lickwright.lick.fingering.graph import (
    WIDEST,
    Answer,
    Graph,
    cells,
    cheapest,
    cheapest_labels,
    least_hardest,
    scopes_within,
)
from lickwright.lick.fingering.hand_states import STATE_FINGER, Array
from lickwright.lick.fingering.paths import HandPath, Trellis, no_harder_than
from lickwright.lick.fingering.task import Pin
from lickwright.lick.fingering.trellis import FingeringTrellis
from lickwright.lick.fingering.weights import IMPOSSIBLE

#: The widest table of the search: 14 states to the fourth power.  Where repeats take turns so that
#: more were needed, those of the fewest notes have the fingers of their first time.
WIDEST_SCOPE = 3
#: Tables as wide as a line without repeats needs with the look two notes ahead.
_AT_ONCE = 2
#: Entries of all tables of a search: some tens of milliseconds.
_MOST_CELLS, _STATES = 8_000_000, len(STATE_FINGER)


@dataclass(frozen=True, slots=True)
class Tied:
    """A line whose columns share variables.

    Parameters
    ----------
    of_column : the variable of each column, numbered as they first sound.
    states : for each column, which of its states are those of its variable; ``None`` for all.
    """

    of_column: tuple[int, ...]
    states: tuple[Array | None, ...]

    def settled(self, variables: set[int], path: Sequence[int]) -> Tied:
        """The same where some variables have the states of a path, as each first sounds."""
        first: dict[int, int] = {}
        states = list(self.states)
        for column, v in enumerate(self.of_column):
            if v in variables:
                own = self.states[column]
                at = path[column] if own is None else int(np.flatnonzero(own == path[column])[0])
                at = first.setdefault(v, at)
                states[column] = np.array([at if own is None else own[at]], np.int64)
        return Tied(self.of_column, tuple(states))

    def path(self, answer: Answer) -> HandPath:
        """The state of each column."""
        if not answer.states:
            return HandPath(answer.cost, ())
        return HandPath(
            answer.cost,
            tuple(
                answer.states[v] if own is None else int(own[answer.states[v]])
                for v, own in zip(self.of_column, self.states, strict=True)
            ),
        )


@dataclass(frozen=True, slots=True)
class KeptFigures:
    """The repeats that a line keeps, and how.

    Parameters
    ----------
    tied : the variables.
    count : how many of the repeats are kept, from the first.
    best : the cheapest answer.
    """

    tied: Tied
    count: int
    best: Answer


def tied_paths(
    lattice: FingeringTrellis, kept: KeptFigures, objective: str, count: int
) -> list[HandPath]:
    """The cheapest paths that keep what is tied.

    Parameters
    ----------
    lattice : the states of the line.
    kept : what is tied, as :func:`tie` found it.
    objective : ``"sum"`` or ``"minimax"``.
    count : how many paths.

    Returns
    -------
    list of HandPath
        The cheapest first; empty where there is none.

    Examples
    --------
    >>> from lickwright.lick.fingering import fingering_trellis, line_repeats, read_task
    >>> from lickwright.neck import Position
    >>> task = read_task(4, None, None, None, None, "medium", "sum")
    >>> line = [Position(3, 5), Position(2, 5), Position(3, 5), Position(2, 5)]
    >>> moments = [moment.notes for moment in task.moments]
    >>> lattice = fingering_trellis(task, line)
    >>> kept = tie(lattice, line_repeats(task, line), moments, {})
    >>> (path,) = tied_paths(lattice, kept, "sum", 1)
    >>> path.states[:2] == path.states[2:]
    True
    """
    trellis, tied = lattice.trellis, kept.tied
    if objective == "sum" and count == 1:
        return [tied.path(kept.best)] if kept.best.states else []
    if objective == "minimax":
        worst = least_hardest(_hardness(trellis, tied))
        if worst < IMPOSSIBLE:
            trellis = no_harder_than(trellis, worst)
    return [tied.path(answer) for answer in _best(lattice, tied, trellis, count)]


def _best(lattice: FingeringTrellis, tied: Tied, trellis: Trellis, count: int) -> Sequence[Answer]:
    """The cheapest answers, the look two notes ahead with them.

    A line that never repeats is searched with all of it at once.  Else what the answers do not pay
    is left out of the tables, which it would widen, and what they do is added until nothing is
    left unpaid: no other answer is cheaper then, since leaving out never makes one dearer.  Where
    the tables would grow too large, what they leave out is paid all the same, but not looked at.
    """
    graph = _summed(trellis, tied)
    ahead = _ahead(lattice, tied, graph)
    never_repeats = len(graph.nodes) == len(lattice.columns)
    if never_repeats or (count == 1 and scopes_within(_AT_ONCE, [*graph.edges, *ahead])):
        graph.edges.update(ahead)
        ahead = {}
    while True:
        found = [cheapest(graph)] if count == 1 else cheapest_labels(graph, count)
        unpaid = {
            pair
            for answer in found
            if answer.states
            for pair, costs in ahead.items()
            if costs[answer.states[pair[0]], answer.states[pair[1]]]
        }
        more = sorted(unpaid)
        while more and not _has_room(graph, more):
            more = more[: len(more) // 2]
        if not more:
            return [_paid(answer, ahead) for answer in found]
        for pair in more:
            graph.edges[pair] = ahead.pop(pair)


def _has_room(graph: Graph, more: Sequence[tuple[int, int]]) -> bool:
    """Whether the tables of the search may grow by some edges."""
    edges = [*graph.edges, *more]
    return scopes_within(WIDEST, edges) and cells(_STATES, edges) <= _MOST_CELLS


def _paid(answer: Answer, ahead: Mapping[tuple[int, int], Array]) -> Answer:
    """An answer with what it pays beyond the tables."""
    if not answer.states:
        return answer
    more = sum(int(costs[answer.states[u], answer.states[v]]) for (u, v), costs in ahead.items())
    return Answer(answer.cost + more, answer.states)


def _ahead(lattice: FingeringTrellis, tied: Tied, graph: Graph) -> dict[tuple[int, int], Array]:
    """What variables cost two notes apart, where that is not between neighbours too."""
    edges: dict[tuple[int, int], Array] = {}
    for column, costs in enumerate(lattice.ahead):
        if costs is None:
            continue
        u, v = tied.of_column[column - 2], tied.of_column[column]
        before, own = tied.states[column - 2], tied.states[column]
        costs = costs if before is None else costs[before]
        costs = costs if own is None else costs[:, own]
        pair = (u, v) if u < v else (v, u)
        into = graph.edges if pair in graph.edges else edges
        _add_step(into, graph.nodes, u, v, costs, np.add)
    return edges


def tie(
    lattice: FingeringTrellis,
    repeats: Sequence[Repeat],
    moments: Sequence[tuple[int, ...]],
    pins: Mapping[int, Pin],
) -> KeptFigures:
    """The repeats that a line can keep, the first of them first; all free where it keeps none.

    Parameters
    ----------
    lattice : the states of the line.
    repeats : the plainest and longest first.
    moments : the notes of each moment.
    pins : what the teacher settled: a pin binds every repetition, unless it is for here only or
        another repetition has a pin of its own.

    Returns
    -------
    KeptFigures
        How many of the repeats are kept, and the cheapest way to.

    Examples
    --------
    >>> from lickwright.lick.fingering import fingering_trellis, line_repeats, read_task
    >>> from lickwright.neck import Position
    >>> task = read_task(4, None, None, None, None, "medium", "sum")
    >>> line = [Position(3, 5), Position(2, 5), Position(3, 5), Position(2, 5)]
    >>> moments = [moment.notes for moment in task.moments]
    >>> lattice = fingering_trellis(task, line)
    >>> kept = tie(lattice, line_repeats(task, line), moments, {})
    >>> kept.count
    1
    """
    line = _TiedLine(lattice, repeats, moments, pins)
    found: dict[int, KeptFigures] = {}

    def can_be_kept(count: int) -> bool:
        tied = line.tied(count)
        if tied is None:
            return False
        best = _best(lattice, tied, lattice.trellis, 1)[0]
        if best.cost < IMPOSSIBLE:
            found[count] = KeptFigures(tied, count, best)
        return count in found

    if repeats and can_be_kept(len(repeats)):
        return found[len(repeats)]
    # Settled fingers may not follow each other: those that need no settling are kept then.
    most = _most(can_be_kept, line.exact(len(repeats))) if repeats else 0
    if most:
        return found[most]
    columns = range(len(lattice.columns))
    free = Tied(tuple(columns), (None,) * len(columns))
    return KeptFigures(free, 0, _best(lattice, free, lattice.trellis, 1)[0])


def _most(possible: Callable[[int], bool], count: int) -> int:
    """The greatest number that is possible, by halving: 0 is, and fewer are never harder."""
    if possible(count):
        return count
    low, high = 0, count
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if possible(middle) else (low, middle)
    return low


class _TiedLine:
    """A line whose repeats can be tied, all or the first few of them."""

    def __init__(
        self,
        lattice: FingeringTrellis,
        repeats: Sequence[Repeat],
        moments: Sequence[tuple[int, ...]],
        pins: Mapping[int, Pin],
    ) -> None:
        self.lattice, self.pins = lattice, pins
        column_of = {index: at for at, notes in enumerate(lattice.columns) for index in notes}
        stopped = np.array(
            [
                next((column_of[index] for index in notes if index in column_of), -1)
                for notes in moments
            ]
        )
        #: For each repeat the columns that follow, and those that they follow.
        self.pairs: list[tuple[Array, Array]] = []
        for repeat in repeats:
            both = stopped[np.array(list(repeat.pairs()))]
            both = both[(both >= 0).all(axis=1)]
            self.pairs.append((both[:, 0], both[:, 1]))

    def tied(self, kept: int) -> Tied | None:
        """The variables where the first few repeats are kept; ``None`` where they cannot be.

        Repeats that would need too wide a table have the fingers that the line has without them
        the first time.
        """
        exact = self.exact(kept)
        tied = self._grips_shared(self._of_column(exact))
        if tied is None or exact == kept:
            return tied
        first = tied.path(_best(self.lattice, tied, self.lattice.trellis, 1)[0])
        whole = self._grips_shared(self._of_column(kept))
        if whole is None or not first.states:
            return None
        settled = {
            whole.of_column[later]
            for after, _ in self.pairs[exact:kept]
            for later in after.tolist()
        }
        return whole.settled(settled, first.states)

    def exact(self, kept: int) -> int:
        """How many of the first few repeats the tables have room for."""
        return _most(self._has_room, kept)

    def _has_room(self, kept: int) -> bool:
        """Whether tables of no more than the widest scope can keep the first few repeats."""
        of_column = np.array(self._of_column(kept))
        one, two = of_column[:-1], of_column[1:]
        edges = np.unique(np.minimum(one, two) * len(of_column) + np.maximum(one, two))
        u, v = np.divmod(edges, len(of_column))
        apart = u != v
        return scopes_within(WIDEST_SCOPE, zip(u[apart].tolist(), v[apart].tolist(), strict=True))

    def _of_column(self, kept: int) -> tuple[int, ...]:
        """The variable of each column, where the first few repeats are kept."""
        roots = np.arange(len(self.lattice.columns))
        for later, earlier in self.pairs[:kept]:
            roots[later] = earlier
        while (roots[roots] != roots).any():
            roots = roots[roots]
        alone = sorted(_alone(self.lattice, roots.tolist(), self.pins)) if self.pins else []
        keys = roots.copy()
        keys[alone] = -1 - np.array(alone, np.int64)
        _, first, which = np.unique(keys, return_index=True, return_inverse=True)
        rank = np.empty(len(first), np.int64)
        rank[np.argsort(first)] = np.arange(len(first))
        return tuple(rank[which].tolist())

    def _grips_shared(self, of_column: tuple[int, ...]) -> Tied | None:
        """The same with the states that the grips of each variable share, if they have any."""
        states: list[Array | None] = [None] * len(of_column)
        members: dict[int, list[int]] = {}
        for column in self.lattice.grips:
            members.setdefault(of_column[column], []).append(column)
        for columns in members.values():
            if len(columns) > 1:
                common = _common_states(self.lattice, columns)
                if not len(common[0]):
                    return None
                for column, own in zip(columns, common, strict=True):
                    states[column] = own
        return Tied(of_column, tuple(states))


def _alone(lattice: FingeringTrellis, roots: Sequence[int], pins: Mapping[int, Pin]) -> set[int]:
    """Columns that a pin takes out of their figure."""
    alone: set[int] = set()
    bound: dict[int, tuple[int | None, ...]] = {}
    for column, notes in enumerate(lattice.columns):
        own = [pins.get(index, Pin()) for index in notes]
        settled = tuple(pin.finger for pin in own)
        if any(pin.here_only for pin in own) or (
            any(settled) and bound.setdefault(roots[column], settled) != settled
        ):
            alone.add(column)
    return alone


def _common_states(lattice: FingeringTrellis, columns: Sequence[int]) -> list[Array]:
    """For each grip, its states that all of them have, in one order."""
    numbered: list[dict[tuple[int, ...], int]] = []
    for column in columns:
        held = lattice.grips[column].held
        keys = zip(
            *(note.finger.tolist() for note in held),
            (held[0].fret - held[0].place).tolist(),
            strict=True,
        )
        numbered.append({key: state for state, key in enumerate(keys)})
    shared = [key for key in numbered[0] if all(key in other for other in numbered[1:])]
    return [np.array([own[key] for key in shared], np.int64) for own in numbered]


def _summed(trellis: Trellis, tied: Tied) -> Graph:
    """The graph whose sums are those of the line."""
    nodes: dict[int, Array] = {}
    edges: dict[tuple[int, int], Array] = {}
    labels: dict[int, Array] = {}
    for column, (v, own) in enumerate(zip(tied.of_column, tied.states, strict=True)):
        node = trellis.nodes[column] if own is None else trellis.nodes[column][own]
        nodes[v] = nodes[v] + node if v in nodes else node
        if v not in labels:
            labels[v] = trellis.labels[column] if own is None else trellis.labels[column][own]
        if column:
            _add(edges, nodes, tied, column, _step(trellis, tied, column), np.add)
    count = len(nodes)
    return Graph(nodes, edges, [labels[v] for v in range(count)])


def _hardness(trellis: Trellis, tied: Tied) -> Graph:
    """The graph whose costs are the single moments of the line: each with the step into it."""
    first = trellis.nodes[0] if tied.states[0] is None else trellis.nodes[0][tied.states[0]]
    nodes: dict[int, Array] = {0: first}
    edges: dict[tuple[int, int], Array] = {}
    for column, (v, own) in enumerate(zip(tied.of_column, tied.states, strict=True)):
        node = trellis.nodes[column] if own is None else trellis.nodes[column][own]
        if column:
            nodes.setdefault(v, np.zeros_like(node))
            step = _step(trellis, tied, column) + node
            _add(edges, nodes, tied, column, step, np.maximum)
    return Graph(nodes, edges, [])


def _step(trellis: Trellis, tied: Tied, column: int) -> Array:
    step = trellis.steps[column]
    before, own = tied.states[column - 1], tied.states[column]
    if before is not None:
        step = step[before]
    return step if own is None else step[:, own]


def _add(
    edges: dict[tuple[int, int], Array],
    nodes: dict[int, Array],
    tied: Tied,
    column: int,
    step: Array,
    join: Callable[[Array, Array], Array],
) -> None:
    """The step into a column, between two variables or of one into itself."""
    _add_step(edges, nodes, tied.of_column[column - 1], tied.of_column[column], step, join)


def _add_step(
    edges: dict[tuple[int, int], Array],
    nodes: dict[int, Array],
    u: int,
    v: int,
    step: Array,
    join: Callable[[Array, Array], Array],
) -> None:
    if u == v:
        nodes[v] = join(nodes[v], step.diagonal())
        return
    if 1 in step.shape:  # one of them is settled: what is left hangs on the other alone
        other = v if step.shape[0] == 1 else u
        nodes[other] = join(nodes[other], step.ravel())
        return
    if u > v:
        u, v, step = v, u, step.T
    edges[u, v] = join(edges[u, v], step) if (u, v) in edges else step
