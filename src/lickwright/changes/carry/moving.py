"""All the ways to play a lick's own notes, moved, under one chord.

*Exact*: every note as far from its chord's root as before.  *Diatonic*: every note as many steps of
the scale from its chord's root as before, a note outside the scale as far off its step.  Either
way the line is tried in every octave and on every set of strings on which it keeps its string
changes, so that its strokes stay what they are.

*Grip*: the same grip on the same strings, moved along the neck: by the interval between the roots,
up or down, or by any other on which its notes bear the chord out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from lickwright.changes.lines import (
    Candidate,
    ChordGround,
    HandPlaces,
    clarity_cost,
    clarity_of,
    new_strokes_cost,
    stroke_book,
    turn_of,
)
from lickwright.errors import TheoryError
from lickwright.lick import LickNote
from lickwright.neck import Guitar, Position
from lickwright.theory import (
    LETTERS,
    NoteName,
    Pitch,
    Triad,
    TriadQuality,
    interval_between,
    mask_of,
)

OCTAVES = range(-4, 5)


@dataclass(frozen=True, slots=True)
class MoveTask:
    """What one chord asks for.

    Parameters
    ----------
    notes : the lick's notes that are played, in order.
    pitches : what they become, in one octave of the many they may be in.
    ground : what any line over the chord goes by.
    settled : the very places of the notes, where the teacher has pinned them.
    triads : what the notes are made of, where that is known; else it is found from their voices.
    """

    ground: ChordGround
    notes: tuple[LickNote, ...]
    pitches: tuple[Pitch, ...]
    settled: tuple[Position, ...] = ()
    triads: tuple[Triad, ...] = ()


def moved_exactly(notes: Sequence[LickNote], root: NoteName, new_root: NoteName) -> list[Pitch]:
    """Notes over a root moved to another root, up by the interval between the two."""
    interval = interval_between(root, new_root)
    moved = []
    for note in notes:
        staff = note.pitch.staff_step + interval.steps
        moved.append(_spelled(staff, note.pitch.midi + interval.semitones))
    return moved


def moved_by_steps(
    notes: Sequence[LickNote],
    root: NoteName,
    scale: Sequence[NoteName],
    new_root: NoteName,
    new_scale: Sequence[NoteName],
) -> list[Pitch]:
    """Notes over a root moved to another root along the scales that rule over each.

    Parameters
    ----------
    scale, new_scale : seven notes, one a letter.

    Raises
    ------
    TheoryError
        When a scale is not one note a letter.
    """
    alter, new_alter = _alters(scale), _alters(new_scale)
    steps = (LETTERS.index(new_root.letter) - LETTERS.index(root.letter)) % 7
    moved = []
    for note in notes:
        name = note.pitch.name
        off = name.alter - alter[name.letter]
        octave, index = divmod(note.pitch.staff_step + steps, 7)
        letter = LETTERS[index]
        moved.append(Pitch(NoteName(letter, new_alter[letter] + off), octave))
    return moved


def _alters(scale: Sequence[NoteName]) -> dict[str, int]:
    alters = {note.letter: note.alter for note in scale}
    if len(alters) != 7 or len(scale) != 7:
        raise TheoryError(
            f"the scale {' '.join(map(str, scale))} is not one note a letter",
            mend="Carry the lick by idea there",
        )
    return alters


def _spelled(staff_step: int, midi: int) -> Pitch:
    octave, index = divmod(staff_step, 7)
    letter = LETTERS[index]
    natural = Pitch(NoteName(letter), octave)
    return Pitch(NoteName(letter, midi - natural.midi), octave)


def moved_candidates(task: MoveTask) -> list[Candidate]:
    """Every place where the moved notes can be played; empty where there is none."""
    found: list[Candidate] = []
    for positions in (task.settled,) if task.settled else _placements(task):
        found += _candidates(task, positions)
    return found


def grips(task: MoveTask) -> dict[int, tuple[Position, ...]]:
    """Where the grip of the notes fits on the neck, by how many frets it is moved; not 0."""
    guitar = task.ground.guitar
    low, high = task.ground.frets or (0, guitar.last_fret)
    first, last = task.ground.strings or (1, guitar.string_count)
    own = [note.position for note in task.notes]
    if not all(first <= place.string <= last for place in own):
        return {}
    frames = HandPlaces(guitar, task.ground.hand).frames(own)
    found = {}
    for move in range(low - min(p.fret for p in own), high - max(p.fret for p in own) + 1):
        places = tuple(Position(place.string, place.fret + move) for place in own)
        reach = max(task.ground.hand.greatest_reach_mm, *_spreads(guitar, own, frames), 0.0)
        if move and all(spread <= reach for spread in _spreads(guitar, places, frames)):
            found[move] = places
    return found


def _placements(task: MoveTask) -> Iterator[tuple[Position, ...]]:
    """The moved notes in every octave, on every set of strings that keeps the string changes."""
    guitar = task.ground.guitar
    low, high = task.ground.frets or (0, guitar.last_fret)
    first, last = task.ground.strings or (1, guitar.string_count)
    own = [note.position.string for note in task.notes]
    reach = task.ground.hand.greatest_reach_mm
    frames = HandPlaces(guitar, task.ground.hand).frames([note.position for note in task.notes])
    for octave in OCTAVES:
        for shift in range(first - min(own), last - max(own) + 1):
            places = []
            for string, pitch in zip(own, task.pitches, strict=True):
                open_midi = guitar.midi_at(Position(string + shift, 0))
                places.append(Position(string + shift, pitch.midi + 12 * octave - open_midi))
            if all(low <= place.fret <= high for place in places) and all(
                spread <= reach for spread in _spreads(guitar, places, frames)
            ):
                yield tuple(places)


def _spreads(
    guitar: Guitar, places: Sequence[Position], frames: Sequence[Sequence[Position]]
) -> Iterator[float]:
    """The spread in mm of each part of a line that the lick plays in one frame of the hand."""
    start = 0
    for frame in frames:
        part = [place for place in places[start : start + len(frame)] if place.fret > 0]
        start += len(frame)
        if part:
            along = [guitar.along(place) for place in part]
            scale = max(guitar.scale_mm[place.string - 1] for place in part)
            yield (max(along) - min(along)) * scale


def _candidates(task: MoveTask, positions: tuple[Position, ...]) -> Iterator[Candidate]:
    costs, guitar = task.ground.costs, task.ground.guitar
    midi = [guitar.midi_at(place) for place in positions]
    clarity = clarity_of(mask_of(midi), task.ground.chord, task.ground.key)
    places = HandPlaces(guitar, task.ground.hand)
    picked = stroke_book(task.ground.picking).lines(positions)
    for travel, hand in places.ways(positions):
        home = task.ground.home.terms(positions, midi, travel, places.tenths, costs)
        for line in picked:
            anew = new_strokes_cost(line, costs)
            yield Candidate(
                positions=positions,
                triads=task.triads or _triads(task, midi),
                voices=tuple(note.voice for note in task.notes),
                names=tuple(pitch.name for pitch in task.pitches),
                hand=hand,
                picked=line,
                clarity=clarity,
                terms=(
                    *home.items(),
                    ("clarity", clarity_cost(clarity, costs)),
                    ("strokes", line.points * costs.stroke + anew),
                ),
                members=tuple(note.belongs.triads for note in task.notes),
                turn=turn_of(midi),
            )


def _triads(task: MoveTask, midi: Sequence[int]) -> tuple[Triad, ...]:
    """The triad that the notes of each voice make; empty unless every voice makes one."""
    voices = [note.triads for note in task.notes]
    if not all(voices):
        return ()
    triads = []
    for voice in sorted({voice for owners in voices for voice in owners}):
        own = [index for index, owners in enumerate(voices) if voice in owners]
        mask = mask_of(midi[index] for index in own)
        names = [task.pitches[index].name for index in own]
        made = [
            triad
            for name in names
            for quality in TriadQuality
            if (triad := Triad(name, quality)).mask == mask
        ]
        if not made:
            return ()
        triads.append(made[0])
    return tuple(triads)
