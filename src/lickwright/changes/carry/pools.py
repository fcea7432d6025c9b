"""What may be played under each chord: moved, found anew, staying, or come back?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from lickwright.changes.carry.asking import ChordTask, chord_tasks, moved_task
from lickwright.changes.carry.filling import Filling
from lickwright.changes.carry.landing import landing_candidates
from lickwright.changes.carry.moving import (
    MoveTask,
    grips,
    moved_candidates,
)
from lickwright.changes.carry.staying import KeptLine, lick_as_made, may_stay, sounding_lines
from lickwright.changes.carry.task import CarryTask, CarryWay
from lickwright.changes.idea import (
    IdeaTask,
    MergedTask,
    idea_pool,
    merged_candidates,
    turned_idea,
)
from lickwright.changes.lines import (
    FREE,
    TURNED,
    Candidate,
    Pool,
    clarity_of,
    pool_of,
)
from lickwright.changes.paths import Layer
from lickwright.changes.progression import (
    ChordRole,
    analyse,
)
from lickwright.errors import NeckError
from lickwright.lick.picking import opposite
from lickwright.neck import Position
from lickwright.theory import (
    NoteName,
    Triad,
    mask_of,
    pitch_from_midi,
    spell,
    spell_root,
)


def pools_for(task: CarryTask, fillings: Sequence[Filling], k: int) -> list[Pool]:
    """The pool of every chord, good for the ``k`` best ways.

    Raises
    ------
    NeckError
        Where a chord leaves the lick no place on the neck.
    """
    seen: dict[ChordTask, Pool] = {}
    pools = []
    sounding: list[KeptLine] = []
    roles = analyse(task.changes)
    lines = fillings if task.landing is None else fillings[:-1]
    asked_of = chord_tasks(task, lines)
    for role, filling, asked in zip(roles[: len(lines)], lines, asked_of, strict=True):
        placed = role.placed
        if isinstance(asked, IdeaTask):
            if asked not in seen:
                seen[asked] = idea_pool(asked, k)
            pool = seen[asked]
            if task.wish_in(placed.bar).turned:
                pool = _with_turned(pool, asked, k)
        else:
            found = _candidates(task, role, filling, asked, sounding)
            pool = pool_of(found)
            sounding = list(sounding_lines(found, filling.sources))
        if not len(pool):
            wish = str(task.wish_in(placed.bar))
            raise NeckError(
                f"bar {placed.bar}: the lick has no place on this neck over {placed.chord}"
                + (f" {wish}" if wish else ""),
                mend="Widen the frets or the strings, free the pin, or carry it by idea"
                if not wish
                else "Ask for less there, or widen the frets or the strings",
            )
        pools.append(pool)
    if task.landing is not None:
        pools.append(pool_of(landing_candidates(task, task.changes.chords[-1])))
    return pools


def _with_turned(pool: Pool, asked: IdeaTask, k: int) -> Pool:
    """A pool and, beside it, that of the lick turned round."""
    import numpy as np

    strokes = tuple(None if s is None else opposite(s) for s in asked.ground.picking.strokes)
    turned = idea_pool(
        replace(
            asked,
            idea=turned_idea(asked.idea),
            ground=replace(asked.ground, picking=replace(asked.ground.picking, strokes=strokes)),
        ),
        k,
    )
    count, price = len(pool), asked.ground.costs.turned

    def candidate(index: int) -> Candidate:
        if index < count:
            return pool.candidate(index)
        found = turned.candidate(index - count)
        return replace(found, terms=(*found.terms, (TURNED, price)))

    layer = Layer(
        np.concatenate([pool.layer.costs, turned.layer.costs + price]),
        np.concatenate([pool.layer.entries, turned.layer.entries]),
        np.concatenate([pool.layer.exits, turned.layer.exits]),
    )
    return Pool(layer, candidate, pool.tried + turned.tried)


def _candidates(
    task: CarryTask,
    role: ChordRole,
    filling: Filling,
    asked: MergedTask | MoveTask,
    sounding: Sequence[KeptLine],
) -> list[Candidate]:
    """All that may be played under one chord, after the lines that may sound before it."""
    if isinstance(asked, MoveTask) and asked.settled:
        return moved_candidates(asked)
    found = []
    if isinstance(asked, MergedTask):
        found += merged_candidates(asked)
    elif task.way is not CarryWay.GRIP:
        found += moved_candidates(asked)
    if task.way is CarryWay.GRIP or isinstance(asked, MergedTask):
        found += _grips(task, role, filling)
    for line in (*sounding, lick_as_made(task.lick, task.triads)):
        found += _staying(task, role, filling, line)
    pinned = task.pin(role.placed.bar).triads
    if pinned is not None:
        found = [one for one in found if set(one.triads) == set(pinned)]
    bounds = task.home(role.placed, filling).bounds
    if bounds != FREE:
        found = [
            one for one in found if bounds.allow(list(map(task.guitar.midi_at, one.positions)))
        ]
    kept = [one for one in found if not one.picked.changed] if task.keeps_strokes else []
    return kept or found


def _grips(task: CarryTask, role: ChordRole, filling: Filling) -> list[Candidate]:
    """The grip of the lick moved along the neck: by the root, or where it bears the chord out."""
    placed = role.placed
    windows = task.windows(placed.bar)
    own = [task.lick.notes[source].position for source in filling.sources]
    moves = grips(moved_task(task, role, filling, ())) | {0: tuple(own)}
    by_root = None if task.source is None else placed.chord.root.pc - task.source.root.pc
    found = []
    for move, positions in sorted(moves.items()):
        is_by_root = task.way is CarryWay.GRIP and by_root is not None and not (move - by_root) % 12
        if is_by_root or may_stay(positions, placed.chord, placed.key, task.guitar, windows):
            names = _names(task, role, positions)
            triads = [Triad(_name(names, role, t.root.pc + move), t.quality) for t in task.triads]
            asked = _settled(task, role, filling, positions, tuple(triads))
            found += moved_candidates(asked)
    return found


def _staying(task: CarryTask, role: ChordRole, filling: Filling, line: KeptLine) -> list[Candidate]:
    """A line that sounds, or the lick as it was made, where it bears the new chord out."""
    placed = role.placed
    positions = line.line(filling.sources)
    windows = task.windows(placed.bar)
    if positions is None or not may_stay(positions, placed.chord, placed.key, task.guitar, windows):
        return []
    members = tuple(line.members[source] for source in filling.sources)
    asked = _settled(task, role, filling, positions, line.triads)
    is_of_many = any(task.lick.notes[source].belongs.triads for source in filling.sources)
    unasked = 0 if task.way is CarryWay.IDEA else task.costs.unasked
    return [
        replace(
            one,
            voices=tuple(own[0] if own else None for own in members),
            members=members if is_of_many else (),
            terms=(*one.terms, ("not moved as asked", unasked)),
        )
        for one in moved_candidates(asked)
    ]


def _settled(
    task: CarryTask,
    role: ChordRole,
    filling: Filling,
    positions: Sequence[Position],
    triads: tuple[Triad, ...] = (),
) -> MoveTask:
    """What a chord asks for whose places are known."""
    names = _names(task, role, positions)
    pitches = []
    for place in positions:
        midi = task.guitar.midi_at(place)
        pitches.append(pitch_from_midi(midi, _name(names, role, midi)))
    asked = moved_task(task, role, filling, pitches)
    return replace(asked, settled=tuple(positions), triads=triads)


def _names(
    task: CarryTask, role: ChordRole, positions: Sequence[Position]
) -> Mapping[int, NoteName]:
    """How the notes at some places are spelled under a chord, by pitch class."""
    mask = mask_of(task.guitar.midi_at(place) for place in positions)
    reading = clarity_of(mask, role.placed.chord, role.placed.key).reading
    return {name.pc: name for name in reading.notes}


def _name(names: Mapping[int, NoteName], role: ChordRole, pc: int) -> NoteName:
    name = names.get(pc % 12)
    if name is not None:
        return name
    key = role.placed.key
    return spell_root(pc % 12) if key is None else spell(pc % 12, key)
