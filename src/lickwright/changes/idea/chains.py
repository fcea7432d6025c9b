"""Which shapes of which triads can play an idea under one chord, and what are they worth?

A *chain* is a group of triads in playing order with a shape for each.  Its price is all that does
not hang on the hand's place or on the pick: how clearly it sounds as the chord, how its shapes
join, how far it lies from the lick.  What each term means is said once, by
:func:`lickwright.changes.idea.plan.idea_terms`; the arrays here compute the same sums.

For one triad or two these are all there are.  Chains of three or four shapes are too many to try:
of each group of triads the :data:`CHAINS` that are least unusual and leap least are kept.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import permutations
from typing import TYPE_CHECKING

from lickwright.changes.idea.idea import IdeaStep
from lickwright.changes.idea.plan import IdeaTask, Plan, triads_cost
from lickwright.changes.idea.shape_tables import (
    ShapeTable,
    shape_table,
    stacked,
    with_passing_tones,
)
from lickwright.changes.idea.triad_groups import Group, clearest_groups
from lickwright.changes.lines import (
    FREE,
    HIGH_FRET,
    LOW_STRING,
    NEAR,
    Bounds,
    HandPlaces,
    clarity_cost,
    standing_of,
)
from lickwright.neck import Position

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]

#: By number of triads, how many chains are kept for one group of triads.
CHAINS = {3: 400, 4: 100}


@dataclass(frozen=True, slots=True)
class Chains:
    """Chains as arrays.

    Parameters
    ----------
    groups : the triads that are tried.
    tables : for each voice all shapes of all groups.
    group : (chains,) which group.
    shape : (chains, voices) which row of the voice's table.
    """

    groups: tuple[Group, ...]
    tables: tuple[ShapeTable, ...]
    group: Ints
    shape: Ints

    def __len__(self) -> int:
        return len(self.group)

    def taken(self, rows: Ints) -> Chains:
        """Some of the chains."""
        return replace(self, group=self.group[rows], shape=self.shape[rows])

    def note(self, plan: Plan, step: IdeaStep, field: str) -> Ints:
        """String, fret or MIDI key of a step in each chain."""
        column = plan.column(step)
        table: Ints = getattr(self.tables[column], field)
        taken: Ints = table[self.shape[:, column], step.rung]
        return taken

    def places(self, plan: Plan, chain: int) -> list[Position]:
        """The whole line of one chain."""
        shapes = self.shapes(chain)
        return [shapes[plan.column(step)][step.rung] for step in plan.steps]

    def shapes(self, chain: int) -> list[tuple[Position, ...]]:
        """The shapes of one chain, each low to high."""
        indices = self.shape[chain].tolist()
        return [table.positions(at) for table, at in zip(self.tables, indices, strict=True)]

    def ranks(self, chain: int) -> list[int]:
        """How unusual each shape of one chain is, in tenths of a mm of stretch."""
        indices = self.shape[chain].tolist()
        return [int(table.rank[at]) for table, at in zip(self.tables, indices, strict=True)]

    def within(self, plan: Plan, bounds: Bounds) -> NDArray[np.bool_]:
        """Which chains hold to some bounds."""
        import numpy as np

        mask = np.zeros(len(self), dtype=np.int64)
        kept = np.ones(len(self), dtype=bool)
        for step in dict.fromkeys(plan.steps):
            midi = self.note(plan, step, "midi")
            mask |= 1 << midi % 12
            kept &= (midi >= bounds.lowest) & (midi <= bounds.highest)
        kept &= mask & bounds.required == bounds.required
        kept &= mask & bounds.avoided == 0
        return kept

    def seen_by_the_pick(self, plan: Plan) -> Ints:
        """A number for each chain, the same for chains that are one to the pick."""
        import numpy as np

        kind = np.zeros(len(self), dtype=np.int64)
        for column, table in enumerate(self.tables):
            patterns, which = np.unique(table.strings, axis=0, return_inverse=True)
            kind = kind * len(patterns) + which.reshape(-1)[self.shape[:, column]]
        for a, b in plan.crossings:  # a slur goes up or down
            rise = self.note(plan, b, "midi") - self.note(plan, a, "midi")
            kind = kind * 3 + np.sign(rise) + 1
        _, numbers = np.unique(kind, return_inverse=True)
        return numbers

    def costs(self, task: IdeaTask, plan: Plan) -> Ints:
        """The sums of the terms without travel and strokes."""
        import numpy as np

        costs, home = task.ground.costs, task.ground.home
        tenths = np.asarray(HandPlaces(task.ground.guitar, task.ground.hand).tenths, dtype=np.int64)
        midi = np.zeros(len(self), dtype=np.int64)
        along = np.zeros(len(self), dtype=np.int64)
        mask = np.zeros(len(self), dtype=np.int64)
        high = np.zeros(len(self), dtype=np.int64)
        played = {step: self.note(plan, step, "midi") for step in dict.fromkeys(plan.steps)}
        for step, pitch in played.items():
            times = plan.steps.count(step)
            midi += pitch * times
            frets = self.note(plan, step, "frets")
            along += tenths[frets] * times
            low = self.note(plan, step, "strings") >= LOW_STRING
            high += np.maximum(frets - HIGH_FRET, 0) * low * times
            if plan.is_chord_tone(step):
                mask |= 1 << pitch % 12
        rank = np.zeros(len(self), dtype=np.int64)
        for column, table in enumerate(self.tables):
            rank += table.rank[self.shape[:, column]]
        masks, which = np.unique(mask, return_inverse=True)
        clarity = np.asarray(
            [clarity_cost(standing_of(each, task.ground.chord), costs) for each in masks.tolist()],
            dtype=np.int64,
        )
        triads = np.asarray(
            [triads_cost(task, plan, group) for group in self.groups], dtype=np.int64
        )
        guided = home.guides >> played[plan.steps[0]] % 12 & 1
        height = np.abs(midi / len(plan.steps) - home.midi)
        away = np.abs(along / len(plan.steps) - home.tenths)
        total: Ints = (
            clarity[which]
            + triads[self.group]
            + (height * costs.register + np.maximum(height - NEAR, 0.0) * costs.far_off).astype(
                np.int64
            )
            + high * costs.high_on_low
            + (1 - guided) * costs.no_guide
            + (away * costs.place / 10).astype(np.int64)
            + rank * costs.shape // 10
        )
        if home.is_own_chord:
            total += ~self._are(plan, home.positions) * costs.not_itself
        for (a, b), crossing in plan.crossings.items():
            rise = played[b] - played[a]
            cross = np.abs(self.note(plan, b, "strings") - self.note(plan, a, "strings"))
            total += np.maximum(np.abs(rise) - 2, 0) * costs.leap
            total += (rise == 0) * costs.same_note
            total += np.maximum(cross - 1, 0) * costs.wide_string_change
            if crossing.direction:
                total += (np.sign(rise) != crossing.direction) * crossing.times * costs.bent
        return total

    def _are(self, plan: Plan, positions: Sequence[Position]) -> NDArray[np.bool_]:
        """Which chains play just these places."""
        import numpy as np

        same = np.ones(len(self), dtype=bool)
        for step, place in zip(plan.steps, positions, strict=True):
            same &= self.note(plan, step, "strings") == place.string
            same &= self.note(plan, step, "frets") == place.fret
        return same


def find_chains(task: IdeaTask, plan: Plan, *, bent: bool) -> Chains | None:
    """Every group in every order on all shapes that join; ``None`` where there are none.

    ``bent`` lets the line rise where the lick falls.
    """
    import numpy as np

    size = len(plan.voices)
    groups = task.groups or tuple(
        order
        for group in (
            *clearest_groups(
                task.ground.chord,
                task.ground.key,
                task.scale_mask,
                size,
                task.ground.costs,
                task.ground.home.bounds,
                task.families,
            ),
            *(group for group in task.more if len(group) == size),
        )
        for order in permutations(group)
    )
    kept: list[Group] = []
    tables: list[list[ShapeTable]] = [[] for _ in plan.voices]
    parts: list[tuple[Ints, Ints]] = []
    starts = [0] * size
    for group in groups:
        found = _tables_of(task, plan, group)
        chosen = None if found is None else _joining(task, plan, found, bent=bent)
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
    chains = Chains(tuple(kept), tuple(map(stacked, tables)), group_, shape)
    if task.ground.home.bounds != FREE:
        chains = chains.taken(np.flatnonzero(chains.within(plan, task.ground.home.bounds)))
    return chains if len(chains) else None


def _tables_of(task: IdeaTask, plan: Plan, group: Group) -> list[ShapeTable] | None:
    tables = []
    where = (task.ground.guitar, task.ground.hand, task.ground.frets, task.ground.strings)
    scale_mask = task.scale_mask | task.ground.chord.mask
    for triad, voice, rungs in zip(group, plan.voices, plan.rungs, strict=True):
        table = shape_table(triad, rungs, *where)
        if table is not None:
            table = with_passing_tones(table, task.idea.passing[voice], scale_mask, *where)
        if table is None:
            return None
        tables.append(table)
    return tables


def _joining(task: IdeaTask, plan: Plan, tables: Sequence[ShapeTable], *, bent: bool) -> Ints:
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
            if crossing.direction and not bent:
                # Pitch was looked at last.
                up = there - here  # type: ignore[possibly-undefined]
                rise = up if new == b else -up
                joins &= np.sign(rise) == crossing.direction
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
        price += tables[column].rank[chosen[:, column]] * task.ground.costs.shape // 10
    for (a, b), crossing in plan.crossings.items():
        here, there = plan.column(a), plan.column(b)
        if max(here, there) < chosen.shape[1]:
            low = tables[here].midi[chosen[:, here], a.rung]
            rise = tables[there].midi[chosen[:, there], b.rung] - low
            price += np.maximum(np.abs(rise) - 2, 0) * task.ground.costs.leap
            if crossing.direction:
                price += (np.sign(rise) != crossing.direction) * task.ground.costs.bent
    return price
