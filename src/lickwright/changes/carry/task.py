"""What a carry was asked, and the pool of candidates that each chord gets for it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import pairwise

from lickwright.changes.carry.filling import Filling
from lickwright.changes.carry.moving import MoveTask, moved_by_steps, moved_exactly, moved_pool
from lickwright.changes.idea import Idea, IdeaTask, idea_of, idea_pool
from lickwright.changes.lines import CarryCosts, HandPlaces, Home, Joins, PickingTask, Pool, home_of
from lickwright.changes.progression import (
    Changes,
    ChordRole,
    PlacedChord,
    analyse,
    offered_scales,
    scale_of_the_moment,
)
from lickwright.errors import HandError, LickwrightError, NeckError, TheoryError, did_you_mean
from lickwright.lick import Lick
from lickwright.lick.picking import Picking, StrokeCosts
from lickwright.lick.rhythm import felt_beats
from lickwright.neck import Guitar, HandProfile, Position, Span, fret_window, string_window
from lickwright.theory import Chord, Key, Pitch, Triad, pitch_from_midi, spell, spell_root

_STROKE_POINTS = StrokeCosts()

#: What one chord asks for.
ChordTask = IdeaTask | MoveTask


class CarryWay(StrEnum):
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
    positions : the very places of the notes, in order; the strokes are found for them.
    """

    triads: tuple[Triad, ...] | None = None
    frets: Span | None = None
    strings: Span | None = None
    positions: tuple[Position, ...] | None = None


def read_way(way: CarryWay | str) -> CarryWay:
    """A way from its name."""
    try:
        return CarryWay(way)
    except ValueError:
        raise TheoryError(
            f"there is no way to carry a lick called '{way}'",
            mend=did_you_mean(str(way), list(CarryWay)) or "Use exact, diatonic or idea",
        ) from None


@dataclass(frozen=True, slots=True)
class CarryTask:
    """Everything :func:`carry` was asked, read."""

    lick: Lick
    changes: Changes
    way: CarryWay
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
        open_midi = tuple(
            self.guitar.midi_at(Position(string, 0))
            for string in range(1, self.guitar.string_count + 1)
        )
        tenths = HandPlaces(self.guitar, self.hand).tenths
        return Joins(open_midi, tenths, self.picking, self.costs, _STROKE_POINTS)

    def home(self, chord: Chord, filling: Filling) -> Home:
        """What the line of one chord is compared with."""
        places = HandPlaces(self.guitar, self.hand)
        return home_of(self.lick, filling.sources, places, is_own_chord=self.is_own_chord(chord))

    def is_own_chord(self, chord: Chord) -> bool:
        """Whether the lick was made on this chord."""
        source = self.source
        return source is not None and (source.root, source.kind) == (chord.root, chord.kind)

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


def pools_for(task: CarryTask, fillings: Sequence[Filling], k: int) -> list[Pool]:
    """The pool of every chord, good for the ``k`` best ways.

    Raises
    ------
    NeckError
        Where a chord leaves the lick no place on the neck.
    """
    seen: dict[ChordTask, Pool] = {}
    pools = []
    for placed, asked in zip(task.changes.chords, chord_tasks(task, fillings), strict=True):
        if asked not in seen:
            seen[asked] = idea_pool(asked, k) if isinstance(asked, IdeaTask) else moved_pool(asked)
        if not len(seen[asked]):
            raise NeckError(
                f"bar {placed.bar}: the lick has no place on this neck over {placed.chord}",
                mend="Widen the frets or the strings, free the pin, or carry it by idea",
            )
        pools.append(seen[asked])
    return pools


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
    idea = idea_of(task.lick, task.triads) if task.way is CarryWay.IDEA else None
    asked = []
    for role, filling in zip(analyse(task.changes), fillings, strict=True):
        placed = role.placed
        try:
            asked.append(_chord_task(task, idea, role, filling))
        except LickwrightError as error:
            what = f"bar {placed.bar}, {placed.chord}: {error.what}"
            raise type(error)(what, mend=error.mend) from error
    return asked


def _chord_task(task: CarryTask, idea: Idea | None, role: ChordRole, filling: Filling) -> ChordTask:
    settled = task.pin(role.placed.bar).positions
    if settled is not None:
        return _settled_task(task, role, filling, settled)
    if idea is None:
        return _move_task(task, role, filling)
    return _idea_task(task, idea, role, filling)


def _picking_task(task: CarryTask, placed: PlacedChord, filling: Filling) -> PickingTask:
    bar = task.changes.bars[placed.bar - 1]
    notes = [task.lick.notes[source] for source in filling.sources]
    return PickingTask(
        tuple(note.onset - bar.onset for note in filling.notes),
        placed.end - filling.notes[-1].onset,
        tuple(note.stroke for note in notes),
        tuple(note.technique for note in notes),
        task.picking,
        _STROKE_POINTS,
        _starts(filling.sources),
        felt_beats(bar.beats, bar.unit)[0],
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
    frets, strings = task.windows(placed.bar)
    scale = role.scales[0] if role.scales else None
    return IdeaTask(
        idea,
        task.home(placed.chord, filling),
        filling.sources,
        placed.chord,
        placed.key,
        placed.chord.mask if scale is None else scale.mask,
        _picking_task(task, placed, filling),
        task.guitar,
        task.hand,
        task.costs,
        groups,
        task.triads if task.is_own_chord(placed.chord) else (),
        frets,
        strings,
    )


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
    if task.way is CarryWay.EXACT:
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
    return _moved(task, role, filling, pitches)


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
    moved = _moved(task, role, filling, list(map(pitch_from_midi, midi, names)))
    return replace(moved, settled=tuple(positions))


def _moved(
    task: CarryTask, role: ChordRole, filling: Filling, pitches: Sequence[Pitch]
) -> MoveTask:
    placed = role.placed
    frets, strings = task.windows(placed.bar)
    return MoveTask(
        tuple(task.lick.notes[source] for source in filling.sources),
        tuple(pitches),
        task.home(placed.chord, filling),
        placed.chord,
        placed.key,
        _picking_task(task, placed, filling),
        task.guitar,
        task.hand,
        task.costs,
        frets,
        strings,
    )
