"""Tunings by name and by notes."""

from __future__ import annotations

from itertools import pairwise

import pytest

from lickwright.errors import NeckError
from lickwright.neck.tunings import TUNINGS, parse_tuning, tuning_name


def midi(text: str) -> list[int]:
    return [pitch.midi for pitch in parse_tuning(text)]


def test_standard_is_string_1_first() -> None:
    # MIDI keys of E4 B3 G3 D3 A2 E2: General MIDI numbering, C4 = 60.
    assert midi("standard") == [64, 59, 55, 50, 45, 40]


@pytest.mark.parametrize("name", TUNINGS)
def test_every_name_reads_back_whatever_its_capitals(name: str) -> None:
    strings = parse_tuning(name.upper().replace(" ", "-"))
    assert strings == parse_tuning(TUNINGS[name])
    assert [p.midi for p in parse_tuning(str(tuning_name(strings)))] == [p.midi for p in strings]


@pytest.mark.parametrize("name", TUNINGS)
def test_named_tunings_rise_from_the_lowest_string(name: str) -> None:
    keys = midi(name)
    assert keys == sorted(keys, reverse=True)


@pytest.mark.parametrize(("name", "shift"), [("half-step down", 1), ("whole-step down", 2)])
def test_down_tunings_are_standard_lowered(name: str, shift: int) -> None:
    assert [key + shift for key in midi(name)] == midi("standard")


@pytest.mark.parametrize(
    ("name", "triad"),
    [
        ("open D", {2, 6, 9}),
        ("open D minor", {2, 5, 9}),
        ("open E", {4, 8, 11}),
        ("open E minor", {4, 7, 11}),
        ("open G", {7, 11, 2}),
        ("open G minor", {7, 10, 2}),
        ("open A", {9, 1, 4}),
        ("open C", {0, 4, 7}),
    ],
)
def test_open_tunings_sound_their_chord(name: str, triad: set[int]) -> None:
    assert {key % 12 for key in midi(name)} == triad


@pytest.mark.parametrize(
    ("name", "count"),
    [("7-string", 7), ("8-string", 8), ("9-string", 9), ("bass", 4), ("five-string bass", 5)],
)
def test_other_string_counts(name: str, count: int) -> None:
    keys = midi(name)
    assert len(keys) == count
    # each further low string is a fourth below, all but one pair of them (common practice)
    gaps = [a - b for a, b in pairwise(keys)]
    assert gaps.count(5) >= count - 2


@pytest.mark.parametrize(
    ("notes", "same"),
    [
        ("D A D G B E", "drop D"),
        ("D A D G A D", "DADGAD"),
        ("Eb Ab Db Gb Bb Eb", "half-step down"),
        ("E A D G", "bass"),
        ("B, E, A, D, G, B, E", "7-string"),
        ("E2 A2 D3 G3 B3 E4", "standard"),
    ],
)
def test_notes_read_as_the_tuning_they_are(notes: str, same: str) -> None:
    assert midi(notes) == midi(same)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("drp D", "Did you mean 'drop D'"),
        ("sevn string", "Did you mean 'seven-string'"),
        ("E2 A2 H3 G3 B3 E4", "'H3'"),
        ("E2 A2", "2 strings"),
        ("E4 B3 G3 D3 A2 E2", "lowest string first"),
        ("E2 A D3 G3 B3 E4", "octave"),
        ("", "not a known tuning"),
    ],
)
def test_what_is_no_tuning_is_refused_with_a_way_out(text: str, said: str) -> None:
    with pytest.raises(NeckError, match=said):
        parse_tuning(text)


def test_a_tuning_of_ones_own_has_no_name() -> None:
    assert tuning_name(parse_tuning("E2 A2 D3 G3 B3 F4")) is None
