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
from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Generic, TypeVar

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

Entry = TypeVar("Entry", bound=Hashable)
Exit = TypeVar("Exit", bound=Hashable)

#: Price of a link that must not be taken; every sum of real costs stays far below it.
FORBIDDEN = 10**15


@dataclass(frozen=True, slots=True)
class Layer(Generic[Entry, Exit]):
    """The candidates of one chord: three sequences of equal length."""

    costs: Sequence[int]
    entries: Sequence[Entry]
    exits: Sequence[Exit]


@dataclass(frozen=True, slots=True)
class Way:
    """One candidate index for each layer, and what they cost together."""

    picks: tuple[int, ...]
    cost: int


#: Prices every exit against every entry: an int64 array of shape (exits, entries).
LinkCosts = Callable[[Sequence[Exit], Sequence[Entry]], "NDArray[np.int64]"]


def best_ways(
    layers: Sequence[Layer[Entry, Exit]], link_costs: LinkCosts[Exit, Entry], k: int = 1
) -> list[Way]:
    """The ``k`` cheapest ways, cheapest first; equal costs in order of their picks.

    Parameters
    ----------
    layers : one for each chord, in order.
    link_costs : integer costs of each entry after each exit, ``FORBIDDEN`` where it cannot follow.
    k : how many ways; fewer come back where fewer exist, none where no way is open.
    """
    if not layers or any(not layer.costs for layer in layers):
        return []
    search = _Search(layers, link_costs)
    # A heap item: (cost of the best way through it, its picks, spent before the last pick, place
    # of the last pick in its sorted list of followers).  Opening an item also opens the next
    # follower beside it, so the heap grows by two at most for each way or part of one.
    first = search.followers(0, None)
    heap: list[tuple[int, tuple[int, ...], int, int]] = [(first[0][0], (first[0][1],), 0, 0)]
    exits: dict[tuple[int, ...], list[tuple[int, int]]] = {(): first}
    ways: list[Way] = []
    while heap and len(ways) < k:
        total, picks, spent, place = heapq.heappop(heap)
        if total >= FORBIDDEN:
            break
        beside = exits[picks[:-1]]
        if place + 1 < len(beside):
            cost, pick = beside[place + 1]
            heapq.heappush(heap, (spent + cost, (*picks[:-1], pick), spent, place + 1))
        depth = len(picks)
        if depth == len(layers):
            ways.append(Way(picks, total))
            continue
        # What was spent up to here is the whole cost less the cost-to-go after this pick.
        after = search.followers(depth, layers[depth - 1].exits[picks[-1]])
        exits[picks] = after
        spent_here = total - after[0][0]
        heapq.heappush(heap, (total, (*picks, after[0][1]), spent_here, 0))
    return ways


class _Search(Generic[Entry, Exit]):
    """Costs-to-go of every candidate, and who follows an exit in order of cost."""

    def __init__(
        self, layers: Sequence[Layer[Entry, Exit]], link_costs: LinkCosts[Exit, Entry]
    ) -> None:
        import numpy as np

        self._links: list[NDArray[np.int64]] = []
        self._exit_ids: list[dict[Exit, int]] = []
        self._entry_of: list[NDArray[np.int64]] = []
        self._to_go: list[NDArray[np.int64]] = []
        self._sorted: dict[tuple[int, Exit | None], list[tuple[int, int]]] = {}
        rest: NDArray[np.int64] | None = None
        entries: list[Entry] = []
        for layer in reversed(layers):
            to_go = np.asarray(layer.costs, dtype=np.int64)
            if rest is not None:
                exit_ids: dict[Exit, int] = {}
                exit_of = np.asarray(
                    [exit_ids.setdefault(leave, len(exit_ids)) for leave in layer.exits]
                )
                links = link_costs(list(exit_ids), entries)
                to_go = to_go + (links + rest[None, :]).min(axis=1)[exit_of]
                self._links.append(links)
                self._exit_ids.append(exit_ids)
            entry_ids: dict[Entry, int] = {}
            entry_of = np.asarray(
                [entry_ids.setdefault(enter, len(entry_ids)) for enter in layer.entries]
            )
            rest = np.full(len(entry_ids), np.iinfo(np.int64).max // 4, dtype=np.int64)
            np.minimum.at(rest, entry_of, to_go)
            entries = list(entry_ids)
            self._entry_of.append(entry_of)
            self._to_go.append(to_go)
        for kept in (self._links, self._exit_ids, self._entry_of, self._to_go):
            kept.reverse()

    def followers(self, depth: int, leave: Exit | None) -> list[tuple[int, int]]:
        """(link and cost-to-go, candidate) of a layer after an exit, cheapest first."""
        found = self._sorted.get((depth, leave))
        if found is None:
            costs = self._to_go[depth]
            if leave is not None:
                row = self._links[depth - 1][self._exit_ids[depth - 1][leave]]
                costs = costs + row[self._entry_of[depth]]
            found = sorted(zip(costs.tolist(), range(len(costs)), strict=True))
            self._sorted[depth, leave] = found
        return found
