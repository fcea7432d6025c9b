"""Is the fingering the cheapest?  Beside exhaustive search and CP-SAT, on a model said again.

First as free lines, then as lines that keep their fingers where they repeat themselves.

The costs come from ``bench/plain_fingers.py``, which states every term in scalars and shares only
the table of weights with the library.
"""

from __future__ import annotations

import importlib.util
import random
from collections.abc import Sequence
from functools import reduce
from itertools import product
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from lickwright.lick.fingering.figures import Repeat, find_repeats
from lickwright.lick.fingering.fingers import assign_fingers, best_fingerings
from lickwright.lick.fingering.weights import IMPOSSIBLE
from lickwright.neck.instrument import Guitar, Position

Note = tuple[int, int]
TEMPI = (None, 60.0, 120.0, 200.0)


def _from_bench(name: str) -> ModuleType:
    path = Path(__file__).parents[2] / "bench" / f"{name}.py"
    spec = importlib.util.spec_from_file_location(name, path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


plain = _from_bench("plain_fingers")
cp_sat = _from_bench("cp_sat_fingers")


def phrases(
    count: int, shortest: int, longest: int, seed: int
) -> list[tuple[list[Note], float | None]]:
    """Random lines that wander over the neck, some with open strings, at several tempi."""
    draw = random.Random(seed)
    found = []
    for _ in range(count):
        fret = draw.randint(0, 20)
        notes = []
        for _ in range(draw.randint(shortest, longest)):
            fret = max(0, min(24, fret + draw.randint(-5, 5)))
            notes.append((draw.randint(1, 6), 0 if draw.random() < 0.1 else fret))
        found.append((notes, draw.choice(TEMPI)))
    return found


def seconds(tempo: float | None) -> float | None:
    return None if tempo is None else 15.0 / tempo


def every_path(notes: Sequence[Note], tempo: float | None) -> tuple[list, np.ndarray, np.ndarray]:
    """Sum and hardest moment of every path there is, one axis for each stopped note."""
    columns, nodes, steps = plain.lattice(notes, seconds(tempo))
    looks = plain.ahead(notes, seconds(tempo), columns)
    parts = [np.array(nodes[0])] + [
        np.array(step) + np.array(node) for step, node in zip(steps, nodes[1:], strict=True)
    ]
    axes = len(columns)
    shaped = [
        part.reshape([part.shape[0] if k == 0 else 1 for k in range(axes)])
        if index == 0
        else part.reshape([1] * (index - 1) + list(part.shape) + [1] * (axes - index - 1))
        for index, part in enumerate(parts)
    ]
    ahead = [
        np.array(look).reshape(
            [len(columns[k]) if k in (column - 2, column) else 1 for k in range(axes)]
        )
        for column, look in enumerate(looks)
        if look is not None
    ]
    # The look ahead counts in the sum; the hardest moment is one note with the step into it.
    return columns, reduce(np.add, [*shaped, *ahead]), reduce(np.maximum, shaped)


@pytest.mark.parametrize("seed", range(5))
def test_exhaustive_search_finds_nothing_cheaper(seed: int) -> None:
    for notes, tempo in phrases(100, 1, 5, seed):
        if not any(fret for _, fret in notes):
            continue
        _, sums, _ = every_path(notes, tempo)
        found = best_fingerings(notes, tempo_bpm=tempo, repeats=(), count=1)[0]
        assert found.cost == sums.min()


def test_exhaustive_search_finds_no_easier_hardest_moment() -> None:
    for notes, tempo in phrases(120, 2, 5, 11):
        if not any(fret for _, fret in notes):
            continue
        _, sums, hardest = every_path(notes, tempo)
        gentlest = hardest.min()
        found = best_fingerings(notes, tempo_bpm=tempo, repeats=(), count=1, objective="minimax")[0]
        assert found.cost == sums[hardest == gentlest].min()


def test_exhaustive_search_agrees_on_the_k_best() -> None:
    for notes, tempo in phrases(60, 2, 4, 12):
        if not any(fret for _, fret in notes):
            continue
        columns, sums, _ = every_path(notes, tempo)
        by_fingers: dict[tuple[int, ...], int] = {}
        for states in product(*(range(len(column)) for column in columns)):
            fingers = tuple(column[state][0] for column, state in zip(columns, states, strict=True))
            by_fingers[fingers] = min(by_fingers.get(fingers, IMPOSSIBLE), int(sums[states]))
        wanted = sorted((cost, f) for f, cost in by_fingers.items() if cost < IMPOSSIBLE)[:6]
        found = best_fingerings(notes, tempo_bpm=tempo, repeats=(), count=6)
        stopped = [(one.cost, tuple(finger for finger in one.fingers if finger)) for one in found]
        assert stopped == wanted
        assert [note.finger for note in assign_fingers(notes, tempo_bpm=tempo, repeats=())] == list(
            found[0].fingers
        )


@pytest.mark.parametrize("seed", range(5))
def test_cp_sat_finds_nothing_cheaper(seed: int) -> None:
    for notes, tempo in phrases(100, 4, 7, 100 + seed):
        if any(fret for _, fret in notes):
            columns, nodes, steps = plain.lattice(notes, seconds(tempo))
            looks = plain.ahead(notes, seconds(tempo), columns)
            found = best_fingerings(notes, tempo_bpm=tempo, repeats=(), count=1)[0]
            assert found.cost == cp_sat.least_cost(nodes, steps, IMPOSSIBLE, ahead=looks)


def test_the_plain_recurrence_agrees_on_long_lines() -> None:
    for notes, tempo in phrases(12, 60, 120, 13):
        found = best_fingerings(notes, tempo_bpm=tempo, repeats=(), count=1)[0]
        assert found.cost == plain.least_cost(notes, seconds(tempo))


def figured(count: int, seed: int, most: int = 5) -> list[tuple[list[Note], float | None]]:
    """Short lines made of one or two figures: again, moved, on other strings, turned, cut short."""
    draw = random.Random(seed)
    found = []
    while len(found) < count:
        fret = draw.randint(2, 14)
        figure = [
            (draw.randint(2, 5), fret + draw.randint(0, 4)) for _ in range(draw.randint(2, 3))
        ]
        if draw.random() < 0.15:
            figure[-1] = (figure[-1][0], 0)
        way = draw.choice(("again", "along", "across", "turn"))
        move, over = draw.choice((3, 5)), draw.choice((-1, 1))
        other = {
            "again": figure,
            "along": [(s, f + move if f else 0) for s, f in figure],
            "across": [(s + over, f) for s, f in figure],
            "turn": figure[-2::-1],
        }[way]
        line = figure + other + figure
        found.append((line[: draw.randint(len(figure) + 2, most)], draw.choice(TEMPI)))
    return found


def repeated(notes: Sequence[Note]) -> tuple[list[Repeat], list[tuple[int, int]]]:
    """The repeats of a line, and its pairs of notes that repeat each other."""
    found = find_repeats([(Position(*note),) for note in notes], Guitar())
    return list(found), [pair for repeat in found for pair in repeat.pairs()]


def test_exhaustive_search_finds_nothing_cheaper_that_keeps_its_figures() -> None:
    tied = 0
    for notes, tempo in figured(300, 21):
        repeats, pairs = repeated(notes)
        columns, sums, hardest = every_path(notes, tempo)
        _, nodes, _ = plain.lattice(notes, seconds(tempo))
        allowed = np.ones(sums.shape, bool)
        for one, two, shared in plain.same_hand(notes, columns, pairs):
            agree = np.zeros((len(nodes[one]), len(nodes[two])), bool)
            agree[tuple(np.array(shared).T)] = True
            agree = agree if one < two else agree.T
            shape = [1] * sums.ndim
            shape[one], shape[two] = len(nodes[one]), len(nodes[two])
            allowed &= agree.reshape(shape)
        found = best_fingerings(notes, tempo_bpm=tempo, count=1)[0]
        assert found.repeats == tuple(repeats)
        assert found.cost == np.where(allowed, sums, IMPOSSIBLE).min()
        tied += bool(repeats)
        gentlest = np.where(allowed, hardest, IMPOSSIBLE).min()
        gentle = best_fingerings(notes, tempo_bpm=tempo, count=1, objective="minimax")[0]
        assert gentle.cost == sums[allowed & (hardest == gentlest)].min()
    assert tied >= 100


def test_exhaustive_search_agrees_on_the_k_best_that_keep_their_figures() -> None:
    for notes, tempo in figured(60, 22):
        _, pairs = repeated(notes)
        columns, sums, _ = every_path(notes, tempo)
        same = [
            (one, two, set(shared)) for one, two, shared in plain.same_hand(notes, columns, pairs)
        ]
        by_fingers: dict[tuple[int, ...], int] = {}
        cheap = np.argwhere(sums <= best_fingerings(notes, tempo_bpm=tempo, count=4)[-1].cost)
        for states in map(tuple, cheap.tolist()):
            if all((states[one], states[two]) in shared for one, two, shared in same):
                line = tuple(
                    column[state][0] for column, state in zip(columns, states, strict=True)
                )
                by_fingers[line] = min(by_fingers.get(line, IMPOSSIBLE), int(sums[states]))
        found = best_fingerings(notes, tempo_bpm=tempo, count=4)
        stopped = [(one.cost, tuple(finger for finger in one.fingers if finger)) for one in found]
        assert stopped == sorted((cost, line) for line, cost in by_fingers.items())[:4]
        only = best_fingerings(notes, tempo_bpm=tempo, count=1)[0]
        assert only.fingers == found[0].fingers


def test_cp_sat_finds_nothing_cheaper_that_keeps_its_figures() -> None:
    for notes, tempo in figured(100, 23, most=8):
        _, pairs = repeated(notes)
        columns, nodes, steps = plain.lattice(notes, seconds(tempo))
        same = plain.same_hand(notes, columns, pairs)
        found = best_fingerings(notes, tempo_bpm=tempo, count=1)[0]
        assert found.cost == cp_sat.least_cost(
            nodes, steps, IMPOSSIBLE, same, plain.ahead(notes, seconds(tempo), columns)
        )
