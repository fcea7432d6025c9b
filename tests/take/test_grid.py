"""Rhythms that are known, played with a hand's unevenness, and written down again."""

from __future__ import annotations

import random
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.errors import RhythmError
from lickwright.take.writing.grid import find_grid

BEATS = [
    (Fraction(0),),
    (Fraction(0), Fraction(1, 2)),
    (Fraction(0), Fraction(1, 4), Fraction(1, 2), Fraction(3, 4)),
    (Fraction(0), Fraction(1, 3), Fraction(2, 3)),
    (Fraction(0), Fraction(1, 2), Fraction(3, 4)),
    (Fraction(0), Fraction(3, 4)),
    (),
]


@given(
    beats=st.lists(st.sampled_from(BEATS), min_size=2, max_size=12),
    tempo=st.integers(60, 150),
    seed=st.integers(0, 999),
)
def test_mixed_rhythms_come_back_at_a_known_tempo(
    beats: list[tuple[Fraction, ...]], tempo: int, seed: int
) -> None:
    written = [Fraction(0)] + [b + x for b, beat in enumerate(beats, 1) for x in beat]
    draw = random.Random(seed)
    played = [2.0 + float(q) * 60 / tempo + draw.uniform(-0.005, 0.005) for q in written]
    assert list(find_grid(np.array(played), tempo).onsets) == written


@pytest.mark.parametrize("parts", [3, 4, 5, 6, 7])
def test_even_flows_are_known_from_one_another_at_a_likely_tempo(parts: int) -> None:
    written = [Fraction(n, parts) for n in range(4 * parts)]
    played = np.array([float(q) * 60 / 84 for q in written])
    grid = find_grid(played, None, (84.0,))
    assert list(grid.onsets) == written
    assert grid.tempo_bpm == pytest.approx(84, rel=0.01)
    assert len(grid.tuplets()) == (0 if parts == 4 else 4)


def test_a_beat_that_drifts_is_followed() -> None:
    written = [Fraction(n, 4) for n in range(64)]
    pace = 0.15 / (1 + 0.05 * np.arange(64) / 64)
    grid = find_grid(np.concatenate([[0.0], np.cumsum(pace[:-1])]), 100)
    assert list(grid.onsets) == written


def test_nothing_has_no_rhythm() -> None:
    with pytest.raises(RhythmError, match="no notes"):
        find_grid(np.array([]))
