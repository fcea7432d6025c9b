"""Keys that nobody writes.  Common practice, no source."""

from __future__ import annotations

import pytest

from lickwright.changes.progression import (
    in_inferred_keys,
    infer_keys,
    parse_changes,
    pivot_before,
)
from lickwright.theory import parse_chord

FOUND = [
    ("Dm7 G7 Cmaj7", "C major"),
    ("C A7 Dm7 G7 C", "C major"),
    ("Am E7 Am F C G Am", "A minor"),
    ("Bm7b5 E7 Am6", "A minor"),
    ("F#m7 B7 Emaj7", "E major"),
    ("Eb Cm7 Fm7 Bb7 Eb", "Eb major"),
    ("Gb Db7 Gb", "Gb major"),
]


@pytest.mark.parametrize(("chords", "key"), FOUND)
def test_changes_in_one_key(chords: str, key: str) -> None:
    assert {str(k) for k in infer_keys([parse_chord(c) for c in chords.split()])} == {key}


def test_two_five_ones_are_two_keys() -> None:
    chords = [parse_chord(c) for c in ["Dm7", "G7", "Cmaj7", "Cm7", "F7", "Bbmaj7"]]
    assert [str(key) for key in infer_keys(chords)] == ["C major"] * 3 + ["Bb major"] * 3


def test_written_keys_stand_and_a_pivot_is_of_both_keys() -> None:
    written = parse_changes("Dm7 | G7 | C", "G major")
    assert in_inferred_keys(written) == written
    changes = in_inferred_keys(parse_changes("C | F | G | C | Am | D7 | G | Am | D7 | G"))
    pivots = [pivot_before(changes, at) for at in range(len(changes.chords))]
    assert [str(chord) for chord in pivots if chord is not None] == ["Am"]
    assert pivot_before(changes, 0) is None
    assert pivot_before(changes, 99) is None


def test_transposed_changes_have_transposed_keys() -> None:
    text = "C A7 Dm7 G7 Em7 A7 D G D"
    here = infer_keys([parse_chord(c) for c in text.split()])
    up = "D B7 Em7 A7 F#m7 B7 E A E"
    there = infer_keys([parse_chord(c) for c in up.split()])
    assert [(k.tonic.pc + 2) % 12 for k in here] == [k.tonic.pc for k in there]
