"""Carry a lick through a progression: same hands, new harmony.

Three ways to carry:

``exact``     the same shape, moved by the interval between the roots;
``diatonic``  the same steps of the scale that rules over each chord;
``idea``      for each chord other triads that imply it; contour, rhythm and strokes stay.

Every chord has a pool of candidates over the whole neck (:mod:`~lickwright.changes.by_idea`,
:mod:`~lickwright.changes.by_moving`); one shortest path through all pools
(:mod:`~lickwright.changes.paths`) chooses the line whose hand travel, joins, strokes, register and
clarity together cost least.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import islice

from lickwright.changes.analysis import ChordRole, analyse, scale_of_the_moment
from lickwright.changes.by_idea import IdeaTask, idea_pool
from lickwright.changes.by_moving import MoveTask, moved_by_steps, moved_exactly, moved_pool
from lickwright.changes.filling import Filling, fill_chords
from lickwright.changes.idea import Idea, idea_of
from lickwright.changes.joins import CarryCosts, Joins
from lickwright.changes.offered_scales import offered_scales
from lickwright.changes.paths import ways_in_order
from lickwright.changes.picked_lines import PickingTask
from lickwright.changes.pool import Candidate, Pool
from lickwright.changes.progression import Changes, PlacedChord
from lickwright.changes.reasons import Choice, choices_of
from lickwright.errors import HandError, LickwrightError, NeckError, TheoryError, did_you_mean
from lickwright.lick.fingers import assign_fingers
from lickwright.lick.notes import Lick, LickNote
from lickwright.lick.pick_motion import Picking, read_policy
from lickwright.lick.strokes import StrokeCosts
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import HandProfile, hand_profile
from lickwright.neck.window import Span, fret_window, string_window
from lickwright.theory.chord import Chord, parse_chord
from lickwright.theory.key import Key
from lickwright.theory.pitch import pitch_from_midi
from lickwright.theory.triad import Triad


class Way(StrEnum):
    """How a lick is carried."""

    EXACT = "exact"
    DIATONIC = "diatonic"
    IDEA = "idea"


@dataclass(frozen=True, slots=True)
class CarryPin:
    """What the teacher has settled for the chords that begin in a bar; ``None`` leaves it open.

    Parameters
    ----------
    triads : by voice, for a lick carried by idea.
    frets, strings : windows.
    """

    triads: tuple[Triad, ...] | None = None
    frets: Span | None = None
    strings: Span | None = None


@dataclass(frozen=True, slots=True)
class Carried:
    """A lick over changes.

    Parameters
    ----------
    lick : the whole line, with voices, strokes and fingers.
    choices : for each chord what was chosen and why.
    cost : of the whole way, in tenths of a mm of hand travel.
    """

    lick: Lick
    choices: tuple[Choice, ...]
    cost: int

    @property
    def travel_mm(self) -> float:
        """How far the left hand travels in all."""
        return sum(choice.travel_mm for choice in self.choices)


_USUAL_COSTS = CarryCosts()
_STROKE_POINTS = StrokeCosts()


def carry(
    lick: Lick,
    changes: Changes,
    way: Way | str = Way.IDEA,
    *,
    triads: Sequence[Triad] = (),
    source: Chord | str | None = None,
    source_key: Key | None = None,
    guitar: Guitar | None = None,
    hand: str | HandProfile = "medium",
    tempo_bpm: float | None = None,
    picking: Picking | str = Picking.SWEEP,
    frets: Span | None = None,
    strings: Span | None = None,
    pins: Mapping[int, CarryPin] | None = None,
    costs: CarryCosts = _USUAL_COSTS,
) -> Carried:
    """The best way to carry a lick through changes.

    Parameters
    ----------
    lick : a line with its strokes; its rhythm starts again on every chord
        (:mod:`~lickwright.changes.filling`).
    changes : the chords.
    way : ``"exact"``, ``"diatonic"`` or ``"idea"``.
    triads : those the lick is made of, by voice; needed to carry it by idea.
    source : the chord that the lick was made on; needed to move it exactly or diatonically.
    source_key : the key it was made in; that of the changes where not given.
    guitar, hand, tempo_bpm : whose instrument and left hand, and quarter notes a minute.
    picking : the style of strokes that are worked out anew where the lick's own do not fit.
    frets, strings : where on the neck; everywhere where not given.
    pins : what is settled, by the number of the bar as it is played.
    costs : what the best way weighs.

    Raises
    ------
    TheoryError, NeckError, HandError, RhythmError
        With the bar, where a chord leaves no way to play the lick.
    """
    return carry_ways(
        lick,
        changes,
        way,
        k=1,
        triads=triads,
        source=source,
        source_key=source_key,
        guitar=guitar,
        hand=hand,
        tempo_bpm=tempo_bpm,
        picking=picking,
        frets=frets,
        strings=strings,
        pins=pins,
        costs=costs,
    )[0]


def carry_ways(
    lick: Lick,
    changes: Changes,
    way: Way | str = Way.IDEA,
    *,
    k: int = 3,
    triads: Sequence[Triad] = (),
    source: Chord | str | None = None,
    source_key: Key | None = None,
    guitar: Guitar | None = None,
    hand: str | HandProfile = "medium",
    tempo_bpm: float | None = None,
    picking: Picking | str = Picking.SWEEP,
    frets: Span | None = None,
    strings: Span | None = None,
    pins: Mapping[int, CarryPin] | None = None,
    costs: CarryCosts = _USUAL_COSTS,
) -> list[Carried]:
    """The ``k`` best ways, the best first; parameters and errors as in :func:`carry`."""
    if k < 1:
        raise HandError(f"{k} ways were asked for", mend="Ask for 1 or more")
    task = _Task(
        lick,
        changes,
        read_way(way),
        tuple(triads),
        parse_chord(source) if isinstance(source, str) else source,
        source_key or changes.key,
        guitar or Guitar(),
        hand_profile(hand),
        read_policy(picking),
        frets,
        strings,
        dict(pins or {}),
        costs,
    )
    fillings = fill_chords(lick, changes)
    pools = _pools(task, fillings, k)
    found = [
        _carried(task, fillings, chosen, cost, tempo_bpm)
        for chosen, cost in islice(_distinct_lines(task, pools), k)
    ]
    if not found:
        raise HandError(
            "no strokes carry this lick from chord to chord in that picking style",
            mend="Choose another style of picking",
        )
    return found


def _distinct_lines(task: _Task, pools: Sequence[Pool]) -> Iterator[tuple[list[Candidate], int]]:
    """Candidates of every way whose notes lie elsewhere than those of all ways before it."""
    seen: set[tuple[tuple[Position, ...], ...]] = set()
    for way in ways_in_order([pool.layer for pool in pools], task.joins.matrix):
        chosen = [pool.candidate(pick) for pool, pick in zip(pools, way.picks, strict=True)]
        line = tuple(candidate.positions for candidate in chosen)
        if line not in seen:
            seen.add(line)
            yield chosen, way.cost


def read_way(way: Way | str) -> Way:
    """A way from its name."""
    try:
        return Way(way)
    except ValueError:
        raise TheoryError(
            f"there is no way to carry a lick called '{way}'",
            mend=did_you_mean(str(way), list(Way)) or "Use exact, diatonic or idea",
        ) from None


@dataclass(frozen=True, slots=True)
class _Task:
    """Everything :func:`carry` was asked, read."""

    lick: Lick
    changes: Changes
    way: Way
    triads: tuple[Triad, ...]
    source: Chord | None
    source_key: Key | None
    guitar: Guitar
    hand: HandProfile
    picking: Picking
    frets: Span | None
    strings: Span | None
    pins: Mapping[int, CarryPin]
    costs: CarryCosts

    @property
    def joins(self) -> Joins:
        from lickwright.changes.hand_places import HandPlaces

        open_midi = tuple(
            self.guitar.midi_at(Position(string, 0))
            for string in range(1, self.guitar.string_count + 1)
        )
        tenths = HandPlaces(self.guitar, self.hand).tenths
        return Joins(open_midi, tenths, self.picking, self.costs, _STROKE_POINTS)

    def pin(self, bar: int) -> CarryPin:
        return self.pins.get(bar, CarryPin())

    def windows(self, bar: int) -> tuple[tuple[int, int] | None, tuple[int, int] | None]:
        """Fret and string window of the chords that begin in a bar."""
        pin = self.pin(bar)
        frets = self.frets if pin.frets is None else pin.frets
        strings = self.strings if pin.strings is None else pin.strings
        return (
            None if frets is None else fret_window(frets, self.guitar),
            None if strings is None else string_window(strings, self.guitar),
        )


def _pools(task: _Task, fillings: Sequence[Filling], k: int) -> list[Pool]:
    """The pool of every chord."""
    for bar in task.pins:
        if not any(placed.bar == bar for placed in task.changes.chords):
            raise NeckError(f"bar {bar} is pinned, but no chord begins there", mend="Check the bar")
    roles = analyse(task.changes)
    idea = idea_of(task.lick, task.triads) if task.way is Way.IDEA else None
    seen: dict[object, Pool] = {}
    pools = []
    for role, filling in zip(roles, fillings, strict=True):
        placed = role.placed
        try:
            pool_task = (
                _move_task(task, role, filling)
                if idea is None
                else _idea_task(task, idea, role, filling)
            )
        except LickwrightError as error:
            what = f"bar {placed.bar}, {placed.chord}: {error.what}"
            raise type(error)(what, mend=error.mend) from error
        if pool_task not in seen:
            seen[pool_task] = (
                idea_pool(pool_task, k)
                if isinstance(pool_task, IdeaTask)
                else moved_pool(pool_task)
            )
        if not len(seen[pool_task]):
            raise NeckError(
                f"bar {placed.bar}: the lick has no place on this neck over {placed.chord}",
                mend="Widen the frets or the strings, free the pin, or carry it by idea",
            )
        pools.append(seen[pool_task])
    return pools


def _picking_task(task: _Task, placed: PlacedChord, filling: Filling) -> PickingTask:
    bar = task.changes.bars[placed.bar - 1]
    notes = [task.lick.notes[source] for source in filling.sources]
    return PickingTask(
        tuple(note.onset - bar.onset for note in filling.notes),
        placed.end - filling.notes[-1].onset,
        tuple(note.stroke for note in notes),
        tuple(note.technique for note in notes),
        task.picking,
        _STROKE_POINTS,
    )


def _idea_task(task: _Task, idea: Idea, role: ChordRole, filling: Filling) -> IdeaTask:
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
    frets, strings = task.windows(placed.bar)
    scale = role.scales[0] if role.scales else None
    return IdeaTask(
        idea,
        filling.sources,
        placed.chord,
        placed.key,
        placed.chord.mask if scale is None else scale.mask,
        _picking_task(task, placed, filling),
        task.guitar,
        task.hand,
        task.costs,
        groups,
        frets,
        strings,
    )


def _move_task(task: _Task, role: ChordRole, filling: Filling) -> MoveTask:
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
    if task.way is Way.EXACT:
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
    frets, strings = task.windows(placed.bar)
    midi = [note.pitch.midi for note in task.lick.notes]
    return MoveTask(
        notes,
        tuple(pitches),
        sum(midi) / len(midi),
        placed.chord,
        placed.key,
        _picking_task(task, placed, filling),
        task.guitar,
        task.hand,
        task.costs,
        frets,
        strings,
    )


def _carried(
    task: _Task,
    fillings: Sequence[Filling],
    chosen: Sequence[Candidate],
    cost: int,
    tempo_bpm: float | None,
) -> Carried:
    notes = [
        note
        for filling, candidate in zip(fillings, chosen, strict=True)
        for note in _notes(task, filling, candidate)
    ]
    fingered = assign_fingers(
        [note.position for note in notes],
        task.guitar,
        tempo_bpm,
        onsets=[note.onset for note in notes],
        hand=task.hand,
    )
    line = Lick(
        tuple(replace(n, finger=f.finger) for n, f in zip(notes, fingered, strict=True)),
        task.changes.length,
        tuple(tuplet for filling in fillings for tuplet in filling.tuplets),
    )
    choices = choices_of(task.changes.chords, chosen, task.joins)
    return Carried(line, choices, cost)


def _notes(task: _Task, filling: Filling, candidate: Candidate) -> list[LickNote]:
    reading = candidate.clarity.reading
    degrees = {n.pc: d for n, d in zip(reading.notes, reading.degrees, strict=True)}
    notes = []
    for index, filled in enumerate(filling.notes):
        own = task.lick.notes[filled.source]
        position = candidate.positions[index]
        midi = task.guitar.midi_at(position)
        notes.append(
            LickNote(
                position,
                pitch_from_midi(midi, candidate.names[index]),
                filled.onset,
                filled.duration,
                stroke=candidate.picked.strokes[index],
                technique=candidate.picked.techniques[index],
                vibrato=own.vibrato,
                palm_mute=own.palm_mute,
                voice=candidate.voices[index],
                degree=degrees.get(midi % 12),
            )
        )
    return notes
