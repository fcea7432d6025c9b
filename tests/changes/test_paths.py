"""The k best ways, against exhaustive search and against an independent solver."""

from __future__ import annotations

import itertools
import random

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.changes.paths import FORBIDDEN, Layer, Route, best_ways

Table = list[list[int]]
Layers = list[Layer]


def layer(costs: list[int], entries: list[int], exits: list[int]) -> Layer:
    return Layer(*(np.array(row, dtype=np.int64) for row in (costs, entries, exits)))


def pricer(table: Table):
    def link_costs(exits, entries):
        return np.array([[table[x][e] for e in entries] for x in exits], dtype=np.int64)

    return link_costs


def every_way(layers: Layers, table: Table) -> list[Route]:
    """All open ways in order of cost, then of picks, by trying each of them."""
    ways = []
    for picks in itertools.product(*(range(len(one.costs)) for one in layers)):
        cost = sum(int(one.costs[pick]) for one, pick in zip(layers, picks, strict=True))
        for (a, i), (b, j) in itertools.pairwise(zip(layers, picks, strict=True)):
            cost += table[a.exits[i]][b.entries[j]]
        if cost < FORBIDDEN:
            ways.append(Route(picks, cost))
    return sorted(ways, key=lambda way: (way.cost, way.picks))


@st.composite
def problems(draw: st.DrawFn) -> tuple[Layers, Table]:
    price = st.integers(0, 9)
    place = st.integers(0, 2)
    layers = []
    for size in draw(st.lists(st.integers(1, 5), min_size=1, max_size=4)):
        row = st.lists(place, min_size=size, max_size=size)
        costs = draw(st.lists(price, min_size=size, max_size=size))
        layers.append(layer(costs, draw(row), draw(row)))
    link = st.one_of(price, st.just(FORBIDDEN))
    table = draw(st.lists(st.lists(link, min_size=3, max_size=3), min_size=3, max_size=3))
    return layers, table


@given(problems(), st.integers(1, 12))
def test_the_best_ways_are_those_of_exhaustive_search(problem, k):
    layers, table = problem
    assert best_ways(layers, pricer(table), k) == every_way(layers, table)[:k]


def test_no_layers_and_empty_layers_have_no_way():
    assert best_ways([], pricer([[0]]), 3) == []
    assert best_ways([layer([1], [0], [0]), layer([], [], [])], pricer([[0]]), 3) == []


@pytest.mark.parametrize("seed", range(6))
def test_the_best_cost_is_that_of_an_independent_solver(seed):
    """CP-SAT (Google OR-Tools) on the same choice written as a flow of booleans."""
    from ortools.sat.python import cp_model

    random_ = random.Random(seed)
    places = 8
    layers = [
        layer(
            [random_.randint(0, 400) for _ in range(40)],
            [random_.randrange(places) for _ in range(40)],
            [random_.randrange(places) for _ in range(40)],
        )
        for _ in range(8)
    ]
    table = [
        [FORBIDDEN if random_.random() < 0.3 else random_.randint(0, 400) for _ in range(places)]
        for _ in range(places)
    ]

    model = cp_model.CpModel()
    taken = [[model.new_bool_var("") for _ in one.costs] for one in layers]
    cost = [
        int(price) * var
        for one, variables in zip(layers, taken, strict=True)
        for price, var in zip(one.costs, variables, strict=True)
    ]
    for variables in taken:
        model.add_exactly_one(variables)
    for (a, picked_a), (b, picked_b) in itertools.pairwise(zip(layers, taken, strict=True)):
        flow = {
            (x, e): model.new_bool_var("")
            for x in range(places)
            for e in range(places)
            if table[x][e] < FORBIDDEN
        }
        for x in range(places):
            leaving = [var for var, at in zip(picked_a, a.exits, strict=True) if at == x]
            model.add(sum(leaving) == sum(v for (f, _), v in flow.items() if f == x))
        for e in range(places):
            entering = [var for var, at in zip(picked_b, b.entries, strict=True) if at == e]
            model.add(sum(entering) == sum(v for (_, t), v in flow.items() if t == e))
        cost += [table[x][e] * var for (x, e), var in flow.items()]
    model.minimize(sum(cost))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 1
    assert solver.solve(model) == cp_model.OPTIMAL

    found = best_ways(layers, pricer(table), 1)
    assert found[0].cost == round(solver.objective_value)
