"""The best way is the best: against plain loops on small cases, CP-SAT on middling ones."""

from __future__ import annotations

from itertools import pairwise

import pytest

from lickwright.changes.carry.asking import chord_tasks
from lickwright.changes.carry.carrying import carry
from lickwright.changes.carry.filling import fill_chords
from lickwright.changes.carry.pools import pools_for
from lickwright.changes.carry.task import CarryTask, CarryWay
from lickwright.changes.idea.plan import IdeaTask
from lickwright.changes.lines.joins import CarryCosts
from lickwright.changes.paths import FORBIDDEN, best_ways
from lickwright.changes.progression.chart import parse_changes
from lickwright.lick.picking.motions import Picking
from lickwright.neck.instrument import Guitar
from lickwright.neck.reach import HANDS

from .reference import best_by_trying_all, cheapest_by_ends, every_candidate


def task_for(source, text, key, frets, strings=None, way=CarryWay.IDEA):
    changes = parse_changes(text, key)
    task = CarryTask(
        source.lick,
        changes,
        way,
        source.triads,
        source.chord,
        changes.key,
        Guitar(),
        HANDS["medium"],
        Picking.SWEEP,
        frets,
        strings,
        {},
        CarryCosts(),
    )
    return task, fill_chords(source.lick, changes)


@pytest.mark.parametrize(
    ("triads", "contour", "chord"),
    [
        ("D F#m", "up down", "E13"),
        ("D F#m", "down up", "Amaj9"),
        ("D F#m", "up-down up", "F#7alt"),
        ("F#m", "up in threes", "Bm11"),
    ],
)
def test_the_arrays_hold_the_cheapest_candidate_for_every_pair_of_ends(
    source, triads, contour, chord
):
    lick = source(triads, frets="5-9", contour=contour)
    task, fillings = task_for(lick, chord, "A major", (5, 9))
    (asked,) = chord_tasks(task, fillings)
    assert isinstance(asked, IdeaTask)
    (pool,) = pools_for(task, fillings, 1)
    ends = zip(pool.layer.entries.tolist(), pool.layer.exits.tolist(), strict=True)
    assert dict(zip(ends, pool.layer.costs.tolist(), strict=True)) == cheapest_by_ends(asked)


def test_a_candidate_written_out_costs_what_its_row_says(pair):
    task, fillings = task_for(pair, "Bm9 | E13 C#m7b5", "A major", (3, 12))
    for pool in pools_for(task, fillings, 2):
        for index in range(0, len(pool), 7):
            written = pool.candidate(index)
            assert written.cost == pool.layer.costs[index]
            assert written.entry.code == pool.layer.entries[index]
            assert written.exit.code == pool.layer.exits[index]


@pytest.mark.parametrize(
    ("text", "frets"),
    [
        ("Bm9 E13 | F#7alt", "7-10"),
        ("Dmaj9 | C#m7b5 | F#7", "7-10"),
        ("Dmaj9 | Bm9 | F#7", "7-10"),
        ("Bm9 | E13", "6-10"),
    ],
)
def test_the_best_way_is_that_of_trying_every_way(pair, text, frets):
    task, fillings = task_for(pair, text, "A major", frets, "1-4")
    candidates = []
    for asked in chord_tasks(task, fillings):
        assert isinstance(asked, IdeaTask)
        candidates.append(list(every_candidate(asked)))
    assert all(candidates)
    best = best_by_trying_all(candidates, task.joins)
    found = carry(
        pair.lick,
        task.changes,
        triads=pair.triads,
        source=pair.chord,
        frets=frets,
        strings="1-4",
    )
    assert found.cost == best == sum(choice.cost for choice in found.choices)


@pytest.mark.parametrize(
    ("text", "way", "frets"),
    [
        ("Bm9 | E13 | Amaj9 | F#7alt | Bm9", CarryWay.IDEA, "7-11"),
        ("Bm9 E13 | Amaj9 Dmaj9 | C#m7b5 F#7 | Bm9", CarryWay.IDEA, "8-11"),
        ("Bm9 | E13 | Amaj9 | Dmaj9 | C#m7b5 | F#7 | Bm9 | E13", CarryWay.DIATONIC, None),
        ("Bm9 | Cm9 | Ebm9 | Am9 | F#m9 | Em9", CarryWay.EXACT, None),
    ],
)
def test_the_best_way_is_that_of_an_independent_solver(pair, text, way, frets):
    """CP-SAT (Google OR-Tools) on the same pools and prices."""
    task, fillings = task_for(pair, text, "A major", frets, way=way)
    layers = [pool.layer for pool in pools_for(task, fillings, 1)]
    (best,) = best_ways(layers, task.joins.matrix, 1)
    assert best.cost == solved(layers, task.joins.matrix)


def solved(layers, link_costs) -> int:
    """The least cost as CP-SAT finds it: one unit of flow through a graph of booleans."""
    import numpy as np
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    taken = [[model.new_bool_var("") for _ in layer.costs] for layer in layers]
    objective = [
        price * var
        for layer, variables in zip(layers, taken, strict=True)
        for price, var in zip(layer.costs.tolist(), variables, strict=True)
    ]
    for variables in taken:
        model.add_exactly_one(variables)
    for (here, picked), (there, following) in pairwise(zip(layers, taken, strict=True)):
        exits, entries = np.unique(here.exits), np.unique(there.entries)
        table = link_costs(exits, entries).tolist()
        leaving = {code: [] for code in exits.tolist()}
        entering = {code: [] for code in entries.tolist()}
        for leave, row in zip(exits.tolist(), table, strict=True):
            for enter, price in zip(entries.tolist(), row, strict=True):
                if price < FORBIDDEN:
                    flow = model.new_bool_var("")
                    leaving[leave].append(flow)
                    entering[enter].append(flow)
                    objective.append(price * flow)
        for ends, flows, variables in (
            (here.exits, leaving, picked),
            (there.entries, entering, following),
        ):
            for code, moved in flows.items():
                own = [v for v, end in zip(variables, ends.tolist(), strict=True) if end == code]
                model.add(sum(own) == sum(moved))
    model.minimize(sum(objective))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return round(solver.objective_value)


def test_a_wider_neck_and_a_free_bar_never_cost_more(pair):
    """More candidates can only help, and a pin only hinder."""
    changes = parse_changes("Bm9 | E13 | Amaj9", "A major")
    narrow = carry(pair.lick, changes, triads=pair.triads, frets="5-10").cost
    assert carry(pair.lick, changes, triads=pair.triads, frets="4-12").cost <= narrow
    assert carry(pair.lick, changes, triads=pair.triads).cost <= narrow
