"""Triads: read as chords are read, and nothing but triads."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import chord as m21_chord

from lickwright.errors import TheoryError
from lickwright.theory.chord import parse_chord
from lickwright.theory.pitch import LETTERS, NoteName
from lickwright.theory.triad import Triad, TriadQuality, parse_triad

roots = st.builds(NoteName, st.sampled_from(LETTERS), st.integers(-2, 2))
triads = st.builds(Triad, roots, st.sampled_from(TriadQuality))


@given(triads)
def test_print_and_parse_are_inverse(triad: Triad) -> None:
    assert parse_triad(str(triad)) == triad
    chord = parse_chord(str(triad))
    assert (chord.notes, chord.mask) == (triad.notes, triad.mask)


@given(triads)
def test_tertian_triads_as_music21_names_them(triad: Triad) -> None:
    found = m21_chord.Chord([str(note).replace("b", "-") for note in triad.notes])
    names = {
        TriadQuality.MAJOR: "major",
        TriadQuality.MINOR: "minor",
        TriadQuality.DIMINISHED: "diminished",
        TriadQuality.AUGMENTED: "augmented",
    }
    if triad.quality in names:
        assert found.isTriad()
        assert found.quality == names[triad.quality]
        assert found.root().name.replace("-", "b") == str(triad.root)


@pytest.mark.parametrize(
    ("text", "triad", "notes"),
    [
        ("F# dim", "F#dim", "F# A C"),
        ("C+", "Caug", "C E G#"),
        ("A-", "Am", "A C E"),
        ("A minor", "Am", "A C E"),
        ("B°", "Bdim", "B D F"),
        ("E♭ major", "Eb", "Eb G Bb"),
        ("Dsus", "Dsus4", "D G A"),
        ("g", "G", "G B D"),
        ("Abm(b5)", "Abdim", "Ab Cb Ebb"),
    ],
)
def test_what_players_write(text: str, triad: str, notes: str) -> None:
    found = parse_triad(text)
    assert str(found) == triad
    assert " ".join(map(str, found.notes)) == notes


@pytest.mark.parametrize(
    ("text", "what", "mend"),
    [
        ("", "no root", "A to G"),
        ("Hm", "no root", "'Bm'"),
        ("Cdmi", "not a triad", "Did you mean"),
        ("C7", "C E G Bb", "Use one of"),
        ("C5", "C G", "Use one of"),
        ("C/E", "slash", "alone"),
        ("D/C7", "slash", "alone"),
    ],
)
def test_bad_triads_say_what_and_how(text: str, what: str, mend: str) -> None:
    with pytest.raises(TheoryError) as caught:
        parse_triad(text)
    assert what in caught.value.what
    assert mend in caught.value.mend
