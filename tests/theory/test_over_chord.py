"""What a line says over a sounding chord.  Common practice, no source, unless a line says so."""

from __future__ import annotations

import pytest

from lickwright.theory.chord import parse_chord
from lickwright.theory.finding import chord_scales
from lickwright.theory.hearing import heard_over, sum_over
from lickwright.theory.key import parse_key

SAID = [
    # Gb and Ab are the usual altered pair although neither has the third.
    ("Gb Bb Db Ab C Eb", "C7alt", "1 b7 b9 #9 #11 b13", "", "3", ""),
    ("D F# A C#", "Gmaj9", "5 7 9", "#11", "1 3", ""),
    ("Eb G Bb", "C7", "5 b7", "#9", "1 3", ""),
    # Upper structures, handbook knowledge: see the table over C7 in the tests of readings.
    ("D F# A", "C7", "", "9 #11 13", "1 3 5 b7", ""),
    ("Ab C Eb", "C7", "1", "#9 b13", "3 5 b7", ""),
    ("B D F", "Cdim7", "", "7 9 11", "1 b3 b5 bb7", ""),
    ("F A C", "G7sus4", "4 b7", "9", "1 5", ""),
    ("D F A", "Cmaj7", "", "9 13", "1 3 5 7", "11 against 3"),
    ("C", "G7", "", "", "1 3 5 b7", "11 against 3"),
    ("F Ab", "Cm7b5", "", "11 b13", "1 b3 b5 b7", ""),
    ("A", "Cmaj7#5", "", "13", "1 3 #5 7", ""),
    ("D", "C7alt", "", "", "1 3 b7", "9 against b9"),
    ("B", "C7", "", "", "1 3 5 b7", "7 against b7"),
    ("E", "Cm7", "", "", "1 b3 5 b7", "3 against b3"),
    ("Gb", "Cm7", "", "", "1 b3 5 b7", "b5 against 5"),
]


@pytest.mark.parametrize(("notes", "chord", "states", "colours", "leaves", "rubs"), SAID)
def test_each_note_states_colours_or_rubs(
    notes: str, chord: str, states: str, colours: str, leaves: str, rubs: str
) -> None:
    heard = heard_over(notes, chord)
    assert " ".join(heard.states) == states
    assert " ".join(heard.colours) == colours
    assert " ".join(heard.leaves) == leaves
    assert ", ".join(f"{rub.degree} against {rub.against}" for rub in heard.rubs) == rubs


@pytest.mark.parametrize("numeral", ["Cmaj7", "Dm7", "Em7", "Fmaj7", "G7", "Am7", "Bm7b5"])
def test_nothing_of_the_key_contradicts_a_chord_of_the_key(numeral: str) -> None:
    heard = heard_over(list(parse_key("C major").notes), numeral)
    assert not [rub for rub in heard.rubs if rub.hard]


@pytest.mark.parametrize(
    "chord", ["C7alt", "Cm7", "C7b9", "Cmaj7#11", "Cm7b5", "Cdim7", "C7sus4b9"]
)
def test_nothing_of_its_first_scale_contradicts_a_chord(chord: str) -> None:
    scale = chord_scales(parse_chord(chord))[0]
    heard = heard_over(list(parse_key(f"C {scale.name}").notes), chord)
    assert not [rub for rub in heard.rubs if rub.hard]


def test_together_they_are_named_on_the_chords_root() -> None:
    assert sum_over("D F# A", "C7").symbol == "C13#11"
    assert sum_over("Eb", "C7").symbol == "C7#9"
    assert sum_over("B F#", "C7").beside == ("7",)
    assert sum_over("C# D# F", "Csus2") is None


def test_typed_spellings_are_kept() -> None:
    assert [str(note) for note in heard_over("D# F#", "C7").notes] == ["D#", "F#"]
