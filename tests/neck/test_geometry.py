"""Millimetres on the neck, beside a published fret table and the luthier's rule."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.errors import NeckError
from lickwright.neck.geometry import (
    INCH_MM,
    finger_mm,
    fret_mm,
    parse_scale_length,
    parse_scale_lengths,
)

#: Nut to fret in inches on a 25.5 in scale, as luthiers' published fret tables print them.
FRET_TABLE_IN = {1: 1.431, 5: 6.397, 12: 12.750}


@pytest.mark.parametrize(("fret", "inches"), FRET_TABLE_IN.items())
def test_frets_stand_where_the_published_table_puts_them(fret: int, inches: float) -> None:
    assert fret_mm(25.5 * INCH_MM, fret) / INCH_MM == pytest.approx(inches, abs=0.0005)


def test_frets_follow_the_luthiers_rule() -> None:
    # The rule of 17.817: each fret takes that part of the length left over (common practice).
    left = 25.5
    for fret in range(1, 25):
        left -= left / 17.817
        assert fret_mm(25.5, fret) == pytest.approx(25.5 - left, abs=0.001)


def test_the_octave_stands_at_half_the_string() -> None:
    assert fret_mm(648.0, 12) == pytest.approx(324.0)
    assert fret_mm(648.0, 24) == pytest.approx(486.0)


@given(st.integers(1, 36), st.floats(300, 1000))
def test_a_finger_stands_between_its_wire_and_the_one_before(fret: int, scale: float) -> None:
    assert fret_mm(scale, fret - 1) < finger_mm(scale, fret) < fret_mm(scale, fret)


def test_an_open_string_is_stopped_at_the_nut() -> None:
    assert finger_mm(648.0, 0) == 0.0


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("648 mm", 648.0),
        ("648", 648.0),
        (648, 648.0),
        ("64.8 cm", 648.0),
        ("25.5 in", 647.7),  # the inch is 25.4 mm by international agreement (1959)
        ('25.5"', 647.7),
        ("34 inches", 863.6),
    ],
)
def test_scale_lengths_read(text: str | float, mm: float) -> None:
    assert parse_scale_length(text) == pytest.approx(mm)


@pytest.mark.parametrize("text", ["", "long", "25.5 feet", "-648 mm", "25.5 mm", "2000 mm", "nan"])
def test_what_is_no_scale_length_is_refused(text: str) -> None:
    with pytest.raises(NeckError):
        parse_scale_length(text)


def test_one_length_serves_all_strings() -> None:
    assert parse_scale_lengths("648 mm", 6) == (648.0,) * 6


@pytest.mark.parametrize("text", ["25.5-27 in", "25.5 in - 27 in", "27 in to 25.5 in"])
def test_a_fanned_neck_runs_from_the_short_string_1_to_the_long_lowest(text: str) -> None:
    lengths = parse_scale_lengths(text, 7)
    assert lengths[0] == pytest.approx(25.5 * INCH_MM)
    assert lengths[-1] == pytest.approx(27 * INCH_MM)
    steps = [b - a for a, b in pairwise(lengths)]
    assert steps == pytest.approx([steps[0]] * 6, abs=1e-4)


def test_three_lengths_are_refused() -> None:
    with pytest.raises(NeckError):
        parse_scale_lengths("25-26-27 in", 6)
