"""Root support after Parncutt (Music Perception 6:1, 1988; revised 1997), weights from memory."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.theory.hearing.salience import ROOT_SUPPORT, root_salience, root_share
from lickwright.theory.pitch import mask_of


def test_the_weights_are_those_of_the_revision() -> None:
    # Unison, fifth, major third, minor seventh, major second: 10, 5, 3, 2, 1 (from memory).
    assert ROOT_SUPPORT == {0: 10, 7: 5, 4: 3, 10: 2, 2: 1}


def test_a_major_triad_by_hand() -> None:
    support = root_salience(mask_of([0, 4, 7]))
    # The bass counts twice: its root 2x10, fifth 5, third 3.
    assert support[0] == 20 + 5 + 3
    # On the third: the third itself 10; the bass is its minor sixth, the fifth its minor third.
    assert support[4] == 10
    # On F, which does not sound: the bass is its fifth, the G its ninth.
    assert support[5] == 2 * 5 + 1


@pytest.mark.parametrize(
    ("what", "tones"),
    [("major", [0, 4, 7]), ("minor", [0, 3, 7]), ("dominant", [0, 4, 7, 10]), ("fifth", [0, 7])],
)
def test_the_root_in_the_bass_is_the_best_supported(what: str, tones: list[int]) -> None:
    assert root_share(mask_of(tones), 0) == 1.0


def test_a_diminished_triad_leaves_its_root_weak() -> None:
    # The virtual root a major third below a diminished triad is among its rivals: the paper's
    # account of why B D F is heard as G7 (Parncutt 1988, from memory).
    support = root_salience(mask_of([0, 3, 6]))
    assert support[8] == 2 * 3 + 5 + 2
    assert support[8] > support[3]
    assert support[8] > support[6]


@settings(deadline=None)
@given(st.integers(0, 2047), st.integers(0, 11))
def test_a_share_is_between_nothing_and_all(upper: int, root: int) -> None:
    mask = upper << 1 | 1
    assert 0.0 <= root_share(mask, root) <= 1.0
    assert max(root_share(mask, other) for other in range(12)) == 1.0
