"""Is the fingering the cheapest?  Beside exhaustive search and CP-SAT, on a model said again.

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

from lickwright.lick.fingering_weights import IMPOSSIBLE
from lickwright.lick.fingers import assign_fingers, best_fingerings

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
    return columns, reduce(np.add, shaped), reduce(np.maximum, shaped)


@pytest.mark.parametrize("seed", range(5))
def test_exhaustive_search_finds_nothing_cheaper(seed: int) -> None:
    for notes, tempo in phrases(100, 1, 5, seed):
        if not any(fret for _, fret in notes):
            continue
        _, sums, _ = every_path(notes, tempo)
        found = best_fingerings(notes, tempo_bpm=tempo, count=1)[0]
        assert found.cost == sums.min()


def test_exhaustive_search_finds_no_easier_hardest_moment() -> None:
    for notes, tempo in phrases(120, 2, 5, 11):
        if not any(fret for _, fret in notes):
            continue
        _, sums, hardest = every_path(notes, tempo)
        gentlest = hardest.min()
        found = best_fingerings(notes, tempo_bpm=tempo, count=1, objective="minimax")[0]
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
        found = best_fingerings(notes, tempo_bpm=tempo, count=6)
        stopped = [(one.cost, tuple(finger for finger in one.fingers if finger)) for one in found]
        assert stopped == wanted
        assert [note.finger for note in assign_fingers(notes, tempo_bpm=tempo)] == list(
            found[0].fingers
        )


@pytest.mark.parametrize("seed", range(5))
def test_cp_sat_finds_nothing_cheaper(seed: int) -> None:
    for notes, tempo in phrases(100, 4, 7, 100 + seed):
        if any(fret for _, fret in notes):
            _, nodes, steps = plain.lattice(notes, seconds(tempo))
            found = best_fingerings(notes, tempo_bpm=tempo, count=1)[0]
            assert found.cost == cp_sat.least_cost(nodes, steps, IMPOSSIBLE)


def test_the_plain_recurrence_agrees_on_long_lines() -> None:
    for notes, tempo in phrases(12, 60, 120, 13):
        found = best_fingerings(notes, tempo_bpm=tempo, count=1)[0]
        assert found.cost == plain.least_cost(notes, seconds(tempo))
