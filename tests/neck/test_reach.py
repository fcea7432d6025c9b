"""Hand sizes in millimetres."""

from __future__ import annotations

import pytest

from lickwright.errors import HandError
from lickwright.neck.reach import FINGERS, HANDS, PAIRS, HandProfile, hand_profile


def test_a_larger_hand_opens_wider() -> None:
    small, medium, large = (HANDS[name] for name in ("small", "medium", "large"))
    for a, b in PAIRS:
        assert small.comfortable(a, b) < medium.comfortable(a, b) < large.comfortable(a, b)
        assert small.greatest(a, b) < medium.greatest(a, b) < large.greatest(a, b)


@pytest.mark.parametrize("name", HANDS)
def test_a_pair_further_apart_spreads_further(name: str) -> None:
    hand = HANDS[name]
    for a in FINGERS:
        for b in range(a + 1, 4):
            assert hand.comfortable(a, b) < hand.comfortable(a, b + 1)
            assert hand.greatest(a, b) < hand.greatest(a, b + 1)
            assert hand.comfortable(a, b) == hand.comfortable(b, a) < hand.greatest(a, b)
        assert hand.comfortable(a, a) == hand.greatest(a, a) == 0.0


def test_a_medium_hand_lies_comfortably_on_four_frets_from_the_third_fret() -> None:
    # Common practice: one finger a fret is at home from about the third fret.
    from lickwright.neck.geometry import finger_mm

    four_frets_mm = finger_mm(648.0, 6) - finger_mm(648.0, 3)
    assert four_frets_mm <= HANDS["medium"].comfortable_reach_mm


def test_a_hand_of_ones_own_passes_through() -> None:
    mine = HandProfile("mine", (40, 60, 80, 25, 50, 25), (60, 90, 120, 50, 80, 50))
    assert hand_profile(mine) is mine


def test_unknown_and_impossible_hands_are_refused() -> None:
    with pytest.raises(HandError, match="medium"):
        hand_profile("medum")
    with pytest.raises(HandError, match="every pair"):
        HandProfile("short", (40.0,), (60.0,))
    with pytest.raises(HandError, match="fingers 1 and 2"):
        HandProfile("odd", (70, 60, 80, 25, 50, 25), (60, 90, 120, 50, 80, 50))
