"""All the ways to play an idea under one chord: other triads, any shape, the whole neck.

Every order of every group of triads that sounds as the chord, every shape of each triad that has
enough rungs, every place of the hand, and the strokes that the strings allow: some ten thousand
candidates a chord, priced together as arrays.

For one triad or two these are all there are.  Chains of three or four shapes are too many to try:
of each group of triads the :data:`CHAINS` chains that are least unusual and leap least are kept.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, permutations, product
from typing import TYPE_CHECKING

from lickwright.changes.clarity import clarity_cost, clarity_of
from lickwright.changes.hand_places import HandPlaces
from lickwright.changes.idea import Step
from lickwright.changes.idea_plan import (
    IdeaTask,
    Plan,
    chord_tone_mask,
    idea_terms,
    plan_for,
    triads_cost,
)
from lickwright.changes.joins import pick_code, place_codes
from lickwright.changes.paths import Layer
from lickwright.changes.picked_lines import PickedLine, new_strokes_cost, stroke_book
from lickwright.changes.pool import Candidate, Pool, keep_cheapest
from lickwright.changes.shape_tables import ShapeTable, shape_table, stacked, with_passing_tones
from lickwright.changes.triad_groups import Group, clearest_groups
from lickwright.neck.instrument import Position
from lickwright.theory.pitch import NoteName
from lickwright.theory.spelling import spell, spell_root
from lickwright.theory.triad import name_above

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]

#: By number of triads, how many chains of shapes are kept for one group of triads.
CHAINS = {3: 400, 4: 100}


def idea_pool(task: IdeaTask, k: int) -> Pool:
    """The candidates that can be part of the ``k`` best ways; empty where there are none."""
    import numpy as np

    plan = plan_for(task)
    rows = _joined_rows(task, plan)
    if rows is None:
        nothing = np.empty(0, dtype=np.int64)
        return Pool(Layer(nothing, nothing, nothing), _no_candidate, 0)
    cost = rows.base_costs(task, plan)
    distinct = _one_for_each_line(plan, rows, cost)
    rows, cost = rows.taken(distinct), cost[distinct]
    row, line, lines = _picked(task, plan, rows)
    points = np.asarray([one.points for one in lines], dtype=np.int64) * task.costs.stroke
    anew = np.asarray([new_strokes_cost(one, task.costs) for one in lines], dtype=np.int64)
    cost = cost[row] + points[line] + anew[line]
    entries = rows.end_codes(plan, 0)[row]
    entries |= np.asarray([pick_code(one.strokes[0], one.first) for one in lines])[line]
    exits = rows.end_codes(plan, -1)[row]
    exits |= np.asarray([pick_code(one.strokes[-1], one.last) for one in lines])[line]
    kept = keep_cheapest(Layer(cost, entries, exits), k)

    def candidate(index: int) -> Candidate:
        at = int(kept[index])
        return _written_out(task, plan, rows, int(row[at]), lines[int(line[at])])

    return Pool(Layer(cost[kept], entries[kept], exits[kept]), candidate, len(cost))


@dataclass(frozen=True, slots=True)
class _Rows:
    """Candidates before their strokes.

    Parameters
    ----------
    groups : the triads that are tried.
    tables : for each voice all shapes of all groups.
    group, chain : (rows,) which group, and which chain of shapes.
    shape, hold : (rows, voices) which row of the voice's table, and the index finger's fret.
    """

    groups: tuple[Group, ...]
    tables: tuple[ShapeTable, ...]
    group: Ints
    chain: Ints
    shape: Ints
    hold: Ints

    def taken(self, rows: Ints) -> _Rows:
        """Some of the rows."""
        return replace(
            self,
            group=self.group[rows],
            chain=self.chain[rows],
            shape=self.shape[rows],
            hold=self.hold[rows],
        )

    def note(self, plan: Plan, step: Step, field: str) -> Ints:
        """String, fret or MIDI key of a step, a number a row."""
        column = plan.column(step)
        table: Ints = getattr(self.tables[column], field)
        taken: Ints = table[self.shape[:, column], step.rung]
        return taken

    def _is(self, plan: Plan, positions: Sequence[Position]) -> NDArray[np.bool_]:
        """Whether a row plays just these places."""
        import numpy as np

        same = np.ones(len(self.group), dtype=bool)
        for step, place in zip(plan.steps, positions, strict=True):
            same &= self.note(plan, step, "strings") == place.string
            same &= self.note(plan, step, "frets") == place.fret
        return same

    def end_codes(self, plan: Plan, at: int) -> Ints:
        """The left hand's part of the code of the first (0) or last (-1) note."""
        step = plan.steps[at]
        return place_codes(
            self.hold[:, plan.column(step)],
            self.note(plan, step, "strings"),
            self.note(plan, step, "frets"),
        )

    def base_costs(self, task: IdeaTask, plan: Plan) -> Ints:
        """The sums of :func:`idea_terms` without the strokes."""
        import numpy as np

        costs = task.costs
        tenths = np.asarray(HandPlaces(task.guitar, task.hand).tenths, dtype=np.int64)
        travel = np.zeros(len(self.group), dtype=np.int64)
        midi = np.zeros(len(self.group), dtype=np.int64)
        along = np.zeros(len(self.group), dtype=np.int64)
        mask = np.zeros(len(self.group), dtype=np.int64)
        played = {step: self.note(plan, step, "midi") for step in dict.fromkeys(plan.steps)}
        for step, pitch in played.items():
            midi += pitch * plan.steps.count(step)
            along += tenths[self.note(plan, step, "frets")] * plan.steps.count(step)
            if plan.is_chord_tone(step):
                mask |= 1 << pitch % 12
        for a, b in pairwise(plan.steps):
            if a.voice != b.voice:
                here, there = self.hold[:, plan.column(a)], self.hold[:, plan.column(b)]
                travel += np.abs(tenths[here] - tenths[there])
        rank = np.zeros(len(self.group), dtype=np.int64)
        for column, table in enumerate(self.tables):
            rank += table.rank[self.shape[:, column]]
        height = np.abs(midi / len(plan.steps) - task.home.midi)
        away = np.abs(along / len(plan.steps) - task.home.tenths)
        masks, which = np.unique(mask, return_inverse=True)
        clarity = np.asarray(
            [
                clarity_cost(clarity_of(each, task.chord, task.key), costs)
                for each in masks.tolist()
            ],
            dtype=np.int64,
        )
        triads = np.asarray(
            [triads_cost(task, plan, group) for group in self.groups], dtype=np.int64
        )
        total: Ints = (
            np.maximum(travel - task.home.travel, 0) * costs.travel // 10
            + clarity[which]
            + triads[self.group]
            + (height * costs.register).astype(np.int64)
            + (away * costs.place / 10).astype(np.int64)
            + rank * costs.shape // 10
        )
        if task.home.is_own_chord:
            total += ~self._is(plan, task.home.positions) * costs.not_itself
        for (a, b), crossing in plan.crossings.items():
            rise = played[b] - played[a]
            cross = np.abs(self.note(plan, b, "strings") - self.note(plan, a, "strings"))
            total += np.maximum(np.abs(rise) - 2, 0) * costs.leap
            total += (rise == 0) * costs.same_note
            total += np.maximum(cross - 1, 0) * costs.wide_string_change
            if crossing.direction:
                total += (np.sign(rise) != crossing.direction) * crossing.times * costs.bent
        return total


def _joined_rows(task: IdeaTask, plan: Plan) -> _Rows | None:
    """Every group in every order, on all shapes that join, from all hand places."""
    import numpy as np

    size = len(plan.voices)
    groups = task.groups or tuple(
        order
        for group in clearest_groups(task.chord, task.key, task.scale_mask, size, task.costs)
        for order in permutations(group)
    )
    kept: list[Group] = []
    tables: list[list[ShapeTable]] = [[] for _ in plan.voices]
    parts: list[tuple[Ints, Ints]] = []
    starts = [0] * size
    for group in groups:
        found = _tables_of(task, plan, group)
        chosen = None if found is None else _joining(task, plan, found)
        if found is None or chosen is None or not len(chosen):
            continue
        parts.append((np.full(len(chosen), len(kept), dtype=np.int64), chosen + starts))
        kept.append(group)
        for column, table in enumerate(found):
            tables[column].append(table)
            starts[column] += len(table)
    if not parts:
        return None
    group_, shape = (np.concatenate(column) for column in zip(*parts, strict=True))
    whole = tuple(map(stacked, tables))
    row, hold = _held(task, whole, shape)
    if not len(row):
        return None
    return _Rows(tuple(kept), whole, group_[row], row, shape[row], hold)


def _tables_of(task: IdeaTask, plan: Plan, group: Group) -> list[ShapeTable] | None:
    tables = []
    where = (task.guitar, task.hand, task.frets, task.strings)
    scale_mask = task.scale_mask | task.chord.mask
    for triad, voice, rungs in zip(group, plan.voices, plan.rungs, strict=True):
        table = shape_table(triad, rungs, *where)
        if table is not None:
            table = with_passing_tones(table, task.idea.passing[voice], scale_mask, *where)
        if table is None:
            return None
        tables.append(table)
    return tables


def _joining(task: IdeaTask, plan: Plan, tables: Sequence[ShapeTable]) -> Ints:
    """Rows of shapes, one for each voice, whose crossings all lie within their limits."""
    import numpy as np

    chosen: Ints = np.arange(len(tables[0]), dtype=np.int64)[:, None]
    for index in range(1, len(tables)):
        joins = np.ones((len(chosen), len(tables[index])), dtype=bool)
        for (a, b), crossing in plan.crossings.items():
            old, new = sorted((a, b), key=plan.column)
            if plan.column(new) != index:
                continue
            before, table = tables[plan.column(old)], tables[index]
            rows = chosen[:, plan.column(old)]
            for field, widest in (
                ("strings", crossing.widest_string_change),
                ("midi", crossing.widest_step),
            ):
                here = getattr(before, field)[rows, old.rung][:, None]
                there = getattr(table, field)[:, new.rung][None, :]
                joins &= np.abs(here - there) <= widest
        left, right = np.nonzero(joins)
        chosen = np.concatenate([chosen[left], right[:, None]], axis=1)
        if index >= 2:
            price = _chain_price(task, plan, tables, chosen)
            chosen = chosen[np.sort(np.argsort(price, kind="stable")[: CHAINS[len(tables)]])]
    return chosen


def _chain_price(task: IdeaTask, plan: Plan, tables: Sequence[ShapeTable], chosen: Ints) -> Ints:
    """What chains of the first few shapes cost by their shapes and crossings alone."""
    import numpy as np

    price = np.zeros(len(chosen), dtype=np.int64)
    for column in range(chosen.shape[1]):
        price += tables[column].rank[chosen[:, column]] * task.costs.shape // 10
    for (a, b), crossing in plan.crossings.items():
        here, there = plan.column(a), plan.column(b)
        if max(here, there) < chosen.shape[1]:
            low = tables[here].midi[chosen[:, here], a.rung]
            rise = tables[there].midi[chosen[:, there], b.rung] - low
            price += np.maximum(np.abs(rise) - 2, 0) * task.costs.leap
            if crossing.direction:
                price += (np.sign(rise) != crossing.direction) * task.costs.bent
    return price


def _held(task: IdeaTask, tables: Sequence[ShapeTable], shape: Ints) -> tuple[Ints, Ints]:
    """Each row once for every choice of hand places within a comfortable reach of each other.

    Returns
    -------
    Row indices, and the fret of the index finger for each voice.
    """
    import numpy as np

    tenths = np.asarray(HandPlaces(task.guitar, task.hand).tenths, dtype=np.int64)
    reach = round(10 * task.hand.comfortable_reach_mm)
    rows, holds = [], []
    for places in product(*(range(table.holds.shape[1]) for table in tables)):
        columns = [
            table.holds[shape[:, column], place]
            for column, (table, place) in enumerate(zip(tables, places, strict=True))
        ]
        good = np.logical_and.reduce([column >= 0 for column in columns])
        lowest, highest = columns[0], columns[0]
        for column in columns[1:]:
            lowest, highest = np.minimum(lowest, column), np.maximum(highest, column)
        good &= tenths[highest] - tenths[lowest] <= reach
        rows.append(np.flatnonzero(good))
        holds.append(np.stack([column[good] for column in columns], axis=1))
    return np.concatenate(rows), np.concatenate(holds)


def _one_for_each_line(plan: Plan, rows: _Rows, cost: Ints) -> Ints:
    """Rows without those that only differ from a cheaper one by a hand place in their midst."""
    import numpy as np

    ends = sorted({plan.column(plan.steps[0]), plan.column(plan.steps[-1])})
    if len(ends) == len(plan.voices):
        return np.arange(len(cost), dtype=np.int64)
    key = rows.chain
    for column in ends:
        key = key << 6 | rows.hold[:, column]
    order = np.lexsort((cost, key))
    ordered = key[order]
    fresh = np.ones(len(order), dtype=bool)
    fresh[1:] = ordered[1:] != ordered[:-1]
    kept: Ints = np.sort(order[fresh])
    return kept


def _picked(task: IdeaTask, plan: Plan, rows: _Rows) -> tuple[Ints, Ints, list[PickedLine]]:
    """Each row once for every picked line its strings allow: its index, the line's, the lines."""
    import numpy as np

    kind = np.zeros(len(rows.group), dtype=np.int64)
    for column, table in enumerate(rows.tables):
        patterns, which = np.unique(table.strings, axis=0, return_inverse=True)
        kind = kind * len(patterns) + which.reshape(-1)[rows.shape[:, column]]
    for a, b in plan.crossings:  # a slur goes up or down
        rise = rows.note(plan, b, "midi") - rows.note(plan, a, "midi")
        kind = kind * 3 + np.sign(rise)
    _, examples, which = np.unique(kind, return_index=True, return_inverse=True)
    strokes = stroke_book(task.picking)
    lines: list[PickedLine] = []
    choices: list[list[int]] = []
    for example in examples.tolist():
        found = strokes.lines(_places(plan, rows, example))
        choices.append(list(range(len(lines), len(lines) + len(found))))
        lines += found
    most = max(map(len, choices))
    padded = np.asarray([row + [-1] * (most - len(row)) for row in choices], dtype=np.int64)
    row, choice = np.nonzero(padded[which] >= 0)
    return row, padded[which[row], choice], lines


def _places(plan: Plan, rows: _Rows, row: int) -> list[Position]:
    shapes = [
        table.positions(int(rows.shape[row, column])) for column, table in enumerate(rows.tables)
    ]
    return [shapes[plan.column(step)][step.rung] for step in plan.steps]


def _written_out(
    task: IdeaTask, plan: Plan, rows: _Rows, row: int, picked: PickedLine
) -> Candidate:
    group = rows.groups[int(rows.group[row])]
    indices = rows.shape[row].tolist()
    hold = rows.hold[row].tolist()
    shapes = [table.positions(index) for table, index in zip(rows.tables, indices, strict=True)]
    ranks = [int(table.rank[index]) for table, index in zip(rows.tables, indices, strict=True)]
    places = _places(plan, rows, row)
    midi = [task.guitar.midi_at(place) for place in places]
    terms = idea_terms(task, plan, group, shapes, ranks, hold, picked)
    # The example that the strokes were found on had other frets: hammer-ons follow these ones.
    (picked,) = [
        line for line in stroke_book(task.picking).lines(places) if line.strokes == picked.strokes
    ]
    return Candidate(
        positions=tuple(places),
        triads=group,
        voices=tuple(plan.column(step) for step in plan.steps),
        names=tuple(_names(task, plan, group, shapes, midi)),
        hand=tuple(hold[plan.column(step)] for step in plan.steps),
        picked=picked,
        clarity=clarity_of(chord_tone_mask(plan, midi), task.chord, task.key),
        terms=tuple(terms.items()),
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
        anchor = task.guitar.midi_at(shapes[column][tone.rung])
        beside = name_above(names[anchor % 12], 1 if tone.semitones > 0 else -1, key - anchor)
        if abs(tone.semitones) <= 2 and abs(beside.alter) <= 1:
            yield beside
        else:
            yield spell(key, task.key) if task.key is not None else spell_root(key)


def _no_candidate(index: int) -> Candidate:
    raise IndexError(f"there is no candidate {index}")
