"""How fast are the best pick strokes found, and does the time grow with the notes alone?

Run with the project's Python: ``python bench/strokes.py``.  One run prints, for a wandering line on
six strings: the time by number of notes from 10^2 to 10^5 with the exponent of a power-law fit
(1 is linear), the time of a 1,000-note line, and the speed beside exhaustive search and beside
CP-SAT on the same short phrases, all three agreeing on the cost.
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
    terms = stroke_costs(line, assign_strokes(line))
    return sum(term.points for note in terms for term in note)


def step(one: int, first: Stroke, swept: bool, two: int, second: Stroke) -> tuple[int, bool]:
    """Points of one step of an economy line, stated afresh, and whether it sweeps."""
    towards_treble = one - two
    if first is second:
        if towards_treble == (1 if second is Stroke.DOWN else -1):
            return (0 if swept else COSTS.sweep_start), True
        return COSTS.broken, False
    points = COSTS.turn if swept else 0
    if towards_treble:
        outside = (first is Stroke.DOWN) == (towards_treble > 0)
        points += COSTS.outside if outside else COSTS.inside
        points += COSTS.skip * (abs(towards_treble) - 1)
    return points, False


def exhaustive(strings: Sequence[int]) -> int:
    """The least cost, by trying all strokes."""
    best = math.inf
    for strokes in product(BOTH, repeat=len(strings)):
        total, swept = 0, False
        for at in range(1, len(strings)):
            points, swept = step(strings[at - 1], strokes[at - 1], swept, strings[at], strokes[at])
            total += points
        best = min(best, total + (COSTS.sweep_end if swept else 0))
    return round(best)


def by_cp_sat(strings: Sequence[int]) -> int:
    """The least cost, as a constraint model: neighbouring strokes and sweeps set the points."""
    model = cp_model.CpModel()
    up = [model.new_bool_var("") for _ in strings]
    swept = [model.new_bool_var("") for _ in strings]
    points = [model.new_int_var(0, 2000, "") for _ in strings]
    model.add(swept[0] == 0)
    model.add(points[0] == 0)
    for at in range(1, len(strings)):
        rows = []
        for first, before, now in product(BOTH, (False, True), BOTH):
            cost, sweeps = step(strings[at - 1], first, before, strings[at], now)
            rows.append((first is Stroke.UP, before, now is Stroke.UP, sweeps, cost))
        model.add_allowed_assignments(
            [up[at - 1], swept[at - 1], up[at], swept[at], points[at]],
            [tuple(map(int, row)) for row in rows],
        )
    model.minimize(sum(points) + COSTS.sweep_end * swept[-1])
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
        spent.append(best_of(lambda line=line: assign_strokes(line)))  # type: ignore[misc]
        print(f"{size:>7,}  {spent[-1]:10.5f}  {spent[-1] / size * 1e6:10.2f}")
    logs = [(math.log(size), math.log(seconds)) for size, seconds in zip(SIZES, spent, strict=True)]
    mean_x = sum(x for x, _ in logs) / len(logs)
    mean_y = sum(y for _, y in logs) / len(logs)
    exponent = sum((x - mean_x) * (y - mean_y) for x, y in logs) / sum(
        (x - mean_x) ** 2 for x, _ in logs
    )
    print(f"\ntime grows as notes^{exponent:.2f} (1 is linear)")
    print(f"1,000 notes: {spent[1] * 1e3:.2f} ms; {SIZES[-1] / spent[-1]:,.0f} notes a second\n")

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
