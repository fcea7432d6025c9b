"""Which path through the states of a hand is cheapest?  Exact searches over a trellis.

A trellis has a column of states for each moment.  ``nodes[c][s]`` is the cost of state ``s`` in
column ``c`` and ``steps[c][r, s]`` that of going to it from state ``r`` of the column before
(``steps[0]`` is not read).  Costs are whole numbers; :data:`IMPOSSIBLE` and above is no way at all.
``labels[c][s]`` is what a caller sees of a state: its fingers.  Ties go to the lower label, from
the first column on.

* :func:`cheapest`: the least sum, by dynamic programming (Bellman 1957; Viterbi 1967).
* :func:`gentlest`: the least of all greatest single costs, and among those the least sum
  (minimax path: Hori & Sagayama, ISMIR 2016).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from lickwright.lick.fingering.hand_states import Array
from lickwright.lick.fingering.weights import IMPOSSIBLE


@dataclass(frozen=True, slots=True)
class Trellis:
    """Columns of states with the costs of being in one and of going to the next."""

    nodes: Sequence[Array]
    steps: Sequence[Array]
    labels: Sequence[Array]

    def __len__(self) -> int:
        return len(self.nodes)


@dataclass(frozen=True, slots=True)
class HandPath:
    """One state for each column; ``cost`` is at least :data:`IMPOSSIBLE` where there is none."""

    cost: int
    states: tuple[int, ...]


def cheapest(trellis: Trellis) -> HandPath:
    """The path of least sum."""
    nodes, steps = trellis.nodes, trellis.steps
    togo = _costs_to_go(trellis)
    start = nodes[0] + togo[0]
    best = int(start.min())
    if best >= IMPOSSIBLE:
        return HandPath(best, ())
    # Of the states on which the least sum runs, keep those of the lowest label, column by column...
    kept = _lowest(np.flatnonzero(start == best), trellis.labels[0])
    came_from: list[dict[int, int]] = []
    for c in range(1, len(nodes)):
        onward = nodes[c] + togo[c]
        sources: dict[int, int] = {}
        for state in kept:
            leads = steps[c][state] + onward == togo[c - 1][state]
            for successor in leads.nonzero()[0].tolist():
                sources.setdefault(successor, state)
        kept = list(sources) if len(sources) == 1 else _lowest(sorted(sources), trellis.labels[c])
        came_from.append(sources)
    # ... and go back from the first that is left.
    states = [kept[0]]
    for sources in reversed(came_from):
        states.append(sources[states[-1]])
    return HandPath(best, tuple(reversed(states)))


def _lowest(states: Iterable[int], labels: Array) -> list[int]:
    """The states that share the lowest label among them."""
    lowest = min(labels[state] for state in states)
    return [int(state) for state in states if labels[state] == lowest]


def gentlest(trellis: Trellis) -> tuple[int, HandPath]:
    """The least greatest single cost, and the path of least sum that keeps to it."""
    worst = _hardest_to_go(trellis)
    return worst, cheapest(no_harder_than(trellis, worst)) if worst < IMPOSSIBLE else HandPath(
        worst, ()
    )


def no_harder_than(trellis: Trellis, worst: int) -> Trellis:
    """The same trellis without any single cost above ``worst``."""
    first, *rest = trellis.nodes
    return Trellis(
        [np.where(first > worst, IMPOSSIBLE, first), *rest],
        [
            step if c == 0 else np.where(step + trellis.nodes[c] > worst, IMPOSSIBLE, step)
            for c, step in enumerate(trellis.steps)
        ],
        trellis.labels,
    )


def blocked_at(trellis: Trellis) -> int | None:
    """The first column that no path reaches, ``None`` where the trellis has a way through."""
    reached = trellis.nodes[0]
    for c in range(len(trellis)):
        if c:
            reached = (reached[:, None] + trellis.steps[c]).min(axis=0) + trellis.nodes[c]
        if int(reached.min()) >= IMPOSSIBLE:
            return c
    return None


def _costs_to_go(trellis: Trellis) -> list[Array]:
    """For each column, the least cost from each of its states to the end, its own left out."""
    togo = np.zeros_like(trellis.nodes[-1])
    columns = [togo]
    for c in range(len(trellis) - 1, 0, -1):
        togo = np.minimum.reduce(trellis.steps[c] + (trellis.nodes[c] + togo), axis=1)
        columns.append(togo)
    columns.reverse()
    return columns


def _hardest_to_go(trellis: Trellis) -> int:
    """The least that the greatest single cost of a path can be."""
    worst = np.zeros_like(trellis.nodes[-1])
    for c in range(len(trellis) - 1, 0, -1):
        worst = np.maximum(trellis.steps[c] + trellis.nodes[c], worst).min(axis=1)
    return int(np.maximum(trellis.nodes[0], worst).min())
