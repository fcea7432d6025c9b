"""Roman numerals, against music21's reading of them and the other way round."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.changes.progression.numerals import chord_of, numeral_of, parse_numeral
from lickwright.errors import TheoryError
from lickwright.theory.chord import Chord, parse_chord
from lickwright.theory.key import Key, parse_key
from lickwright.theory.pitch import parse_note_name
from lickwright.theory.symbols.kinds import VOCABULARY

TONICS = ["C", "G", "D", "A", "E", "B", "F#", "Db", "Ab", "Eb", "Bb", "F"]


def chord(text: str, key: str) -> str:
    numeral = parse_numeral(text)
    assert numeral is not None
    return str(chord_of(numeral, parse_key(key))[0])


@pytest.mark.parametrize("tonic", TONICS)
@pytest.mark.parametrize(
    "figure", ["I", "ii", "iii", "IV", "V", "vi", "viio", "bII", "bIII", "bVI", "bVII", "V7", "ii7"]
)
def test_numerals_in_major_are_those_of_music21(tonic, figure):
    """music21.roman.RomanNumeral (Cuthbert & Ariza, ISMIR 2010): pitch names, bass first."""
    from music21 import key, roman

    theirs = roman.RomanNumeral(figure, key.Key(tonic.replace("b", "-")))
    names = {pitch.name.replace("-", "b") for pitch in theirs.pitches}
    numeral = parse_numeral(figure)
    assert numeral is not None
    ours = chord_of(numeral, parse_key(f"{tonic} major"))[0]
    assert {str(note) for note in ours.notes} == names
    assert str(ours.root) == theirs.root().name.replace("-", "b")


@pytest.mark.parametrize("figure", ["V7/ii", "V7/V", "V7/vi", "viio7/V"])
def test_secondary_chords_are_those_of_music21(figure):
    from music21 import key, roman

    theirs = roman.RomanNumeral(figure, key.Key("E-"))
    names = {pitch.name.replace("-", "b") for pitch in theirs.pitches}
    numeral = parse_numeral(figure)
    assert numeral is not None
    assert {str(n) for n in chord_of(numeral, parse_key("Eb major"))[0].notes} == names


@pytest.mark.parametrize(
    ("text", "key", "expected"),
    [  # common practice, no source
        ("iim9", "C major", "Dm9"),
        ("ii9", "C major", "Dm9"),
        ("V13", "Bb major", "F13"),
        ("bVII", "D dorian", "C"),
        ("IV7", "D dorian", "G7"),
        ("bVImaj7", "A minor", "Fmaj7"),
        ("nVI", "A minor", "F#"),
        ("viiø7", "A minor", "G#m7b5"),
        ("ivm6", "C major", "Fm6"),
        ("#iv°7", "C major", "F#dim7"),
        ("imaj7", "C minor", "Cm(maj7)"),
        ("I/E", "C major", "C/E"),
        ("I6/9", "G major", "G6/9"),
    ],
)
def test_numerals_as_players_write_them(text, key, expected):
    assert parse_chord(expected) == parse_chord(chord(text, key))


@pytest.mark.parametrize(
    ("text", "key", "mend"),
    [
        ("VI", "C minor", "Write bVI for Ab, or nVI for A"),
        ("VII", "D dorian", "Write bVII for C, or nVII for C#"),
        ("IVmaj7", "F lydian", "Write #IV for B, or nIV for Bb"),
    ],
)
def test_a_numeral_that_two_schools_read_differently_is_refused_with_both(text, key, mend):
    with pytest.raises(TheoryError) as caught:
        chord(text, key)
    assert caught.value.mend == mend


def test_chord_symbols_are_not_numerals():
    for text in ("Dm9", "Bb13", "C6/9", "b", "A7"):
        assert parse_numeral(text) is None


MODES = ["major", "dorian", "minor", "mixolydian", "lydian", "harmonic minor"]


@given(
    st.sampled_from(["C", "G", "D", "A", "E", "F", "Bb", "Eb"]),
    st.sampled_from(MODES),
    st.sampled_from(TONICS),
    st.sampled_from(VOCABULARY),
)
def test_a_chord_named_by_its_numeral_is_that_chord(tonic, mode, root, kind):
    key = Key(parse_note_name(tonic), mode)
    given_chord = Chord(parse_note_name(root), kind)
    numeral = parse_numeral(str(numeral_of(given_chord, key)))
    assert numeral is not None
    back, spelled = chord_of(numeral, key)
    assert back.root.pc == given_chord.root.pc
    assert back.kind == kind
    assert spelled == numeral
