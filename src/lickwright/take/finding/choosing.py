"""Which of many possible playings explain a recording best, no moment being explained twice?

Every playing costs something, so that a line is not cut into scraps and chance is not called a
playing; of all ways to lay playings side by side the one with most evidence is taken (weighted
interval scheduling, Kleinberg and Tardos, *Algorithm Design*, 2006, chapter 6).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

#: What a playing must be worth, in nats: an hour has some millions of places where one could
#: begin by chance.
COST = 14.0


@dataclass(frozen=True, slots=True)
class PossiblePlaying:
    """A possible playing.

    Parameters
    ----------
    line : which line, by its place.
    first, last : its notes, places in the sought line.
    begin, end : events, both included.
    evidence : in nats.
    """

    line: int
    first: int
    last: int
    begin: int
    end: int
    evidence: float


def best_apart(
    candidates: Sequence[PossiblePlaying], cost: float = COST
) -> tuple[PossiblePlaying, ...]:
    """The candidates that together have most evidence, no two of them sharing an event.

    Parameters
    ----------
    cost : what each of them must pay, in nats.

    Returns
    -------
    tuple of PossiblePlaying
        In time.

    >>> one, two = PossiblePlaying(0, 0, 9, 0, 9, 40.0), PossiblePlaying(0, 0, 9, 10, 19, 40.0)
    >>> best_apart([PossiblePlaying(1, 0, 9, 5, 14, 70.0), one, two]) == (one, two)
    False
    >>> best_apart([PossiblePlaying(1, 0, 9, 5, 14, 39.0), one, two]) == (one, two)
    True
    """
    rising = sorted(candidates, key=lambda c: (c.end, c.begin, c.line, c.first, c.last))
    ends = [candidate.end for candidate in rising]
    total = [0.0]
    taken: list[tuple[bool, int]] = []
    for place, candidate in enumerate(rising):
        before = bisect_right(ends, candidate.begin - 1, hi=place)
        with_it = total[before] + candidate.evidence - cost
        taken.append((with_it > total[-1], before))
        total.append(max(with_it, total[-1]))
    chosen: list[PossiblePlaying] = []
    place = len(rising)
    while place:
        take, before = taken[place - 1]
        if take:
            chosen.append(rising[place - 1])
        place = before if take else place - 1
    return tuple(reversed(chosen))
