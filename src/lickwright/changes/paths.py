"""The k cheapest ways through a sequence of layers, exactly.

A *layer* holds the candidates of one chord.  A candidate costs something alone, and something for
following the one before it (a *link*).  What a link costs depends on the two candidates only
through what the first leaves behind, its *exit* (where the hand and the pick are), and what the
second begins with, its *entry*.  Candidates are many, exits and entries few: links are priced
between those, so that the work grows with exits times entries and not with pairs of candidates.

The cheapest way is found by dynamic programming from the last layer back (Bellman 1957).  The
cost-to-go that it leaves is an exact bound, so that a best-first search forward meets the complete
ways in order of cost (Hart, Nilsson & Raphael 1968, with a perfect estimate).

Costs are integers: sums are exact, and equal costs are equal on every machine.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

#: Price of a link that must not be taken; every sum of real costs stays far below it.
FORBIDDEN = 10**15


@dataclass(frozen=True, slots=True)
class Layer:
    """The candidates of one chord: three int64 arrays of equal length.

    Entries and exits are codes; what they mean is the business of whoever prices the links.
    """

    costs: NDArray[np.int64]
    entries: NDArray[np.int64]
    exits: NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class Route:
    """One candidate index for each layer, and what they cost together."""

    picks: tuple[int, ...]
    cost: int


#: Prices every exit code (n,) against every entry code (m,): int64 of shape (n, m).
LinkCosts = Callable[["NDArray[np.int64]", "NDArray[np.int64]"], "NDArray[np.int64]"]


def best_ways(layers: Sequence[Layer], link_costs: LinkCosts, k: int = 1) -> list[Route]:
    """The ``k`` cheapest ways, or as many as there are; see :func:`ways_in_order`."""
    return list(islice(ways_in_order(layers, link_costs), k))


def ways_in_order(layers: Sequence[Layer], link_costs: LinkCosts) -> Iterator[Route]:
    """Every way, the cheapest first; equal costs in order of their picks.

    Parameters
    ----------
    layers : one for each chord, in order.
    link_costs : integer costs of each entry after each exit, ``FORBIDDEN`` where it cannot follow.
    """
    if not layers or any(not len(layer.costs) for layer in layers):
        return
    search = _RouteSearch(layers, link_costs)
    # A heap item: (cost of the best way through it, its picks, spent before the last pick, place
    # of the last pick in its sorted list of followers).  Opening an item also opens the next
    # follower beside it, so the heap grows by two at most for each way or part of one.
    first = search.followers(0, None)
    heap: list[tuple[int, tuple[int, ...], int, int]] = [(first[0][0], (first[0][1],), 0, 0)]
    followers: dict[tuple[int, ...], list[tuple[int, int]]] = {(): first}
    while heap:
        total, picks, spent, place = heapq.heappop(heap)
        if total >= FORBIDDEN:
            return
        beside = followers[picks[:-1]]
        if place + 1 < len(beside):
            cost, pick = beside[place + 1]
            heapq.heappush(heap, (spent + cost, (*picks[:-1], pick), spent, place + 1))
        depth = len(picks)
        if depth == len(layers):
            yield Route(picks, total)
            continue
        after = search.followers(depth, int(layers[depth - 1].exits[picks[-1]]))
        followers[picks] = after
        # What was spent up to here is the whole cost less the cost-to-go after this pick.
        spent_here = total - after[0][0]
        heapq.heappush(heap, (total, (*picks, after[0][1]), spent_here, 0))


class _RouteSearch:
    """Costs-to-go of every candidate, and who follows an exit in order of cost."""

    def __init__(self, layers: Sequence[Layer], link_costs: LinkCosts) -> None:
        import numpy as np

        self._links: list[NDArray[np.int64]] = []  # row: exit, column: entry of the next layer
        self._exit_rows: list[dict[int, int]] = []
        self._entry_of: list[NDArray[np.intp]] = []
        self._to_go: list[NDArray[np.int64]] = []
        self._sorted: dict[tuple[int, int | None], list[tuple[int, int]]] = {}
        rest: NDArray[np.int64] | None = None
        entry_codes = np.empty(0, dtype=np.int64)
        for layer in reversed(layers):
            to_go = layer.costs
            if rest is not None:
                exit_codes, exit_of = np.unique(layer.exits, return_inverse=True)
                links = link_costs(exit_codes, entry_codes)
                to_go = to_go + (links + rest[None, :]).min(axis=1)[exit_of]
                self._links.append(links)
                self._exit_rows.append({code: row for row, code in enumerate(exit_codes.tolist())})
            entry_codes, entry_of = np.unique(layer.entries, return_inverse=True)
            rest = np.full(len(entry_codes), np.iinfo(np.int64).max, dtype=np.int64)
            np.minimum.at(rest, entry_of, to_go)
            self._entry_of.append(entry_of)
            self._to_go.append(to_go)
        for kept in (self._links, self._exit_rows, self._entry_of, self._to_go):
            kept.reverse()

    def followers(self, depth: int, leave: int | None) -> list[tuple[int, int]]:
        """(link and cost-to-go, candidate) of a layer after an exit, cheapest first."""
        found = self._sorted.get((depth, leave))
        if found is None:
            costs = self._to_go[depth]
            if leave is not None:
                row = self._links[depth - 1][self._exit_rows[depth - 1][leave]]
                costs = costs + row[self._entry_of[depth]]
            order = costs.argsort(kind="stable")
            found = list(zip(costs[order].tolist(), order.tolist(), strict=True))
            self._sorted[depth, leave] = found
        return found
