"""The same shape over every bass."""

from __future__ import annotations

import pytest

from lickwright.errors import TheoryError
from lickwright.theory.finding.basses import over_every_bass
from lickwright.theory.hearing.implied import implied_chords
from lickwright.theory.triad import parse_triad

SHAPE = [parse_triad("Gm"), parse_triad("F")]


def test_twelve_basses_up_from_the_first_note() -> None:
    basses = list(over_every_bass(SHAPE))
    assert [(bass.pc - 7) % 12 for bass in basses] == list(range(12))


def test_each_row_is_the_forward_reading() -> None:
    for bass, readings in over_every_bass(SHAPE).items():
        assert readings == implied_chords(SHAPE, bass)


def test_a_shape_means_what_its_bass_makes_of_it() -> None:
    # Common practice, no source.
    rows = {str(bass): readings[0].symbol for bass, readings in over_every_bass(SHAPE).items()}
    assert rows["G"] == "Gm11"
    assert rows["Bb"] == "Bbmaj13"
    assert rows["C"] == "C13sus4"
    assert rows["Eb"] == "Ebmaj13#11"


def test_a_key_spells_the_basses() -> None:
    assert "Gb" in map(str, over_every_bass([parse_triad("Db")], "Ab minor"))
    assert "C#" in map(str, over_every_bass([parse_triad("D")], "D major"))


def test_no_notes_is_one_sentence() -> None:
    with pytest.raises(TheoryError, match="there are no notes"):
        over_every_bass([])
