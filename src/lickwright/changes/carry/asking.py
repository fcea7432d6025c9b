"""What does each chord of a progression ask of the lick that is carried?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

from lickwright.changes.carry.filling import Filling
from lickwright.changes.carry.moving import (
    MoveTask,
    moved_by_steps,
    moved_exactly,
)
from lickwright.changes.carry.task import STROKE_POINTS, CarryTask, CarryWay
from lickwright.changes.idea import (
    Group,
    Idea,
    IdeaTask,
    MergedIdea,
    MergedTask,
    clearest_groups,
    idea_of,
    is_merged,
    merged_idea_of,
)
from lickwright.changes.lines import (
    ChordGround,
    PickingTask,
    standing_of,
)
from lickwright.changes.progression import (
    ChordRole,
    PlacedChord,
    analyse,
    offered_scales,
    scale_of_the_moment,
)
from lickwright.errors import HandError, LickwrightError, NeckError, TheoryError
from lickwright.lick.rhythm import felt_beats
from lickwright.neck import Position
from lickwright.theory import (
    Pitch,
    Triad,
    mask_of,
    pitch_from_midi,
    spell,
    spell_root,
)

#: What one chord asks for.
ChordTask = IdeaTask | MergedTask | MoveTask

#: How many groups of triads may stay or come back, beside the clearest of a chord, by their size.
MORE_GROUPS = {1: 4, 2: 4, 3: 1, 4: 1}


def chord_tasks(task: CarryTask, fillings: Sequence[Filling]) -> list[ChordTask]:
    """What each chord asks for.

    Raises
    ------
    TheoryError, HandError, NeckError
        With the bar, where a chord cannot be asked.
    """
    for bar in task.pins:
        if not any(placed.bar == bar for placed in task.changes.chords):
            raise NeckError(f"bar {bar} is pinned, but no chord begins there", mend="Check the bar")
    _check_wishes(task)
    idea: Idea | MergedIdea | None = None
    if task.way is CarryWay.IDEA and is_merged(task.lick):
        idea = merged_idea_of(task.lick, task.triads)
    elif task.way is CarryWay.IDEA:
        idea = idea_of(task.lick, task.triads)
    asked: list[ChordTask] = []
    before: ChordTask | None = None
    roles = analyse(task.changes)[: len(fillings)]
    for role, filling in zip(roles, fillings, strict=True):
        placed = role.placed
        try:
            before = _chord_task(task, idea, role, filling, before)
        except LickwrightError as error:
            what = f"bar {placed.bar}, {placed.chord}: {error.what}"
            raise type(error)(what, mend=error.mend) from error
        asked.append(before)
    return asked


def _check_wishes(task: CarryTask) -> None:
    """Refuse what only other triads, or triads run by run, could do.

    Raises
    ------
    TheoryError
        With what is asked, and of which bar.
    """
    by_idea = task.way is CarryWay.IDEA
    wishes = [("", task.wish), *((f"bar {bar}: ", pin.wish) for bar, pin in task.pins.items())]
    for where, wish in wishes:
        if wish.families and not by_idea:
            raise TheoryError(
                f"{where}families of triads are asked for of a line that keeps its own",
                mend="Carry it by idea, or leave families out",
            )
        if wish.turned and (not by_idea or is_merged(task.lick)):
            raise TheoryError(
                f"{where}this lick is not turned round: only triads run by run are, by idea",
                mend="Carry it by idea, or leave turned out",
            )


def _chord_task(
    task: CarryTask,
    idea: Idea | MergedIdea | None,
    role: ChordRole,
    filling: Filling,
    before: ChordTask | None,
) -> ChordTask:
    settled = task.pin(role.placed.bar).positions
    if settled is not None:
        return _settled_task(task, role, filling, settled)
    if idea is None:
        return _move_task(task, role, filling)
    if isinstance(idea, MergedIdea):
        return _merged_task(task, idea, role, filling)
    asked = _idea_task(task, idea, role, filling)
    if asked.groups:
        return asked
    earlier = before if isinstance(before, IdeaTask) and not before.groups else None
    return replace(asked, more=_more_groups(task, idea, asked, earlier))


def _more_groups(
    task: CarryTask, idea: Idea, asked: IdeaTask, before: IdeaTask | None
) -> tuple[Group, ...]:
    """Triads of the chord before, and of the lick, that bear this chord out too."""
    voices = sorted({idea.steps[source].voice for source in asked.sources})
    size = len(voices)
    clearest = _clearest(asked, size)
    seen = [set(group) for group in clearest]
    groups = [tuple(task.triads[voice] for voice in voices)]
    if before is not None:
        groups += before.more
        groups += _clearest(before, size)
    more: list[Group] = []
    for group in groups:
        mask = mask_of(note.pc for triad in group for note in triad.notes)
        if (
            len(group) == size
            and set(group) not in seen
            and _suits(asked, group, mask)
            and standing_of(mask, asked.ground.chord).holds == "yes"
        ):
            more.append(group)
            seen.append(set(group))
    return tuple(more[: MORE_GROUPS[size]])


def _clearest(asked: IdeaTask, size: int) -> tuple[Group, ...]:
    return clearest_groups(
        asked.ground.chord,
        asked.ground.key,
        asked.scale_mask,
        size,
        asked.ground.costs,
        asked.ground.home.bounds,
        asked.families,
    )


def _suits(asked: IdeaTask, group: Group, mask: int) -> bool:
    """Whether triads are of the families and the tones that are asked for."""
    bounds = asked.ground.home.bounds
    return (
        not mask & bounds.avoided
        and mask & bounds.required == bounds.required
        and (not asked.families or all(triad.quality in asked.families for triad in group))
    )


def _picking_task(task: CarryTask, placed: PlacedChord, filling: Filling) -> PickingTask:
    bar = task.changes.bars[placed.bar - 1]
    notes = [task.lick.notes[source] for source in filling.sources]
    return PickingTask(
        tuple(note.onset - bar.onset for note in filling.notes),
        placed.end - filling.notes[-1].onset,
        tuple(note.stroke for note in notes),
        tuple(note.technique for note in notes),
        task.picking,
        STROKE_POINTS,
        _starts(filling.sources),
        felt_beats(bar.beats, bar.unit),
    )


def _starts(sources: Sequence[int]) -> tuple[int, ...]:
    """Where the lick starts, and starts again."""
    again = (i for i, (a, b) in enumerate(pairwise(sources), start=1) if b != a + 1)
    return (0, *again)


def _idea_task(task: CarryTask, idea: Idea, role: ChordRole, filling: Filling) -> IdeaTask:
    placed = role.placed
    pin = task.pin(placed.bar)
    voices = {idea.steps[source].voice for source in filling.sources}
    groups: tuple[tuple[Triad, ...], ...] = ()
    if pin.triads is not None:
        if len(pin.triads) != idea.voices:
            raise TheoryError(
                f"{len(pin.triads)} triads are pinned for a lick of {idea.voices}",
                mend="Pin one for each",
            )
        groups = (tuple(pin.triads[voice] for voice in sorted(voices)),)
    return IdeaTask(
        _ground(task, placed, filling),
        idea,
        filling.sources,
        _offered_mask(role),
        groups,
        task.triads if task.is_own_chord(placed.chord) else (),
        families=task.wish_in(placed.bar).families or (),
    )


def _merged_task(
    task: CarryTask, idea: MergedIdea, role: ChordRole, filling: Filling
) -> MergedTask:
    placed = role.placed
    return MergedTask(
        _ground(task, placed, filling),
        idea,
        filling.sources,
        _offered_mask(role),
        task.pin(placed.bar).triads or (),
        task.is_own_chord(placed.chord),
        task.keeps_strokes,
        families=task.wish_in(placed.bar).families or (),
    )


def _ground(task: CarryTask, placed: PlacedChord, filling: Filling) -> ChordGround:
    frets, strings = task.windows(placed.bar)
    return ChordGround(
        task.home(placed, filling),
        placed.chord,
        placed.key,
        _picking_task(task, placed, filling),
        task.guitar,
        task.hand,
        task.costs_in(placed.bar),
        frets,
        strings,
    )


def _offered_mask(role: ChordRole) -> int:
    """The pitch classes of the likeliest scale; the chord's own where none holds it."""
    return role.scales[0].mask if role.scales else role.placed.chord.mask


def _move_task(task: CarryTask, role: ChordRole, filling: Filling) -> MoveTask:
    placed = role.placed
    if task.source is None:
        raise TheoryError(
            "the chord that the lick was made on is not known",
            mend="Give the chord, or carry the lick by idea",
        )
    if task.pin(placed.bar).triads is not None:
        raise TheoryError(
            "triads are pinned for a lick that is not carried by idea",
            mend="Pin frets or strings, or carry it by idea",
        )
    notes = tuple(task.lick.notes[source] for source in filling.sources)
    if task.way in (CarryWay.EXACT, CarryWay.GRIP):
        pitches = moved_exactly(notes, task.source.root, placed.chord.root)
    else:
        scale = next(
            (s for s in offered_scales(task.source, task.source_key) if len(s.notes) == 7), None
        )
        new_scale = scale_of_the_moment(role)
        if scale is None or new_scale is None:
            raise TheoryError(
                "no scale of seven notes holds the chord", mend="Carry the lick by idea"
            )
        pitches = moved_by_steps(
            notes, task.source.root, scale.notes, placed.chord.root, new_scale.notes
        )
    return moved_task(task, role, filling, pitches)


def _settled_task(
    task: CarryTask, role: ChordRole, filling: Filling, positions: Sequence[Position]
) -> MoveTask:
    if len(positions) != len(filling.notes):
        raise HandError(
            f"{len(positions)} places are pinned for {len(filling.notes)} notes",
            mend="Pin a place for each note",
        )
    key = role.placed.key
    midi = [task.guitar.midi_at(place) for place in positions]
    names = [spell(pitch, key) if key is not None else spell_root(pitch) for pitch in midi]
    moved = moved_task(task, role, filling, list(map(pitch_from_midi, midi, names)))
    return replace(moved, settled=tuple(positions))


def moved_task(
    task: CarryTask, role: ChordRole, filling: Filling, pitches: Sequence[Pitch]
) -> MoveTask:
    return MoveTask(
        _ground(task, role.placed, filling),
        tuple(task.lick.notes[source] for source in filling.sources),
        tuple(pitches),
    )
