"""What sounds, however it is given."""

from __future__ import annotations

import pytest

from lickwright.errors import TheoryError
from lickwright.theory.hearing.sounding import read_sounding
from lickwright.theory.key import parse_key
from lickwright.theory.pitch import NoteName, mask_of, parse_note_name, parse_pitch
from lickwright.theory.triad import parse_triad

D = parse_note_name("D")


@pytest.mark.parametrize(
    "notes",
    [
        "F A C",
        "F, A, C",
        ["F", "A", "C"],
        [5, 9, 0],
        [65, 69, 72],
        parse_triad("F"),
        [parse_triad("F")],
        (note for note in ("F", NoteName("A"), parse_pitch("C5"))),
    ],
)
def test_notes_are_read_alike_however_they_are_given(notes: object) -> None:
    sounding = read_sounding(notes, "D")
    assert sounding.mask == mask_of([2, 5, 9, 0])
    assert sounding.bass == 2
    assert sounding.over_bass == mask_of([0, 3, 7, 10])


def test_the_first_note_is_the_bass_where_none_is_given() -> None:
    assert read_sounding("A C E").bass == 9
    assert read_sounding(parse_triad("Gm")).bass == 7


def test_the_callers_spelling_is_kept_and_the_bass_spells_first() -> None:
    sounding = read_sounding("A# D F", "Bb")
    assert str(sounding.name(10)) == "Bb"
    assert sounding.name(0) is None


def test_a_key_spells_its_own_notes_and_those_that_nobody_spelled() -> None:
    key = parse_key("Ab major")
    sounding = read_sounding(["G#", 6, "F#"], "C")
    assert str(sounding.name(8, key)) == "Ab"
    assert str(sounding.name(6, key)) == "F#"
    assert str(read_sounding([6, 0], 0).name(6, key)) == "Gb"


def test_triads_are_remembered() -> None:
    triads = (parse_triad("F"), parse_triad("Am"))
    assert read_sounding([*triads, "B"], D).triads == triads


@pytest.mark.parametrize(
    ("notes", "over", "what"),
    [
        ("", "D", "there are no notes"),
        ([], "D", "there are no notes"),
        ("F H C", "D", "'H' is not a note name"),
        ("F A C", "X", "'X' is not a note name"),
        ([-1], "D", "-1 is not a note"),
        ([2.5], "D", "2.5 is not a note"),
        (["Am"], "D", "'Am' is not a note name"),
    ],
)
def test_bad_notes_are_one_sentence(notes: object, over: str, what: str) -> None:
    with pytest.raises(TheoryError, match=what) as caught:
        read_sounding(notes, over)
    assert caught.value.mend
