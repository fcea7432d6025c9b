"""The cheapest fingering by CP-SAT: an independent solver beside the library's own search.

The model is the plain one of ``plain_fingers.py``: one state for each stopped note, one arc between
the states of neighbouring notes, least sum of costs.  CP-SAT proves its answer.
"""

from __future__ import annotations

from collections.abc import Sequence

from ortools.sat.python import cp_model


def least_cost(
    nodes: Sequence[Sequence[int]],
    steps: Sequence[Sequence[Sequence[int]]],
    impossible: int,
    same: Sequence[tuple[int, int, Sequence[tuple[int, int]]]] = (),
    ahead: Sequence[Sequence[Sequence[int]] | None] = (),
) -> int:
    """The least cost of a path through a lattice; ``steps`` at or above ``impossible`` are shut.

    Of ``ahead``, each entry is what a column costs with the one two before it.  Each of ``same``
    names two columns that must do the same, and the pairs of states that are.
    """
    model = cp_model.CpModel()
    used = [[model.new_bool_var("") for _ in column] for column in nodes]
    variables = [state for column in used for state in column]
    costs = [cost for column in nodes for cost in column]
    for column in used:
        model.add_exactly_one(column)
    for k, step in enumerate(steps, 1):
        into: list[list[cp_model.IntVar]] = [[] for _ in used[k]]
        for r, row in enumerate(step):
            out = []
            for s, cost in enumerate(row):
                if cost < impossible:
                    arc = model.new_bool_var("")
                    out.append(arc)
                    into[s].append(arc)
                    variables.append(arc)
                    costs.append(cost)
            model.add(sum(out) == used[k - 1][r])
        for s, arcs in enumerate(into):
            model.add(sum(arcs) == used[k][s])
    for column, look in enumerate(ahead):
        for r, row in enumerate(look or ()):
            for s, cost in enumerate(row):
                if cost:
                    both = model.new_bool_var("")
                    model.add(both >= used[column - 2][r] + used[column][s] - 1)
                    variables.append(both)
                    costs.append(cost)
    for one, two, pairs in same:
        for column, side in ((one, 0), (two, 1)):
            for state in set(range(len(used[column]))) - {pair[side] for pair in pairs}:
                model.add(used[column][state] == 0)
        for a, b in pairs:
            model.add(used[one][a] == used[two][b])
    model.minimize(cp_model.LinearExpr.weighted_sum(variables, costs))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    # probing and symmetry search cost more than they save on a lattice
    solver.parameters.cp_model_probing_level = 0
    solver.parameters.symmetry_level = 0
    status = solver.solve(model)
    if status != cp_model.OPTIMAL:
        raise RuntimeError(f"CP-SAT ended with {solver.status_name(status)}")
    return round(solver.objective_value)
