"""Which strokes are cheapest where every repetition of a figure has the same ones?

A figure that comes again, on the same places or moved (:mod:`~lickwright.lick.fingering.figures`),
has the same strokes each time, the last time cut short too; only what leads in and out is free.
On one string alone there is no figure to the pick: there the beat has its downstroke.  Where a pick
cannot play a figure twice alike, the two take turns: the second is the first with down and up
exchanged.  Where that cannot be played either, each is stroked for itself.

The search eliminates one stroke after the other from the last to the first (bucket elimination:
Dechter 1999), exactly, as :mod:`~lickwright.lick.fingering.graph` does for fingers.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING

from lickwright.neck import Position

if TYPE_CHECKING:  # the room of fingers is loaded where a line is searched for figures
    from lickwright.lick.fingering import Repeat

#: The cost of a stroke after two others, by their numbers (0 is down, 1 up): ``cost[a][b][c]``.
StrokeTriple = tuple[tuple[tuple[int, int], tuple[int, int]], tuple[tuple[int, int], ...]]

#: A stroke and its answer are no figure.
_FEWEST = 3
#: The most strokes that a table of the search spans: where figures take turns so that more were
#: needed, the shortest are let go.
_WIDEST = 6

#: Variables, ascending, and the cost of each way to choose them: bit ``k`` is that of the ``k``-th.
_StrokeTable = tuple[tuple[int, ...], list[int]]


@dataclass(frozen=True, slots=True)
class StrokeTie:
    """A repeat as the pick has it: pairs of picks that have the same stroke, or the other one."""

    pairs: tuple[tuple[int, int], ...]
    turned: bool = False


def stroke_ties(
    repeats: Sequence[Repeat], places: Sequence[Position], picks: Sequence[int]
) -> list[StrokeTie]:
    """The repeats that the pick keeps, the plainest and longest first.

    Parameters
    ----------
    repeats : of the line, note by note.
    places : of its notes.
    picks : the indexes of those that are picked.
    """
    number_of = {note: number for number, note in enumerate(picks)}
    ties: list[StrokeTie] = []
    for repeat in repeats:
        if repeat.how not in ("again", "moved"):
            continue
        pairs = list(repeat.pairs())
        strings = [place.string for place in places[repeat.first : repeat.start + repeat.count]]
        if repeat.count >= _FEWEST and len(set(strings)) > 1 and not _is_run(strings):
            picked = [
                (number_of[later], number_of[earlier])
                for later, earlier in pairs
                if later in number_of and earlier in number_of
            ]
            if picked:
                ties.append(StrokeTie(tuple(picked)))
    return ties


def _is_run(strings: Sequence[int]) -> bool:
    """Whether one motion takes them all: no part of it is a figure."""
    steps = {one - two for one, two in pairwise(strings)}
    return steps in ({1}, {-1})


def unbound(ties: Sequence[StrokeTie], settled: Sequence[int | None]) -> list[StrokeTie]:
    """The ties without the picks that are settled otherwise than the pick that they follow.

    A settled stroke binds every repetition; a repetition settled for itself stands alone.
    """
    follows = {later: earlier for tie in reversed(ties) for later, earlier in tie.pairs}
    bound = list(settled)
    alone: set[int] = set()
    for later in sorted(follows):
        stroke, own = bound[follows[later]], bound[later]
        if own is None:
            bound[later] = stroke
        elif stroke is None:
            root = follows[later]
            while bound[root] is None and root in follows:
                bound[root] = own
                root = follows[root]
            if bound[root] is None:
                bound[root] = own
        elif stroke != own:
            alone.add(later)
    return [StrokeTie(tuple(p for p in tie.pairs if p[0] not in alone)) for tie in ties]


def tied_strokes(
    triples: Sequence[StrokeTriple], allowed: Sequence[tuple[int, ...]], ties: Sequence[StrokeTie]
) -> list[int] | None:
    """The cheapest strokes that keep all ties, 0 down and 1 up; ``None`` where none can.

    Parameters
    ----------
    triples : for each pick the cost of its stroke after the two before it.
    allowed : the strokes that each pick may have.
    ties : what is kept.
    """
    variables, turned = _variables(len(triples), ties)
    tables = _tables(triples, variables, turned)
    free = [{0, 1} for _ in range(max(variables) + 1)]
    for pick, strokes in enumerate(allowed):
        free[variables[pick]] &= {stroke ^ turned[pick] for stroke in strokes}
    if not all(free):
        return None
    first_of = {variables[pick]: pick for pick in reversed(range(len(triples)))}
    left = _eliminated(tables, free)
    chosen: list[int] = []
    strokes_so_far: dict[int, int] = {}
    for variable, (scope, costs) in enumerate(left):
        row = sum(chosen[v] << k for k, v in enumerate(scope[:-1]))
        step = 1 << (len(scope) - 1)
        pick = first_of[variable]
        before = strokes_so_far.get(pick - 1)
        # Of equals the line starts down, and the other stroke comes before the same.
        wish = (0 if before is None else 1 - before) ^ turned[pick]
        value = min(sorted(free[variable]), key=lambda bit: (costs[row + bit * step], bit != wish))
        chosen.append(value)
        strokes_so_far[pick] = value ^ turned[pick]
        for later in range(pick + 1, len(triples)):
            if variables[later] > variable:
                break
            strokes_so_far[later] = chosen[variables[later]] ^ turned[later]
    return [chosen[v] ^ turn for v, turn in zip(variables, turned, strict=True)]


def tied_points(triples: Sequence[StrokeTriple], strokes: Sequence[int]) -> list[int]:
    """What each stroke costs after the two before it."""
    wide = [0, 0, *strokes]
    return [triple[wide[k]][wide[k + 1]][wide[k + 2]] for k, triple in enumerate(triples)]


def ties_within(count: int, ties: Sequence[StrokeTie]) -> list[StrokeTie]:
    """The first of the ties, as many as the search has room for."""

    def fits(kept: int) -> bool:
        return _scopes_fit(*_variables(count, ties[:kept]))

    if fits(len(ties)):
        return list(ties)
    low, high = 0, len(ties)
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if fits(middle) else (low, middle)
    return list(ties[:low])


def playable_strokes(
    ties: Sequence[StrokeTie],
    solve: Callable[[Sequence[StrokeTie]], list[int] | None],
    broken: Callable[[Sequence[int] | None], set[int]],
) -> list[int] | None:
    """The cheapest strokes that keep the ties, those turned, or let go, that a pick cannot keep.

    Parameters
    ----------
    solve : the cheapest strokes that keep some ties.
    broken : the picks on which strokes cannot be played.
    """
    kept = list(ties)
    found = solve(kept)
    wrong = broken(found)
    if not wrong:
        return found
    free = broken(solve(()))
    wrong -= free
    for at in reversed(range(len(ties))):
        if not wrong:
            break
        tie = kept[at]
        touched = {pick + k for pair in tie.pairs for pick in pair for k in (0, 1)}
        if not wrong & touched:
            continue
        turned = [*kept[:at], StrokeTie(tie.pairs, turned=True), *kept[at + 1 :]]
        without = [*kept[:at], StrokeTie(()), *kept[at + 1 :]]
        for other in (turned, without):
            strokes = solve(other)
            still = broken(strokes) - free
            if len(still) < len(wrong):
                kept, wrong, found = other, still, strokes
                break
    return found


def _variables(count: int, ties: Sequence[StrokeTie]) -> tuple[list[int], list[int]]:
    """The variable of each pick, numbered as they first sound, and whether it is turned (1)."""
    follows: dict[int, tuple[int, int]] = {}
    for tie in ties:
        for later, earlier in tie.pairs:
            follows.setdefault(later, (earlier, int(tie.turned)))
    variables: list[int] = []
    turned: list[int] = []
    new = 0
    for pick in range(count):
        if pick in follows:
            earlier, turn = follows[pick]
            variables.append(variables[earlier])
            turned.append(turned[earlier] ^ turn)
        else:
            variables.append(new)
            turned.append(0)
            new += 1
    return variables, turned


def _tables(
    triples: Sequence[StrokeTriple], variables: Sequence[int], turned: Sequence[int]
) -> list[_StrokeTable]:
    """The costs as tables over variables, those over the same ones summed."""
    # A loop does the same over and over: each thing once, times how often.
    times: Counter[tuple[tuple[int, ...], tuple[int, ...], StrokeTriple]] = Counter()
    for pick, triple in enumerate(triples):
        parts = (max(pick - 2, 0), max(pick - 1, 0), pick)
        of = tuple(variables[part] for part in parts)
        times[of, tuple(turned[part] for part in parts), triple] += 1
    summed: dict[tuple[int, ...], list[int]] = {}
    for (of, turns, triple), count in times.items():
        scope = tuple(sorted(set(of)))
        table = summed.setdefault(scope, [0] * (1 << len(scope)))
        where = [(scope.index(v), turn) for v, turn in zip(of, turns, strict=True)]
        for row in range(len(table)):
            a, b, c = ((row >> bit & 1) ^ turn for bit, turn in where)
            table[row] += count * triple[a][b][c]
    return list(summed.items())


def _scopes_fit(variables: Sequence[int], turned: Sequence[int]) -> bool:
    touched: dict[int, set[int]] = {}
    for pick in range(len(variables)):
        scope = {variables[max(pick - k, 0)] for k in (0, 1, 2)}
        touched.setdefault(max(scope), set()).update(scope)
    for v in range(max(variables, default=0), 0, -1):
        scope = touched.get(v, set()) - {v}
        if len(scope) > _WIDEST:
            return False
        if scope:
            touched.setdefault(max(scope), set()).update(scope)
    return True


@lru_cache(maxsize=4096)
def _rows(bits: tuple[int, ...], width: int) -> tuple[int, ...]:
    """For each row of a wider table, the row of a table over some of its variables."""
    return tuple(
        sum((row >> bit & 1) << k for k, bit in enumerate(bits)) for row in range(1 << width)
    )


def _eliminated(tables: Sequence[_StrokeTable], free: Sequence[set[int]]) -> list[_StrokeTable]:
    """For each variable the costs of it and all that hangs on it, over earlier ones and itself."""
    buckets: list[list[_StrokeTable]] = [[] for _ in free]
    for scope, costs in tables:
        buckets[scope[-1]].append((scope, costs))
    found: list[_StrokeTable] = [((), [])] * len(free)
    for v in range(len(free) - 1, -1, -1):
        scope = tuple(sorted({u for part, _ in buckets[v] for u in part} | {v}))
        costs = [0] * (1 << len(scope))
        for part, own in buckets[v]:
            rows = _rows(tuple(scope.index(u) for u in part), len(scope))
            costs = [cost + own[row] for cost, row in zip(costs, rows, strict=True)]
        found[v] = (scope, costs)
        if len(scope) > 1:
            step = 1 << (len(scope) - 1)
            first = costs[:step] if 0 in free[v] else costs[step:]
            second = costs[step:] if 1 in free[v] else costs[:step]
            left = list(map(min, first, second))
            buckets[scope[-2]].append((scope[:-1], left))
    return found
