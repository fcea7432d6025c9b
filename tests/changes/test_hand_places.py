"""Where the hand may stand, and the least that it travels."""

from __future__ import annotations

import itertools

from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.changes.lines.hand_places import HandPlaces
from lickwright.neck.geometry import finger_mm
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import HANDS

from .hand_travel import least_travel_mm

GUITAR = Guitar()
PLACES = HandPlaces(GUITAR, HANDS["medium"])

POSITIONS = st.builds(Position, st.integers(1, 6), st.integers(0, 22))


def test_the_index_finger_stands_behind_its_fret():
    for fret in range(1, 25):
        assert PLACES.tenths[fret] == round(10 * finger_mm(648.0, fret))


def test_one_finger_a_fret_is_held_from_its_lowest_fret():
    """Common practice, no source: at the fifth fret a hand lies one finger a fret, no less."""
    four = [Position(3, fret) for fret in (5, 6, 7, 8)]
    assert PLACES.holding(four)[-1] == 5


def test_open_strings_do_not_bind_the_hand():
    assert PLACES.holding([Position(1, 0), Position(2, 7)]) == PLACES.holding([Position(2, 7)])
    assert PLACES.holding([Position(1, 0)]) == (1,)


@given(st.lists(POSITIONS, min_size=1, max_size=6))
def test_every_place_reaches_all_or_is_the_lowest_fret(positions):
    stopped = [finger_mm(648.0, place.fret) for place in positions if place.fret]
    reach = HANDS["medium"].comfortable_reach_mm
    holding = PLACES.holding(positions)
    assert holding == tuple(sorted(holding))
    if stopped:
        assert holding[-1] == min(place.fret for place in positions if place.fret)
        for fret in holding[:-1]:
            assert max(stopped) - finger_mm(648.0, fret) <= reach + 0.2


@given(st.lists(POSITIONS, min_size=1, max_size=12))
def test_frames_cut_a_line_and_lose_nothing(positions):
    frames = PLACES.frames(positions)
    assert [place for frame in frames for place in frame] == positions


@settings(deadline=None, max_examples=40)
@given(st.lists(POSITIONS, min_size=1, max_size=4))
def test_the_least_travel_is_that_of_exhaustive_search(positions):
    stopped = [PLACES.holding([place]) for place in positions if place.fret]
    best = min(
        sum(abs(PLACES.tenths[a] - PLACES.tenths[b]) for a, b in itertools.pairwise(way))
        for way in itertools.product(*stopped)
    )
    assert least_travel_mm(positions) == best / 10


def test_moving_a_shape_up_the_neck_costs_fewer_mm():
    low = [Position(3, 2), Position(3, 12)]
    high = [Position(3, 9), Position(3, 19)]
    assert least_travel_mm(high) < least_travel_mm(low)
