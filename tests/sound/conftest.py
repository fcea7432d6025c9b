"""Scores to sound: an invented lick, and single notes anywhere on the neck."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction

import pytest

from lickwright.lick.notes import PLAIN, Lick, LickNote, Marks, Stroke, Technique
from lickwright.neck.instrument import Guitar, Position
from lickwright.score.score import Bar, ChordSpan, Score
from lickwright.theory.chord import parse_chord
from lickwright.theory.key import Key
from lickwright.theory.pitch import NoteName, parse_note_name, pitch_from_midi


def notes_named(text: str) -> tuple[NoteName, ...]:
    return tuple(parse_note_name(word) for word in text.split())


_NAMES = notes_named("C C# D Eb E F F# G G# A Bb B")
Places = Sequence[tuple[int, int]]
MakeScore = Callable[..., Score]

#: A sweep over two triads, string and fret; our own invention.
SWEEP: Places = (
    *((5, 12), (4, 10), (3, 10), (2, 10), (1, 8), (1, 12), (2, 10), (3, 9)),
    *((4, 10), (5, 12), (5, 8), (4, 10), (3, 9), (2, 10), (1, 12), (1, 8)),
)


def make_score(
    places: Places = SWEEP,
    duration: Fraction | Sequence[Fraction] = Fraction(1, 4),
    *,
    guitar: Guitar | None = None,
    techniques: Sequence[Technique] | None = None,
    strokes: Sequence[Stroke | None] | None = None,
    marks: Marks = PLAIN,
    meter: tuple[int, int] = (4, 4),
    pickup: Fraction = Fraction(0),
    chords: Sequence[tuple[str, str, str]] = (("Dm9", "D F A C E", "D"),),
) -> Score:
    """A score of one line of notes; one chord a bar, the last one to the end."""
    guitar = guitar or Guitar()
    notes, onset = [], Fraction(0)
    for index, (string, fret) in enumerate(places):
        position = Position(string, fret)
        key = guitar.midi_at(position)
        length = duration if isinstance(duration, Fraction) else duration[index]
        technique = techniques[index] if techniques else Technique.PICK
        picked = technique is Technique.PICK
        stroke = strokes[index] if strokes else (Stroke.DOWN, Stroke.UP)[index % 2]
        notes.append(
            LickNote(
                position,
                pitch_from_midi(key, _NAMES[key % 12]),
                onset,
                length,
                stroke=stroke if picked else None,
                technique=technique,
                marks=marks,
            )
        )
        onset += length
    whole = Fraction(4 * meter[0], meter[1])
    music = Key(parse_note_name("D"), "dorian")
    lengths = [pickup] if pickup else []
    while sum(lengths) < onset or len(lengths) < len(chords):
        lengths.append(whole)
    bars, at = [], Fraction(0)
    for number, length in enumerate(lengths, start=0 if pickup else 1):
        bars.append(Bar(number, at, length, *meter, music))
        at += length
    starts = [bars[i].onset for i in range(len(chords))]
    ends = [*starts[1:], at]
    spans = tuple(
        ChordSpan(
            start, end - start, parse_chord(symbol), notes_named(names), parse_note_name(bass)
        )
        for start, end, (symbol, names, bass) in zip(starts, ends, chords, strict=True)
    )
    return Score("The pair", guitar, Lick(tuple(notes), at), tuple(bars), spans, 66.0, 112.0)


@pytest.fixture
def score_of() -> MakeScore:
    return make_score


@pytest.fixture
def sweep() -> Score:
    return make_score()


@pytest.fixture
def changes() -> Score:
    """A lick over four chords, one a bar."""
    return make_score(
        chords=(
            ("Dm9", "D F A C E", "D"),
            ("G13", "G B D F A E", "G"),
            ("Cmaj9", "C E G B D", "C"),
            ("A7b9", "A C# E G Bb", "A"),
        )
    )
