"""Degree names: letters, semitones, order, printing."""

from __future__ import annotations

import mir_eval.chord
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.errors import TheoryError
from lickwright.theory.degree import (
    PLAIN_DEGREES,
    as_tension,
    degree_alter,
    degree_between,
    degree_note,
    degree_number,
    degree_semitones,
    degree_steps,
    engraved_degree,
    parse_degree,
    print_degrees,
)
from lickwright.theory.pitch import LETTERS, NoteName, parse_note_name
from lickwright.theory.symbols.writing import CHORD_DEGREES

degrees = st.builds(
    lambda sign, number: f"{sign}{number}",
    st.sampled_from(["", "b", "bb", "#", "##"]),
    st.integers(1, 13),
)
roots = st.builds(NoteName, st.sampled_from(LETTERS), st.integers(-1, 1))


@given(degrees)
def test_semitones_as_harte_counts_them(name: str) -> None:
    # Harte et al., ISMIR 2005, by mir_eval: the degree of a label in semitones.
    assert degree_semitones(name) == mir_eval.chord.scale_degree_to_semitone(name) % 12


@pytest.mark.parametrize("name", sorted(CHORD_DEGREES))
def test_every_chord_degree_as_harte_counts_it(name: str) -> None:
    assert degree_semitones(name) == mir_eval.chord.scale_degree_to_semitone(name) % 12


def test_seam_values() -> None:
    assert (degree_semitones("b9"), degree_steps("b9")) == (1, 1)
    assert (degree_number("b9"), degree_alter("b9")) == (9, -1)
    assert (degree_semitones("bb7"), degree_steps("bb7")) == (9, 6)


@given(roots, degrees)
def test_a_degree_note_is_that_degree(root: NoteName, name: str) -> None:
    note = degree_note(root, name)
    found = degree_between(root, note)
    assert degree_steps(found) == degree_steps(name)
    assert degree_semitones(found) == degree_semitones(name)
    assert (note.pc - root.pc) % 12 == degree_semitones(name)


def test_plain_degrees_count_the_semitones() -> None:
    assert [degree_semitones(name) for name in PLAIN_DEGREES] == list(range(12))


@pytest.mark.parametrize(
    ("root", "note", "name", "tension"),
    [
        # A raised 9 is spelled #9, not b3 (common practice, no source).
        ("C", "D#", "#2", "#9"),
        ("C", "Eb", "b3", "b3"),
        ("C", "F#", "#4", "#11"),
        ("C", "Gb", "b5", "b5"),
        ("C", "Ab", "b6", "b13"),
        ("F#", "B#", "#4", "#11"),
        ("Eb", "Dbb", "bb7", "bb7"),
    ],
)
def test_spelled_degrees(root: str, note: str, name: str, tension: str) -> None:
    found = degree_between(parse_note_name(root), parse_note_name(note))
    assert found == name
    assert as_tension(found) == tension


def test_stacking_order_and_print() -> None:
    assert print_degrees(["#11", "9", "1", "b7", "3", "b9", "5", "#9"]) == "1 3 5 b7 b9 9 #9 #11"
    assert engraved_degree("b13") == "♭13"


def test_other_writings_are_read() -> None:
    assert parse_degree(" ♭9 ") == "b9"
    assert parse_degree("R") == "1"


@pytest.mark.parametrize("text", ["", "0", "16", "b", "9b", "x5", "#b5", "III"])
def test_bad_degrees_say_how_to_mend(text: str) -> None:
    with pytest.raises(TheoryError) as caught:
        parse_degree(text)
    assert caught.value.mend
