"""Spelling in a key, of a lone root, and plainer offers."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import pitch as m21_pitch

from lickwright.theory.key import Key, parse_key
from lickwright.theory.pitch import LETTERS, NoteName, parse_note_name
from lickwright.theory.scales import DIATONIC_FIFTHS
from lickwright.theory.spelling import note_on_fifths, simpler, spell, spell_root, spellings_in

TONICS = [NoteName(letter, alter) for letter in LETTERS for alter in (-1, 0, 1)]
keys = st.sampled_from(
    [
        Key(tonic, mode)
        for tonic in TONICS
        for mode, fifths in DIATONIC_FIFTHS.items()
        if abs(tonic.line_of_fifths + fifths) <= 7
    ]
)


@given(keys, st.integers(-24, 36))
def test_a_spelling_sounds_as_asked(key: Key, pc: int) -> None:
    assert spell(pc, key).pc == pc % 12


@given(keys)
def test_the_scale_keeps_its_own_names(key: Key) -> None:
    assert set(key.notes) <= set(spellings_in(key))
    for note in key.notes:
        assert spell(note.pc, key) == note


@pytest.mark.parametrize(
    ("key", "names"),
    [
        # The harmonic chromatic scale; common practice, no source.
        ("C", "C Db D Eb E F F# G Ab A Bb B"),
        ("A minor", "C C# D D# E F F# G G# A Bb B"),
        ("Eb", "C Db D Eb Fb F Gb G Ab A Bb Cb"),
        ("E", "C C# D D# E F F# G G# A A# B"),
        ("D dorian", "C C# D Eb E F F# G G# A Bb B"),
        ("C locrian", "C Db D Eb E F Gb G Ab A Bb B"),
        ("E phrygian dominant", "C C# D D# E F F# G G# A A# B"),
    ],
)
def test_chromatic_notes(key: str, names: str) -> None:
    assert [str(note) for note in spellings_in(parse_key(key))] == names.split()


@given(st.integers(-21, 21))
def test_line_of_fifths_and_back(place: int) -> None:
    assert note_on_fifths(place).line_of_fifths == place


def test_roots_without_a_key() -> None:
    # Fewest accidentals in the key of that root; common practice, no source.
    major = [str(spell_root(pc)) for pc in range(12)]
    minor = [str(spell_root(pc, minor=True)) for pc in range(12)]
    assert " ".join(major) == "C Db D Eb E F F# G Ab A Bb B"
    assert " ".join(minor) == "C C# D Eb E F F# G G# A Bb B"
    for pc in range(12):
        for quality, name in (("major", major[pc]), ("minor", minor[pc])):
            own = abs(parse_key(f"{name} {quality}").fifths)
            others = [tonic for tonic in TONICS if tonic.pc == pc]
            fewest = min(abs(t.line_of_fifths + DIATONIC_FIFTHS[quality]) for t in others)
            assert own == fewest


@given(st.sampled_from(LETTERS), st.integers(-3, 3))
def test_a_plainer_offer_sounds_the_same(letter: str, alter: int) -> None:
    note = NoteName(letter, alter)
    offer = simpler(note)
    if abs(alter) < 2:
        assert offer is None
    else:
        assert offer is not None
        assert offer.pc == note.pc
        assert abs(offer.alter) <= 1
        theirs = m21_pitch.Pitch(str(note).replace("b", "-"))
        assert offer.pc == theirs.pitchClass


@pytest.mark.parametrize(
    ("note", "offer"), [("Bbb", "A"), ("F##", "G"), ("Dbb", "C"), ("E##", "F#"), ("Cbb", "Bb")]
)
def test_offers(note: str, offer: str) -> None:
    assert simpler(parse_note_name(note)) == parse_note_name(offer)
