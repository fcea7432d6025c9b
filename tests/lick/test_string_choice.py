"""Strings, frets and fingers chosen together for bare pitches."""

from __future__ import annotations

import doctest
from dataclasses import replace
from itertools import pairwise, product
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import lickwright.lick.strings.choice
from lickwright.errors import LickwrightError
from lickwright.lick.fingering.fingers import best_fingerings
from lickwright.lick.fingering.task import Pin
from lickwright.lick.fingering.weights import OPEN_STRING, STRING_SKIP, UP_THE_NECK
from lickwright.lick.strings.choice import choose_strings
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import hand_profile
from lickwright.neck.tunings import parse_tuning

GUITAR = Guitar()
#: Strings are chosen for what neighbours cost each other, without the look two notes ahead.
NEIGHBOURS = replace(
    hand_profile("medium"),
    habits=tuple(
        (name, 0) for name in ("needed_again", "unguided_ahead", "moved_on", "refingered")
    ),
)


def whole_cost(line: list[tuple[int, int]], tempo: float | None) -> int:
    """What a line costs with its strings given: its fingers, and what speaks against its places."""
    skipped = sum(max(0, abs(a[0] - b[0]) - 1) for a, b in pairwise(line))
    return (
        best_fingerings(line, tempo_bpm=tempo, repeats=(), count=1, hand=NEIGHBOURS)[0].cost
        + STRING_SKIP * skipped
        + sum(UP_THE_NECK * fret + OPEN_STRING * (fret == 0) for _, fret in line)
    )


@given(st.lists(st.integers(40, 86), min_size=1, max_size=4), st.sampled_from([None, 90.0, 160.0]))
@settings(max_examples=25, deadline=None)
def test_no_other_choice_of_strings_is_cheaper(pitches: list[int], tempo: float | None) -> None:
    found = choose_strings(pitches, tempo_bpm=tempo)
    line = [(note.position.string, note.position.fret) for note in found]
    assert [GUITAR.midi_at(note.position) for note in found] == pitches
    everywhere = [
        [
            (string, pitch - GUITAR.midi_at(Position(string, 0)))
            for string in range(1, 7)
            if 0 <= pitch - GUITAR.midi_at(Position(string, 0)) <= 24
        ]
        for pitch in pitches
    ]
    least = min(whole_cost(list(places), tempo) for places in product(*everywhere))
    assert whole_cost(line, tempo) == least


def test_examples_in_the_documentation_hold() -> None:
    assert doctest.testmod(lickwright.lick.strings.choice).failed == 0


def test_a_scale_stays_in_one_position() -> None:
    # Common practice: a scale of one octave lies in one position.
    line = choose_strings(["C4", "D4", "E4", "F4", "G4", "A4", "B4", "C5"])
    assert len({note.place for note in line}) == 1


def test_windows_and_pins_hold() -> None:
    pitches = ["A3", "C4", "E4", "A4"]
    line = choose_strings(pitches, frets="12-17")
    assert all(12 <= note.position.fret <= 17 for note in line)
    line = choose_strings(pitches, strings="2-4")
    assert all(2 <= note.position.string <= 4 for note in line)
    line = choose_strings(pitches, pins={1: Pin(string=5, finger=4), 3: Pin(place=7)})
    assert line[1].position.string == 5
    assert line[1].finger == 4
    assert line[3].place == 7


def test_other_tunings_and_notes_at_once() -> None:
    bass = Guitar(parse_tuning("bass"))
    line = choose_strings(["E1", "B1", "E2"], bass)
    assert [bass.midi_at(note.position) for note in line] == [28, 35, 40]
    chord = choose_strings(["C3", "E3", "G3", "C4", "E4"], onsets=[0] * 5)
    # Common practice: the open C chord
    assert [(n.position.string, n.position.fret, n.finger) for n in chord] == [
        (5, 3, 3), (4, 2, 2), (3, 0, 0), (2, 1, 1), (1, 0, 0)
    ]  # fmt: skip
    assert choose_strings([]) == []


def test_the_gentlest_line_is_found_too() -> None:
    pitches = [52, 64, 59, 71, 55]
    assert len(choose_strings(pitches, objective="minimax", tempo_bpm=160)) == 5


def test_open_strings_only() -> None:
    line = choose_strings(["E2", "E2"])
    assert [(note.position.fret, note.finger) for note in line] == [(0, 0), (0, 0)]


BAD: dict[str, tuple[list[Any], dict[str, Any], str]] = {
    "too low": (["E2", "D2"], {}, r"note 2: MIDI key 38 .* below its lowest note"),
    "too high": (["F7"], {}, r"note 1: MIDI key 101 .* above its highest note"),
    "outside the window": (["C4", "E2"], {"frets": "5-9"}, r"note 2 does not lie within"),
    "pinned to a string without it": (
        ["E2"],
        {"pins": {0: Pin(string=1)}},
        r"note 1 cannot be played as pinned",
    ),
    "no pitch": (["H2"], {}, r"'H2' is not a pitch"),
    "pinned out of reach": (
        ["F4"],
        {"strings": "1-1", "pins": {0: 4}},
        r"note 1 cannot be stopped as pinned",
    ),
    "no hand stops them": (
        ["F2", "F5"],
        {"onsets": [0, 0], "frets": "1-13", "pins": {0: Pin(string=6), 1: Pin(string=1)}},
        r"notes 1, 2 start together",
    ),
    "no way between pins": (
        ["G4", "F#4"],
        {"strings": "1-1", "pins": {0: Pin(1, place=3), 1: Pin(2, place=3)}},
        r"note 2 cannot",
    ),
}


@pytest.mark.parametrize(("pitches", "arguments", "said"), BAD.values(), ids=list(BAD))
def test_a_bad_case_says_which_note(
    pitches: list[Any], arguments: dict[str, Any], said: str
) -> None:
    with pytest.raises(LickwrightError, match=said):
        choose_strings(pitches, **arguments)
