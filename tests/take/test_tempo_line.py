"""Lines through starts: arithmetic is the outside word."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.take.judging.tempo_line import fit_tempo

QUARTERS = np.arange(0, 16, 0.25)


@given(
    tempo=st.floats(40, 200),
    start=st.floats(0, 30),
    off=st.floats(0.03, 0.3),
    which=st.sets(st.integers(0, 63), max_size=12),
)
def test_single_notes_do_not_bend_the_line(
    tempo: float, start: float, off: float, which: set[int]
) -> None:
    due = start + QUARTERS * 60 / tempo
    played = due + np.where(np.isin(np.arange(64), list(which)), off, 0.0)
    line = fit_tempo(QUARTERS, played, tempo)
    assert np.abs(line.at(QUARTERS) - due).max() < 0.012


@pytest.mark.parametrize("drift", [-0.05, -0.03, 0.03, 0.05])
def test_a_tempo_that_drifts_is_followed(drift: float) -> None:
    pace = 0.5 / (1 + drift * QUARTERS / 16)
    due = np.concatenate([[0.0], np.cumsum(pace[:-1] * 0.25)])
    line = fit_tempo(QUARTERS, due, 120)
    assert np.abs(line.at(QUARTERS) - due).max() < 0.008  # a third of what counts as late
    assert line.bpm(12, 15.75) / line.bpm(0, 4) == pytest.approx(1 + drift * 0.75, abs=0.01)


def test_one_or_two_notes_are_enough_for_a_line() -> None:
    one = fit_tempo(np.array([2.0]), np.array([3.0]), 60)
    assert one.at(np.array([0.0, 2.0, 4.0])).tolist() == [1.0, 3.0, 5.0]
    none = fit_tempo(np.array([]), np.array([]), 60)
    assert none.bpm(0, 4) == pytest.approx(60)
