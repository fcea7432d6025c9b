"""Names that players read.  Common practice, no source."""

from __future__ import annotations

from itertools import combinations

import pytest

from lickwright.errors import TheoryError
from lickwright.theory.chord import parse_chord
from lickwright.theory.finding.pairs import triad_sets
from lickwright.theory.hearing import implied_chords, written_name
from lickwright.theory.hearing.plain_name import is_tower
from lickwright.theory.pitch import parse_note_name, pitch_classes
from lickwright.theory.triad import parse_triad

NAMES = [
    ("C E G Bb B", "C", "plain", "C7 and B"),
    ("C E G Bb Db Eb F A", "C", "plain", "C7 and Db D# F A"),
    ("C Eb F G A Bb", "C", "plain", "Cm13"),
    ("C Eb F G A Bb", "C", "slash", "F/Cm7"),
    ("F A C", "G", "plain", "G9sus4"),
    ("F A C", "G", "slash", "F/G"),
    ("F A C", "G", "symbol", "G9sus4"),
    ("C E G", "C", "slash", "C"),
]


@pytest.mark.parametrize(("notes", "bass", "style", "name"), NAMES)
def test_the_name_of_a_style(notes: str, bass: str, style: str, name: str) -> None:
    assert written_name(implied_chords(notes, bass)[0], style) == name


def test_every_note_is_in_the_name_or_beside_it() -> None:
    """Whatever two triads sound over C: the symbol says it, or it stands after "and"."""
    for first, second in combinations(triad_sets(), 2):
        for reading in implied_chords(pitch_classes(first | second), "C")[:3]:
            name, _, rest = written_name(reading).partition(" and ")
            if not name:
                continue
            chord = parse_chord(name)
            told = chord.mask | sum(1 << parse_note_name(note).pc for note in rest.split())
            assert not reading.mask & ~told, (written_name(reading), reading.notes)


def test_fewer_than_one_name_in_thirty_is_a_tower() -> None:
    first = [
        written_name(implied_chords(pitch_classes(one | two), "C")[0])
        for one, two in combinations(triad_sets(), 2)
    ]
    towers = [name for name in first if is_tower(name.partition(" and ")[0])]
    assert len(towers) <= len(first) / 30, sorted(set(towers))


def test_an_unknown_style_is_one_sentence() -> None:
    with pytest.raises(TheoryError, match="not a style"):
        written_name(implied_chords("F A C", "G")[0], "fancy")


@pytest.mark.parametrize(
    ("notes", "bass", "symbol"),
    [
        ("F# A B C#", "F", "F#m(maj7)(add11)/F"),
        ("C# E# G#", "F", "C#/F"),
        ("C# G#", "E#", "C#/E#"),
        ("C E G", "E", "C/E"),
    ],
)
def test_a_natural_bass_keeps_its_natural_name(notes: str, bass: str, symbol: str) -> None:
    first = next(r for r in implied_chords(notes, bass) if str(r.root) in ("F#", "C#", "C"))
    assert first.symbol.partition("/")[2] == symbol.partition("/")[2]
    assert first.notes[0] == first.bass


def test_a_bass_is_spelled_as_in_a_typed_triad_or_the_key() -> None:
    assert implied_chords([parse_triad("C#")], "F")[0].symbol == "C#/E#"
    assert implied_chords("C# G#", "F", "C# major")[0].symbol.endswith("/E#")
