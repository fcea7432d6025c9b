"""How fast are the best pick strokes found, and does the time grow with the notes alone?

Run with the project's Python: ``python bench/strokes.py``.  One run prints, for a wandering line on
six strings: the time by number of notes from 10^2 to 10^5 with the exponent of a power-law fit
(1 is linear), the time of a 1,000-note line and of one that repeats a figure, and the speed beside
exhaustive search and beside CP-SAT on the same short phrases, all three agreeing on the cost.
"""

from __future__ import annotations

import math
import random
import time
from collections.abc import Callable, Sequence
from itertools import product

from ortools.sat.python import cp_model

from lickwright.lick.notes import Stroke
from lickwright.lick.picking.costs import StrokeCosts
from lickwright.lick.picking.strokes import assign_strokes, stroke_costs

COSTS = StrokeCosts()
BOTH = (Stroke.DOWN, Stroke.UP)
SIZES = (100, 1_000, 10_000, 100_000)
PHRASES, PHRASE_NOTES = 60, 10


def wander(count: int, seed: int) -> list[int]:
    """The strings of a line that mostly stays or moves to a neighbouring string."""
    draw = random.Random(seed)
    strings = [3]
    while len(strings) < count:
        strings.append(min(6, max(1, strings[-1] + draw.choice((-1, -1, 0, 1, 1, 2)))))
    return strings


def best_of(run: Callable[[], object], times: int = 3) -> float:
    """The shortest of some runs, in seconds."""
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        spent.append(time.perf_counter() - start)
    return min(spent)


def search(strings: Sequence[int]) -> int:
    """The least cost, as the library finds it."""
    line = [(string, 5) for string in strings]
    terms = stroke_costs(line, assign_strokes(line, repeats=()))
    return sum(term.points for note in terms for term in note)


def points(strings: Sequence[int], at: int, first: Stroke, before: Stroke, now: Stroke) -> int:
    """Points of one note of an economy line after the two before it, stated afresh."""

    def way(k: int) -> int:
        step = strings[k - 1] - strings[k] if 0 < k < len(strings) else 0
        return step if abs(step) == 1 else 0

    def sweeps(k: int, one: Stroke, two: Stroke) -> bool:
        return one is two and way(k) == (1 if two is Stroke.DOWN else -1)

    if at == 0:
        return 0
    swept = at > 1 and sweeps(at - 1, first, before)
    if sweeps(at, before, now):
        return 0 if swept else COSTS.sweep_start
    if before is now:
        return COSTS.broken
    total = COSTS.turn if swept else 0
    step = strings[at - 1] - strings[at]
    if step:
        outside = (before is Stroke.DOWN) == (step > 0)
        total += COSTS.outside if outside else COSTS.inside
        total += COSTS.skip * (abs(step) - 1)
        through = way(at) != 0 and way(at) in (way(at - 1), way(at + 1))
        turns = way(at + 1) != way(at) and at + 1 < len(strings)
        total += COSTS.unswept if through and not turns else 0
    return total


def exhaustive(strings: Sequence[int]) -> int:
    """The least cost, by trying all strokes."""
    best = 10**9
    for strokes in product(BOTH, repeat=len(strings)):
        wide = (Stroke.DOWN, Stroke.DOWN, *strokes)
        best = min(best, sum(points(strings, at, *wide[at : at + 3]) for at in range(len(strokes))))
    return best


def by_cp_sat(strings: Sequence[int]) -> int:
    """The least cost, as a constraint model: each three strokes in a row set the points."""
    model = cp_model.CpModel()
    up = [model.new_bool_var("") for _ in strings]
    cost = [model.new_int_var(0, 2000, "") for _ in strings]
    for at in range(len(strings)):
        back = up[max(at - 2, 0) : at + 1]
        rows = []
        for strokes in product(BOTH, repeat=len(back)):
            wide = (Stroke.DOWN, Stroke.DOWN, *strokes)[-3:]
            said = (int(stroke is Stroke.UP) for stroke in strokes)
            rows.append((*said, points(strings, at, *wide)))
        model.add_allowed_assignments([*back, cost[at]], rows)
    model.minimize(sum(cost))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.solve(model)
    return round(solver.objective_value)


def main() -> None:
    print("Pick strokes: exact search over (stroke, sweeping), sweep policy\n")
    print("notes      seconds   µs a note")
    spent: list[float] = []
    for size in SIZES:
        line = [(string, 5) for string in wander(size, seed=size)]
        spent.append(best_of(lambda line=line: assign_strokes(line, repeats=())))  # type: ignore[misc]
        print(f"{size:>7,}  {spent[-1]:10.5f}  {spent[-1] / size * 1e6:10.2f}")
    logs = [(math.log(size), math.log(seconds)) for size, seconds in zip(SIZES, spent, strict=True)]
    mean_x = sum(x for x, _ in logs) / len(logs)
    mean_y = sum(y for _, y in logs) / len(logs)
    exponent = sum((x - mean_x) * (y - mean_y) for x, y in logs) / sum(
        (x - mean_x) ** 2 for x, _ in logs
    )
    print(f"\ntime grows as notes^{exponent:.2f} (1 is linear)")
    print(f"1,000 notes: {spent[1] * 1e3:.2f} ms; {SIZES[-1] / spent[-1]:,.0f} notes a second")
    figure = [(3, 9), (2, 10), (1, 8), (1, 12), (2, 10)]
    loop = best_of(lambda: assign_strokes(figure * 200))
    print(f"1,000 notes of a figure that keeps its strokes: {loop * 1e3:.2f} ms\n")

    phrases = [wander(PHRASE_NOTES, seed) for seed in range(PHRASES)]
    times: dict[str, float] = {}
    answers: dict[str, list[int]] = {}
    for name, solve in (("search", search), ("exhaustive", exhaustive), ("CP-SAT", by_cp_sat)):
        start = time.perf_counter()
        answers[name] = [solve(phrase) for phrase in phrases]
        times[name] = (time.perf_counter() - start) / PHRASES
    agree = sum(len(set(costs)) == 1 for costs in zip(*answers.values(), strict=True))
    print(f"{PHRASES} phrases of {PHRASE_NOTES} notes: all three agree on {agree} of {PHRASES}")
    for name, seconds in times.items():
        print(f"{name:>12}  {seconds * 1e3:8.3f} ms a phrase  {seconds / times['search']:8.1f} x")


if __name__ == "__main__":
    main()
