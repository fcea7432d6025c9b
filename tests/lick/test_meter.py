"""Where the beat is felt."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.lick.rhythm.beats import felt_beats


# Felt beats: common practice, no source.
@pytest.mark.parametrize(
    ("meter", "beats"),
    [
        ((4, 4), [1, 1, 1, 1]),
        ((3, 4), [1, 1, 1]),
        ((6, 8), [Fraction(3, 2), Fraction(3, 2)]),
        ((12, 8), [Fraction(3, 2)] * 4),
        ((3, 8), [Fraction(1, 2)] * 3),
        ((5, 8), [Fraction(3, 2), 1]),
        ((7, 8), [1, 1, Fraction(3, 2)]),
        ((8, 8), [Fraction(3, 2), Fraction(3, 2), 1]),
        ((2, 2), [2, 2]),
    ],
)
def test_a_meter_is_felt_in_its_beats(meter: tuple[int, int], beats: list[Fraction]) -> None:
    assert list(felt_beats(*meter)) == beats


@given(st.integers(1, 15), st.sampled_from([1, 2, 4, 8, 16]))
def test_beats_fill_their_bar(beats: int, unit: int) -> None:
    assert sum(felt_beats(beats, unit)) == Fraction(4 * beats, unit)
