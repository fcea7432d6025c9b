"""Which states are cheapest where some moments must share one?  Exact search over a graph.

A *variable* is a moment of a line, or all moments that a repetition makes one.  ``nodes[v][s]`` is
the cost of state ``s`` in variable ``v``, summed over its moments; ``edges[u, v][r, s]``, ``u``
before ``v``, that of every step between the two.  Variables stand in the order in which they first
sound, so that the first note on which two fingerings differ is the first variable on which they do.

The search eliminates variables from the last to the first (non-serial dynamic programming: Bertele
& Brioschi 1972; bucket elimination: Dechter 1999).  What a variable leaves behind is a table over
the earlier ones that it touches, its *scope*: one for a line that never repeats, two for a figure
that leads into itself, a few where figures take turns.  The answers are exact as those of
:mod:`~lickwright.lick.fingering.paths` are, and ties go to the lower label alike.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from lickwright.lick.fingering.hand_states import Array
from lickwright.lick.fingering.weights import IMPOSSIBLE

#: No table of a search spans more variables beside its own.
WIDEST = 4

Combine = Callable[[Array, Array], Array]
#: States so far, the last first.
_Chain = tuple[int, "_Chain"] | None
#: The states that are read later, and all states so far.
_Way = tuple[dict[int, int], "_Chain"]


@dataclass(frozen=True, slots=True)
class Graph:
    """Variables with the costs of their states, and of the steps between them."""

    nodes: dict[int, Array]
    edges: dict[tuple[int, int], Array]
    labels: Sequence[Array]


@dataclass(frozen=True, slots=True)
class Answer:
    """One state for each variable; ``cost`` is at least :data:`IMPOSSIBLE` where there is none."""

    cost: int
    states: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Table:
    """Costs of a variable and all that hangs on it: its own axis first, then those of its scope."""

    scope: tuple[int, ...]
    costs: Array


def scopes_within(most: int, edges: Iterable[tuple[int, int]]) -> bool:
    """Whether no table of the search spans more than so many variables beside its own.

    Parameters
    ----------
    edges : pairs of different variables, the earlier first.
    """
    return max(_scopes(edges, most), default=0) <= most


def cells(states: int, edges: Iterable[tuple[int, int]]) -> int:
    """How many entries the tables of the search have, with so many states to a variable."""
    return sum(states ** (scope + 1) for scope in _scopes(edges, 2 * WIDEST))


def _scopes(edges: Iterable[tuple[int, int]], most: int) -> Iterator[int]:
    """For each variable, from the last, how many others its table spans, until more than most."""
    touched: dict[int, set[int]] = {}
    for u, v in edges:
        touched.setdefault(v, set()).add(u)
    for v in range(max(touched, default=0), 0, -1):
        scope = touched.get(v, ())
        yield len(scope)
        if len(scope) > most:
            return
        if len(scope) > 1:
            last = max(scope)
            touched.setdefault(last, set()).update(u for u in scope if u != last)


def cheapest(graph: Graph) -> Answer:
    """The states of least sum."""
    tables = _eliminated(graph, np.add)
    best = int(tables[0].costs.min())
    if best >= IMPOSSIBLE:
        return Answer(best, ())
    last_use = _last_use(tables)
    # All ways that are still cheapest and of the lowest labels: the states that later ones read,
    # and the chain of states that led there.
    ways: list[_Way] = [({}, None)]
    for v, table in enumerate(tables):
        found: list[tuple[int, _Way]] = []
        for way in ways:
            known = way[0]
            at: tuple[int | slice, ...] = (slice(None), *(known[u] for u in table.scope))
            row = table.costs[at].tolist()
            least = min(row)
            if row.count(least) == 1:
                found.append((row.index(least), way))
            else:
                found.extend((state, way) for state, cost in enumerate(row) if cost == least)
        if len(found) == 1:
            state, (known, chain) = found[0]
            known[v] = state
            ways = [(known, (state, chain))]
            continue
        labels = graph.labels[v]
        lowest = min(labels[state] for state, _ in found)
        kept: dict[tuple[tuple[int, int], ...], _Way] = {}
        for state, (known, chain) in found:
            if labels[state] == lowest:
                read = {u: s for u, s in known.items() if last_use[u] > v}
                if last_use[v] > v:
                    read[v] = state
                kept.setdefault(tuple(read.items()), (read, (state, chain)))
        ways = list(kept.values())
    states: list[int] = []
    chain = ways[0][1]
    while chain is not None:
        states.append(chain[0])
        chain = chain[1]
    return Answer(best, tuple(reversed(states)))


def least_hardest(graph: Graph) -> int:
    """The least that the greatest of all costs can be; sums play no part."""
    return int(_eliminated(graph, np.maximum)[0].costs.min())


def cheapest_labels(graph: Graph, count: int) -> list[Answer]:
    """Up to ``count`` answers of least sum, no two with the same labels, the cheapest first.

    A* over prefixes of labels.  A prefix carries the cost of every state it may be in, so that
    hidden states never make two entries of one fingering; the exact cost to go is the estimate, so
    that nothing is opened that does not lead to an answer (k best strings of a weighted automaton:
    Mohri & Riley 2002).
    """
    tables = _eliminated(graph, np.add)
    last_use = _last_use(tables)
    own: list[list[tuple[tuple[int, ...], Array]]] = [[] for _ in tables]
    for (u, v), costs in graph.edges.items():
        own[v].append(((u, v), costs))
    # What is still to come after each variable, as tables over it and earlier ones.
    pending: list[list[tuple[tuple[int, ...], Array]]] = [[] for _ in tables]
    for j, table in enumerate(tables[1:], 1):
        least = np.minimum.reduce(table.costs, axis=0)
        for v in range(table.scope[-1] if table.scope else 0, j):
            pending[v].append((table.scope, least))
    # An entry: least sum of any completion; labels so far; costs over the states read later.
    heap: list[tuple[int, tuple[int, ...], tuple[int, ...], Array]] = []

    def push(labels: tuple[int, ...], scope: tuple[int, ...], costs: Array) -> None:
        v = len(labels)
        wide = (*scope, v)
        reached = costs[..., None] + graph.nodes[v]
        for part, table in own[v]:
            reached = reached + _spread(part, table, wide)
        kept = tuple(u for u in wide if last_use[u] > v)
        for label in np.unique(graph.labels[v]).tolist():
            mine = np.where(graph.labels[v] == label, reached, IMPOSSIBLE)
            for axis in reversed([k for k, u in enumerate(wide) if last_use[u] <= v]):
                mine = mine.min(axis=axis)
            whole = mine
            for part, table in pending[v]:
                whole = whole + _spread(part, table, kept)
            total = int(whole.min())
            if total < IMPOSSIBLE:
                heapq.heappush(heap, (total, (*labels, label), kept, mine))

    push((), (), np.zeros((), np.int64))
    found: list[Answer] = []
    while heap and len(found) < count:
        _, labels, scope, costs = heapq.heappop(heap)
        if len(labels) == len(tables):
            found.append(cheapest(_labelled(graph, labels)))
        else:
            push(labels, scope, costs)
    return found


def _labelled(graph: Graph, labels: Sequence[int]) -> Graph:
    """The graph without the states of other labels."""
    nodes = {
        v: np.where(own == label, graph.nodes[v], IMPOSSIBLE)
        for v, (own, label) in enumerate(zip(graph.labels, labels, strict=True))
    }
    return Graph(nodes, graph.edges, graph.labels)


def _eliminated(graph: Graph, combine: Combine) -> list[_Table]:
    """The table of every variable, all later ones taken at their best."""
    nodes = [graph.nodes[v] for v in range(len(graph.nodes))]
    buckets: list[list[tuple[tuple[int, ...], Array]]] = [[] for _ in nodes]
    for (u, v), costs in graph.edges.items():
        buckets[v].append(((u, v), costs))
    tables: list[_Table] = [_Table((), nodes[0])] * len(nodes)
    for v in range(len(nodes) - 1, 0, -1):
        parts: dict[tuple[int, ...], Array] = {}
        for part, table in buckets[v]:  # small tables first: few are as wide as what comes out
            parts[part] = combine(parts[part], table) if part in parts else table
        costs = nodes[v]
        scope: tuple[int, ...] = ()
        if parts:
            scope = tuple(sorted({u for part in parts for u in part[:-1]}))
            for number, (part, table) in enumerate(parts.items()):
                whole = combine(table, costs) if number == 0 else table
                # its own axis first: numpy is quickest at the least over the first
                whole = _aligned(
                    part[:-1], whole.T if len(part) == 2 else np.moveaxis(whole, -1, 0), scope
                )
                costs = whole if number == 0 else combine(costs, whole)
        tables[v] = _Table(scope, costs)
        left = np.minimum.reduce(costs, axis=0)
        if len(scope) > 1:
            buckets[scope[-1]].append((scope, left))
        else:  # where nothing earlier hangs on it, its best is paid in any case
            u = scope[0] if scope else 0
            nodes[u] = combine(nodes[u], left)
    tables[0] = _Table((), nodes[0])
    return tables


def _aligned(part: tuple[int, ...], table: Array, scope: tuple[int, ...]) -> Array:
    """A table over a variable and some others, with an axis for each of more others."""
    if part == scope:
        return table
    return table[(slice(None), *(slice(None) if u in part else None for u in scope))]


def _spread(part: tuple[int, ...], table: Array, wide: tuple[int, ...]) -> Array:
    """A table over some variables with an axis for each of more."""
    return table[tuple(slice(None) if u in part else None for u in wide)]


def _last_use(tables: Sequence[_Table]) -> list[int]:
    """For each variable, the last one that reads its state."""
    last = list(range(len(tables)))
    for v, table in enumerate(tables):
        for u in table.scope:
            last[u] = v
    return last
