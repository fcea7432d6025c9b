"""Names by the million say the same as one name at a time."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.errors import TheoryError
from lickwright.theory.chord import parse_chord
from lickwright.theory.hearing.implied import implied_chords
from lickwright.theory.hearing.naming_table import name_over, names_over
from lickwright.theory.pitch import pitch_classes

MASKS = st.integers(1, 4095)
BASSES = st.integers(0, 11)


@settings(deadline=None)
@given(MASKS, BASSES)
def test_the_table_says_what_the_ranking_says(mask: int, bass: int) -> None:
    readings = implied_chords(pitch_classes(mask), bass)
    assert name_over(mask, bass) == next((r.symbol for r in readings if not r.beside), "")


@settings(deadline=None)
@given(st.lists(st.tuples(MASKS, BASSES), max_size=20))
def test_a_batch_says_what_single_names_say(sets: list[tuple[int, int]]) -> None:
    names = names_over([mask for mask, _ in sets], [bass for _, bass in sets])
    assert list(names) == [name_over(mask, bass) for mask, bass in sets]


def test_one_bass_serves_many_masks() -> None:
    assert list(names_over(np.array([0b000010010001, 0b000010001001]), 0)) == ["C", "Cm"]


def test_every_printed_symbol_parses_back() -> None:
    names = {name_over(mask, bass) for mask in range(1, 4096) for bass in range(12)} - {""}
    assert len(names) > 5000
    for name in names:
        assert str(parse_chord(name)) == name


@pytest.mark.parametrize(("mask", "bass"), [(-1, 0), (4096, 0), (1, 12), (1, -1)])
def test_out_of_range_is_one_sentence(mask: int, bass: int) -> None:
    with pytest.raises(TheoryError, match="out of range"):
        name_over(mask, bass)
    with pytest.raises(TheoryError, match="out of range"):
        names_over([mask], [bass])
