"""The candidates of one chord and the best way through several, in plain loops.

Slow and simple: what the arrays and the shortest path must agree with.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise, permutations, product

from lickwright.changes.idea.plan import IdeaTask, idea_terms, plan_for
from lickwright.changes.idea.triad_groups import clearest_groups
from lickwright.changes.lines.hand_places import HandPlaces
from lickwright.changes.lines.joins import End, Joins
from lickwright.changes.lines.strokes import stroke_book
from lickwright.neck.shapes.search import ranked_shapes


def every_candidate(task: IdeaTask) -> list[tuple[End, End, int]]:
    """Entry, exit and cost of every way to play an idea without passing tones.

    Ways that bend the contour count only where there are no others.
    """
    ways = list(_every_way(task))
    straight = [way for bent, *way in ways if not bent]
    return [tuple(way) for way in straight or [way for _, *way in ways]]


def _every_way(task: IdeaTask) -> Iterator[tuple[int, End, End, int]]:
    plan = plan_for(task)
    guitar = task.ground.guitar
    places = HandPlaces(guitar, task.ground.hand)
    reach = round(10 * task.ground.hand.comfortable_reach_mm)
    size = len(plan.voices)
    clearest = clearest_groups(
        task.ground.chord, task.ground.key, task.scale_mask, size, task.ground.costs
    )
    groups = (*clearest, *(group for group in task.more if len(group) == size))
    for group in (order for found in groups for order in permutations(found)):
        choices = [
            [
                (round(10 * rank), shape.positions, hold)
                for rank, shape in ranked_shapes(
                    triad, guitar, task.ground.frets, task.ground.strings, None, task.ground.hand
                )
                if len(shape.positions) == rungs
                for hold in places.holding(shape.positions)
            ]
            for triad, rungs in zip(group, plan.rungs, strict=True)
        ]
        for chosen in product(*choices):
            hold = [fret for _, _, fret in chosen]
            if max(places.tenths[f] for f in hold) - min(places.tenths[f] for f in hold) > reach:
                continue
            shapes = [positions for _, positions, _ in chosen]
            if not all(
                abs(here.string - there.string) <= crossing.widest_string_change
                and abs(guitar.midi_at(here) - guitar.midi_at(there)) <= crossing.widest_step
                for (a, b), crossing in plan.crossings.items()
                for here in [shapes[plan.column(a)][a.rung]]
                for there in [shapes[plan.column(b)][b.rung]]
            ):
                continue
            line = [shapes[plan.column(step)][step.rung] for step in plan.steps]
            for picked in stroke_book(task.ground.picking).lines(line):
                ranks = [rank for rank, _, _ in chosen]
                terms = idea_terms(task, plan, group, shapes, ranks, hold, picked)
                midi = [guitar.midi_at(place) for place in line]
                turn = (midi[1] > midi[0]) - (midi[1] < midi[0])
                first, last = (
                    End(
                        hold[plan.column(plan.steps[at])],
                        line[at].string,
                        line[at].fret,
                        picked.strokes[at],
                        run,
                        turn if at == 0 else 0,
                    )
                    for at, run in ((0, picked.first), (-1, picked.last))
                )
                yield terms["bent"], first, last, sum(terms.values())


def cheapest_by_ends(task: IdeaTask) -> dict[tuple[int, int], int]:
    """The least cost for each pair of entry and exit code."""
    best: dict[tuple[int, int], int] = {}
    for first, last, cost in every_candidate(task):
        ends = first.code, last.code
        best[ends] = min(cost, best.get(ends, cost))
    return best


def best_by_trying_all(candidates: Sequence[Sequence[tuple[End, End, int]]], joins: Joins) -> int:
    """The least cost of any way through some candidates, by trying every way."""
    ids = [list(enumerate(layer)) for layer in candidates]
    links = [
        {
            (i, j): sum(terms.values()) if terms is not None else None
            for i, (_, leave, _) in here
            for j, (enter, _, _) in there
            for terms in [joins.terms(leave, enter)]
        }
        for here, there in pairwise(ids)
    ]
    best: int | None = None
    for way in product(*ids):
        total = sum(cost for _, (_, _, cost) in way)
        for link, ((i, _), (j, _)) in zip(links, pairwise(way), strict=True):
            price = link[i, j]
            if price is None:
                break
            total += price
        else:
            best = total if best is None else min(best, total)
    assert best is not None
    return best
