"""Keys beside music21's: signatures, notes, relatives."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import key as m21_key

from lickwright.errors import TheoryError
from lickwright.theory.degree import degree_steps
from lickwright.theory.key import Key, parallel_key, parse_key, relative_key
from lickwright.theory.pitch import LETTERS, NoteName, mask_of
from lickwright.theory.scales import DIATONIC_FIFTHS, PARENT_SCALES, SCALES, Scale

TONICS = [NoteName(letter, alter) for letter in LETTERS for alter in (-1, 0, 1)]


ALL_KEYS = [
    Key(tonic, scale.name)
    for tonic in TONICS
    for scale in SCALES
    if abs(tonic.line_of_fifths + DIATONIC_FIFTHS[scale.signature]) <= 7
]
keys = st.sampled_from(ALL_KEYS)


@pytest.mark.parametrize("mode", list(DIATONIC_FIFTHS))
def test_signatures_and_notes_as_music21_has_them(mode: str) -> None:
    for tonic in TONICS:
        theirs = m21_key.Key(str(tonic).replace("b", "-"), mode)
        if abs(theirs.sharps) > 7:
            with pytest.raises(TheoryError, match="would need a signature"):
                Key(tonic, mode)
            continue
        ours = Key(tonic, mode)
        assert ours.fifths == theirs.sharps
        names = [pitch.name.replace("-", "b") for pitch in theirs.getPitches()[:7]]
        assert [str(note) for note in ours.notes] == names


@given(keys)
def test_print_and_parse_are_inverse(key: Key) -> None:
    assert parse_key(str(key)) == key


@given(keys)
def test_the_mask_is_that_of_the_notes(key: Key) -> None:
    assert key.mask == mask_of(note.pc for note in key.notes)
    assert all(key.has(note) for note in key.notes)
    assert sum(key.has(pc) for pc in range(12)) == len(key.notes)


@given(keys)
def test_a_signature_agrees_with_the_mode_it_names(key: Key) -> None:
    assert key.fifths == Key(key.tonic, key.signature_mode).fifths
    assert key.signature_mode in DIATONIC_FIFTHS


@pytest.mark.parametrize(
    ("text", "tonic", "mode", "fifths"),
    [
        ("C", "C", "major", 0),
        ("Am", "A", "minor", 0),
        ("A minor", "A", "minor", 0),
        ("a minor", "A", "minor", 0),
        ("F#m", "F#", "minor", 3),
        ("Bb maj", "Bb", "major", -2),
        ("Eb-", "Eb", "minor", -6),
        ("D dorian", "D", "dorian", 0),
        ("D Dorian", "D", "dorian", 0),
        ("C ionian", "C", "major", 0),
        ("B aeolian", "B", "minor", 2),
        ("G♯ Phrygian", "G#", "phrygian", 4),
        ("A harmonic minor", "A", "harmonic minor", 0),
        ("A melodic minor", "A", "melodic minor", 0),
        ("C lydian dominant", "C", "lydian dominant", 1),
        ("E phrygian dominant", "E", "phrygian dominant", 0),
        ("B altered", "B", "altered", 0),
    ],
)
def test_other_writings_are_read(text: str, tonic: str, mode: str, fifths: int) -> None:
    key = parse_key(text)
    assert (str(key.tonic), key.mode, key.fifths) == (tonic, mode, fifths)


@pytest.mark.parametrize(
    ("text", "mend"),
    [
        ("G# major", "Ab major"),
        ("Fb", "E major"),
        ("Db minor", "C# minor"),
        ("A# harmonic major", "Bb harmonic major"),
        ("D dorean", "dorian"),
        ("a", "A minor"),
        ("H minor", "A to G"),
        ("", "D dorian"),
        ("C foo", "dorian"),
    ],
)
def test_bad_keys_say_how_to_mend(text: str, mend: str) -> None:
    with pytest.raises(TheoryError) as caught:
        parse_key(text)
    assert mend in caught.value.mend


def test_every_tonic_has_an_enharmonic_that_can_be_written() -> None:
    for tonic in [NoteName(letter, alter) for letter in LETTERS for alter in range(-2, 3)]:
        for scale in SCALES:
            try:
                Key(tonic, scale.name)
            except TheoryError as error:
                offered = error.mend.removeprefix("Write ").split(",")[0]
                key = parse_key(offered)
                assert key.tonic.pc == tonic.pc
                assert key.mode == scale.name


@given(keys, st.sampled_from(SCALES))
def test_relatives_share_their_notes(key: Key, scale: Scale) -> None:
    related = key.scale.family == scale.family and scale.family in PARENT_SCALES
    try:
        other = relative_key(key, scale.name)
    except TheoryError as error:
        assert not related or "signature" in error.what  # noqa: PT017
        return
    assert related
    assert set(other.notes) == set(key.notes)
    assert other.mode == scale.name


def test_relatives_and_parallels() -> None:
    assert relative_key(parse_key("D dorian"), "major") == parse_key("C")
    assert relative_key(parse_key("Eb"), "minor") == parse_key("C minor")
    assert relative_key(parse_key("B altered"), "melodic minor") == parse_key("C melodic minor")
    assert parallel_key(parse_key("C"), "minor") == parse_key("C minor")


@given(keys)
def test_seven_note_scales_use_each_letter_once(key: Key) -> None:
    if len(key.notes) == 7:
        assert {note.letter for note in key.notes} == set(LETTERS)
        assert [degree_steps(name) for name in key.scale.degrees] == list(range(7))
