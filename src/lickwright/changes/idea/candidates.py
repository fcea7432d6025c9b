"""All the ways to play an idea under one chord: other triads, any shape, the whole neck.

Every order of every group of triads that sounds as the chord, every shape of each triad that has
enough rungs (:mod:`lickwright.changes.idea.chains`), every place of the hand, and the strokes that
the strings allow.  Whatever cannot be part of a best way is let go as early as that is known.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise, product
from typing import TYPE_CHECKING

from lickwright.changes.idea.chains import Chains, find_chains
from lickwright.changes.idea.plan import IdeaTask, Plan, chord_tone_mask, idea_terms, plan_for
from lickwright.changes.idea.triad_groups import Group
from lickwright.changes.lines import (
    Candidate,
    HandPlaces,
    PickedLine,
    Pool,
    cheapest_of_each,
    clarity_of,
    keep_cheapest,
    new_strokes_cost,
    pick_code,
    place_codes,
    stroke_book,
    turn_code,
    turn_of,
)
from lickwright.changes.paths import Layer
from lickwright.neck import Position
from lickwright.theory import NoteName, name_above, spell, spell_root

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]


def idea_pool(task: IdeaTask, k: int) -> Pool:
    """The candidates that can be part of the ``k`` best ways; empty where there are none."""
    import numpy as np

    plan = plan_for(task)
    # The contour of the lick is kept wherever that is possible at all.
    chains = find_chains(task, plan, bent=False) or find_chains(task, plan, bent=True)
    if chains is None:
        nothing = np.empty(0, dtype=np.int64)
        return Pool(Layer(nothing, nothing, nothing), _no_candidate, 0)
    tried = len(chains)
    cost = chains.costs(task, plan)
    pick = chains.seen_by_the_pick(plan)
    alike = _cheapest_alike(plan, chains, pick, cost, k)
    chains, pick, cost = chains.taken(alike), pick[alike], cost[alike]

    chain, hold, travel = _held(task, plan, chains)
    cost = cost[chain] + travel
    row, line, lines = _picked(task, plan, chains, pick, chain)
    points = np.asarray([one.points for one in lines], dtype=np.int64) * task.ground.costs.stroke
    anew = np.asarray([new_strokes_cost(one, task.ground.costs) for one in lines], dtype=np.int64)
    cost = cost[row] + points[line] + anew[line]
    chain, hold = chain[row], hold[row]
    entries, exits = (
        place_codes(
            hold[:, plan.column(plan.steps[at])],
            chains.note(plan, plan.steps[at], "strings")[chain],
            chains.note(plan, plan.steps[at], "frets")[chain],
        )
        for at in (0, -1)
    )
    entries |= np.asarray([pick_code(one.strokes[0], one.first) for one in lines])[line]
    entries |= _turn_codes(plan, chains)[chain]
    exits |= np.asarray([pick_code(one.strokes[-1], one.last) for one in lines])[line]
    kept = keep_cheapest(Layer(cost, entries, exits), k)
    chain, hold, line = chain[kept], hold[kept], line[kept]

    def candidate(index: int) -> Candidate:
        picked = lines[int(line[index])]
        return _written_out(task, plan, chains, int(chain[index]), hold[index].tolist(), picked)

    return Pool(Layer(cost[kept], entries[kept], exits[kept]), candidate, tried)


def _turn_codes(plan: Plan, chains: Chains) -> Ints:
    """Of each chain, the share of its entry's code that says where the line goes."""
    import numpy as np

    if len(plan.steps) < 2:
        return np.zeros(len(chains), dtype=np.int64)
    first, second = (chains.note(plan, step, "midi") for step in plan.steps[:2])
    codes = np.asarray([turn_code(turn) for turn in (-1, 0, 1)], dtype=np.int64)
    found: Ints = codes[np.sign(second - first) + 1]
    return found


def _cheapest_alike(plan: Plan, chains: Chains, pick: Ints, cost: Ints, k: int) -> Ints:
    """The ``k`` cheapest of all chains that are one to the pick, to the hand and at both ends.

    From here on such chains get the same places of the hand and the same strokes at the same
    price, so that the others cannot be part of a best way.
    """
    keys = [pick, _turn_codes(plan, chains)]
    for at in (0, -1):
        keys += [chains.note(plan, plan.steps[at], field) for field in ("strings", "frets")]
    for column, table in enumerate(chains.tables):
        shape = chains.shape[:, column]
        keys += [table.holds.max(axis=1)[shape], _lowest_hold(table.holds)[shape]]
    return cheapest_of_each(keys, cost, k)


def _lowest_hold(holds: Ints) -> Ints:
    """The lowest fret of the index finger that holds each shape (the places are neighbours)."""
    lowest: Ints = holds[:, 0]
    return lowest


def _held(task: IdeaTask, plan: Plan, chains: Chains) -> tuple[Ints, Ints, Ints]:
    """Each chain once for every choice of hand places within a comfortable reach of each other.

    Returns
    -------
    Chain, fret of the index finger for each voice, and what its travel costs.
    """
    import numpy as np

    tenths = np.asarray(HandPlaces(task.ground.guitar, task.ground.hand).tenths, dtype=np.int64)
    reach = round(10 * task.ground.hand.comfortable_reach_mm)
    ends = {plan.column(plan.steps[0]), plan.column(plan.steps[-1])}
    found: list[tuple[Ints, Ints]] = []
    free = [column for column in range(len(plan.voices)) if column not in ends]
    settled = free if len(plan.voices) == 2 else []
    choices = [
        range(1) if column in settled else range(table.holds.shape[1])
        for column, table in enumerate(chains.tables)
    ]
    for places in product(*choices):
        columns = [
            table.holds[chains.shape[:, column], place]
            for column, (table, place) in enumerate(zip(chains.tables, places, strict=True))
        ]
        for column in settled:
            # Between two stays of the other voice the nearest place is the best.
            holds = chains.tables[column].holds[chains.shape[:, column]]
            columns[column] = np.clip(columns[1 - column], holds[:, 0], holds.max(axis=1))
        good = np.logical_and.reduce([column > 0 for column in columns])
        lowest = np.minimum.reduce(columns)
        highest = np.maximum.reduce(columns)
        good &= tenths[highest] - tenths[np.maximum(lowest, 0)] <= reach
        rows = np.flatnonzero(good)
        found.append((rows, np.stack([column[rows] for column in columns], axis=1)))
    chain, hold = (np.concatenate(column) for column in zip(*found, strict=True))
    travel = np.zeros(len(chain), dtype=np.int64)
    for a, b in pairwise(plan.steps):
        if a.voice != b.voice:
            here, there = hold[:, plan.column(a)], hold[:, plan.column(b)]
            travel += np.abs(tenths[here] - tenths[there])
    cost = np.maximum(travel - task.ground.home.travel, 0) * task.ground.costs.travel // 10
    if free and not settled:
        keys = [chain, *(hold[:, column] for column in sorted(ends))]
        kept = cheapest_of_each(keys, cost, 1)
        chain, hold, cost = chain[kept], hold[kept], cost[kept]
    return chain, hold, cost


def _picked(
    task: IdeaTask, plan: Plan, chains: Chains, pick: Ints, chain: Ints
) -> tuple[Ints, Ints, list[PickedLine]]:
    """Each row once for every picked line its strings allow: its index, the line's, the lines.

    Parameters
    ----------
    pick : for each chain the number of what the pick sees of it.
    chain : for each row its chain.
    """
    import numpy as np

    _, examples, which = np.unique(pick, return_index=True, return_inverse=True)
    strokes = stroke_book(task.ground.picking)
    lines: list[PickedLine] = []
    choices: list[list[int]] = []
    for example, seen in zip(examples.tolist(), _seen(plan, chains, examples), strict=True):
        found = strokes.known(seen) or strokes.lines(chains.places(plan, example))
        choices.append(list(range(len(lines), len(lines) + len(found))))
        lines += found
    most = max(map(len, choices))
    padded = np.asarray([row + [-1] * (most - len(row)) for row in choices], dtype=np.int64)
    number = which[chain]
    row, choice = np.nonzero(padded[number] >= 0)
    return row, padded[number[row], choice], lines


def _seen(plan: Plan, chains: Chains, rows: Ints) -> list[bytes]:
    """What ``seen_by_the_pick`` gives for some chains."""
    import numpy as np

    some = chains.taken(rows)
    string = np.stack([some.note(plan, step, "strings") for step in plan.steps], axis=1)
    fret = np.stack([some.note(plan, step, "frets") for step in plan.steps], axis=1)
    seen = 3 * string + 1
    stays = string[:, 1:] == string[:, :-1]
    seen[:, 1:] += stays * np.sign(fret[:, 1:] - fret[:, :-1])
    return [row.tobytes() for row in seen.astype(np.uint8)]


def _written_out(
    task: IdeaTask,
    plan: Plan,
    chains: Chains,
    chain: int,
    hold: Sequence[int],
    picked: PickedLine,
) -> Candidate:
    group = chains.groups[int(chains.group[chain])]
    shapes = chains.shapes(chain)
    places = chains.places(plan, chain)
    midi = [task.ground.guitar.midi_at(place) for place in places]
    terms = idea_terms(task, plan, group, shapes, chains.ranks(chain), hold, picked)
    # The example that the strokes were found on had other frets: hammer-ons follow these ones.
    (picked,) = [
        line
        for line in stroke_book(task.ground.picking).lines(places)
        if line.strokes == picked.strokes
    ]
    return Candidate(
        positions=tuple(places),
        triads=group,
        voices=tuple(plan.column(step) for step in plan.steps),
        names=tuple(_names(task, plan, group, shapes, midi)),
        hand=tuple(hold[plan.column(step)] for step in plan.steps),
        picked=picked,
        clarity=clarity_of(chord_tone_mask(plan, midi), task.ground.chord, task.ground.key),
        terms=tuple(terms.items()),
        turn=turn_of(midi),
    )


def _names(
    task: IdeaTask,
    plan: Plan,
    group: Group,
    shapes: Sequence[Sequence[Position]],
    midi: Sequence[int],
) -> Iterator[NoteName]:
    """How each note is spelled: by its triad, or on the letter beside the tone it leans on."""
    for step, key in zip(plan.steps, midi, strict=True):
        column = plan.column(step)
        names = {name.pc: name for name in group[column].notes}
        if plan.is_chord_tone(step):
            yield names[key % 12]
            continue
        tone = task.idea.passing[step.voice][step.rung - plan.rungs[column]]
        anchor = task.ground.guitar.midi_at(shapes[column][tone.rung])
        beside = name_above(names[anchor % 12], 1 if tone.semitones > 0 else -1, key - anchor)
        if abs(tone.semitones) <= 2 and abs(beside.alter) <= 1:
            yield beside
        else:
            yield spell(key, task.ground.key) if task.ground.key is not None else spell_root(key)


def _no_candidate(index: int) -> Candidate:
    raise IndexError(f"there is no candidate {index}")
