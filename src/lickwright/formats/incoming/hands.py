"""Where on the neck does a line from a MusicXML file lie, and what do both hands do?

The file's strings, frets, fingers and strokes come first; what it leaves open, or gives in a way
that this instrument or a hand does not have, is worked out and told.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from lickwright.errors import HandError, NeckError
from lickwright.formats.incoming.line import StaffLine, gaps
from lickwright.formats.incoming.part import NoteHead
from lickwright.lick import Lick, LickNote, Technique
from lickwright.lick.fingering import Pin
from lickwright.lick.hands import finish
from lickwright.lick.rhythm import Meter
from lickwright.lick.strings import choose_strings
from lickwright.neck import Guitar, Position
from lickwright.theory import Pitch


def guitar_of(line: StaffLine, usual: Guitar | None) -> Guitar:
    """The instrument: the file's tuning and capo on the usual neck.

    Raises
    ------
    NeckError
        For a tuning or a capo that no instrument has.
    """
    neck = usual or Guitar()
    tuning = next(
        (line.music.tunings[staff] for staff in line.staves if staff in line.music.tunings),
        next(iter(line.music.tunings.values()), None),
    )
    if tuning is not None and tuning != neck.open_strings:
        lengths = neck.scale_mm if len(neck.scale_mm) == len(tuning) else ()
        neck = replace(neck, open_strings=tuning, scale_mm=lengths)
    return replace(neck, capo=line.music.capo or neck.capo)


def placed(
    notes: Sequence[NoteHead], guitar: Guitar, tempo_bpm: float, octaves: int, hand: str
) -> tuple[list[tuple[Pitch, Position]], list[str]]:
    """The sounding pitch and the place of every note, and what was decided anew.

    Raises
    ------
    NeckError, HandError
        For a note that the instrument does not have, or a hand cannot reach.
    """
    told: list[str] = []
    pitches = [_moved(note, octaves) for note in notes]
    given = _given(notes, guitar)
    shifts = {guitar.midi_at(place) - pitches[at].midi for at, place in given.items()}
    if len(shifts) == 1 and (shift := shifts.pop()) % 12 == 0 and abs(shift) <= 24:
        # Notation that is written an octave off its tablature: the frets are what sounds.
        pitches = [Pitch(pitch.name, pitch.octave + shift // 12) for pitch in pitches]
    fitting = {
        at: place for at, place in given.items() if guitar.midi_at(place) == pitches[at].midi
    }
    if len(fitting) < len(given):
        told.append(
            f"{_counted(len(given) - len(fitting), 'fret')} did not sound the written pitch and"
            " was chosen anew"
        )
    if len(fitting) == len(notes):
        return [(pitch, fitting[at]) for at, pitch in enumerate(pitches)], told
    onsets = [note.onset for note in notes]
    pins = {at: Pin(string=place.string) for at, place in fitting.items()}
    chosen = choose_strings(pitches, guitar, tempo_bpm, pins, onsets=onsets, hand=hand)
    places = [fitting.get(at, note.position) for at, note in enumerate(chosen)]
    if fitting:
        told.append(f"the strings of {_counted(len(notes) - len(fitting), 'note')} were chosen")
    else:
        told.append("strings and frets were chosen; the file gives none")
    return list(zip(pitches, places, strict=True)), told


def _moved(note: NoteHead, octaves: int) -> Pitch:
    assert note.pitch is not None, "a line holds notes"
    return Pitch(note.pitch.name, note.pitch.octave + octaves)


def _given(notes: Sequence[NoteHead], guitar: Guitar) -> dict[int, Position]:
    """The places that the file gives and the instrument has."""
    given = {}
    for at, note in enumerate(notes):
        string, fret = note.words.string, note.words.fret
        if string is not None and fret is not None and guitar.has(Position(string, fret)):
            given[at] = Position(string, fret)
    return given


def lick_notes(
    notes: Sequence[NoteHead], places: Sequence[tuple[Pitch, Position]]
) -> tuple[LickNote, ...]:
    """The notes of a lick, their hands still open."""
    made: list[LickNote] = []
    after_rest = gaps(notes)
    for at, (note, (pitch, place)) in enumerate(zip(notes, places, strict=True)):
        technique = None if after_rest[at] else note.words.comes_by
        if technique is None and not after_rest[at]:
            technique = notes[at - 1].words.leaves_by
        before = made[-1] if made else None
        if technique is not None and not _leads(technique, before, place):
            technique = None
        made.append(
            LickNote(
                place,
                pitch,
                note.onset,
                note.duration,
                technique=technique or Technique.PICK,
                marks=note.words.marks,
            )
        )
    return tuple(made)


def _leads(technique: Technique, before: LickNote | None, place: Position) -> bool:
    """Whether a hammer-on, pull-off or slide can lead from one note to the place of the next."""
    if before is None or before.position.string != place.string or before.marks.dead:
        return False
    rise = place.fret - before.position.fret
    if technique is Technique.HAMMER_ON:
        return rise > 0
    return rise < 0 if technique is Technique.PULL_OFF else rise != 0


def with_hands(
    lick: Lick,
    heads: Sequence[NoteHead],
    guitar: Guitar,
    tempo_bpm: float,
    meter: Meter,
    hand: str,
    picking: str,
) -> tuple[Lick, list[str]]:
    """The lick with a finger on every note and a stroke on every picked one.

    Raises
    ------
    HandError
        Where no hand can play the line, even when it may choose every finger and stroke.
    """
    fingers = {
        at: head.words.finger for at, head in enumerate(heads) if head.words.finger is not None
    }
    strokes = {
        at: head.words.stroke
        for at, (head, note) in enumerate(zip(heads, lick.notes, strict=True))
        if head.words.stroke is not None and note.technique is Technique.PICK
    }
    told: list[str] = []
    for pins, own in ((fingers, strokes), ({}, strokes), ({}, {})):
        try:
            done = finish(
                lick, guitar, tempo_bpm, picking, strokes=own, pins=pins, hand=hand, meter=meter
            )
        except (HandError, NeckError):
            if not pins and not own:
                raise
            told = ["the file's fingers cannot be played so and were chosen anew"]
            continue
        return done, told
    raise AssertionError("the last try has no pins and either returns or raises")


def _counted(count: int, noun: str) -> str:
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"
