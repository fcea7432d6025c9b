"""Joined shapes: exhaustive by their definition, ranked, with reasons."""

from __future__ import annotations

from itertools import pairwise

import pytest

from lickwright.errors import NeckError
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import HANDS
from lickwright.neck.shapes.joins import CONTOURS, ShapePair, find_joined_shapes
from lickwright.neck.shapes.search import find_shapes
from lickwright.neck.shapes.shape import Shape

GUITAR = Guitar()


def least_travel_mm(a: Shape, b: Shape, reach: float) -> float:
    """Least move between a place that frames one shape and a place that frames the other.

    Tried place by place: the hand covers ``reach`` from where it lies, or the shape's own frame
    where that is wider.
    """
    (a_low, a_high), (b_low, b_high) = a.frame_mm(GUITAR), b.frame_mm(GUITAR)
    a_from, b_from = min(a_low, a_high - reach), min(b_low, b_high - reach)
    steps = 400
    starts = [a_from + (a_low - a_from) * k / steps for k in range(steps + 1)]
    return min(abs(min(max(start, b_from), b_low) - start) for start in starts)


@pytest.mark.parametrize(("first", "second"), [("F", "Am"), ("C", "C"), ("Bdim", "Dm")])
def test_every_pair_that_joins_is_found(first: str, second: str) -> None:
    frets, strings = (7, 13), (1, 5)
    hand = HANDS["medium"]
    found = {
        (pair.first.positions, pair.second.positions): pair
        for pair in find_joined_shapes(first, second, frets=frets, strings=strings)
    }
    for a in find_shapes(first, frets=frets, strings=strings):
        for b in find_shapes(second, frets=frets, strings=strings):
            ends = []
            for contour in CONTOURS:
                leave = a.positions[-1 if contour.startswith("up") else 0]
                land = b.positions[-1 if contour.endswith("down") else 0]
                step = GUITAR.midi_at(land) - GUITAR.midi_at(leave)
                if abs(step) <= 3 and abs(leave.string - land.string) <= 1:
                    ends.append(contour)
            travel = least_travel_mm(a, b, hand.comfortable_reach_mm)
            joins = ends and travel <= hand.comfortable_reach_mm / 2 and a.positions != b.positions
            pair = found.pop((a.positions, b.positions), None)
            assert (pair is not None) == bool(joins)
            if pair is not None:
                assert pair.contour in ends
                assert pair.travel_mm == pytest.approx(travel, abs=0.2)
    assert not found


def test_a_pair_tells_where_the_line_crosses() -> None:
    for pair in find_joined_shapes("F", "Am", frets="9-14", limit=200):
        line = pair.line
        cut = len(pair.first.positions)
        assert (line[cut - 1], line[cut]) == (pair.leave, pair.land)
        assert GUITAR.midi_at(pair.land) - GUITAR.midi_at(pair.leave) == pair.step
        assert sorted(line[:cut]) == sorted(pair.first.positions)
        rising = [GUITAR.midi_at(place) for place in line[:cut]]
        assert (rising[0] < rising[-1]) == pair.contour.startswith("up")
        assert set(pair.shared) == set(pair.first.positions) & set(pair.second.positions)


def test_the_smoothest_come_first_and_a_limit_cuts_the_rest() -> None:
    pairs = find_joined_shapes("F", "Am", frets="5-17")
    assert all(a.cost <= b.cost for a, b in pairwise(pairs))
    assert list(find_joined_shapes("F", "Am", frets="5-17", limit=7)) == pairs[:7]


def test_pairs_are_read_as_from_a_list() -> None:
    pairs = find_joined_shapes("F", "Am", frets="9-14")
    whole = list(pairs)
    assert len(whole) == len(pairs)
    assert pairs[-1] == whole[-1]
    assert pairs[2:5] == whole[2:5]
    assert whole[3] in pairs
    with pytest.raises(IndexError):
        pairs[len(pairs)]


def test_a_contour_can_be_kept_to() -> None:
    for contour in CONTOURS:
        pairs = find_joined_shapes("F", "Am", frets="7-14", contour=contour)
        assert pairs
        assert {pair.contour for pair in pairs} == {contour}
    with pytest.raises(NeckError, match="up-down"):
        find_joined_shapes("F", "Am", contour="up-dwn")


def test_two_shapes_under_one_hand_take_no_travel() -> None:
    # Common practice: F and Am in the fifth position lie under one hand.
    first = Shape(find_shapes("F")[0].triad, (Position(4, 7), Position(3, 5), Position(2, 6)))
    pairs = [
        pair
        for pair in find_joined_shapes("F", "Am", frets="5-8")
        if pair.first.positions == first.positions
    ]
    assert pairs
    assert all(pair.travel_mm == 0.0 for pair in pairs)


def test_reasons_are_named() -> None:
    pair = find_joined_shapes("F", "Am", frets="9-14", limit=1)[0]
    said = " / ".join(pair.reasons)
    assert "hand" in said
    assert "at the join" in said
    assert "string at the join" in said
    assert "both lie within frets 9-14" in said
    travelled = ShapePair(pair.first, pair.second, "up-down", 0, 31.4, 0.0)
    assert "the hand travels 31 mm" in travelled.reasons
    assert "the same note again at the join" in travelled.reasons


def test_left_handed_changes_no_pair() -> None:
    right = find_joined_shapes("F", "Am", Guitar(), frets="9-14")
    assert list(find_joined_shapes("F", "Am", Guitar(left_handed=True), frets="9-14")) == list(
        right
    )


def test_no_pair_where_there_is_no_shape() -> None:
    pairs = find_joined_shapes("F", "Am", frets="1-1", notes_per_string=2)
    assert len(pairs) == 0
    assert not pairs


def test_the_way_back_is_that_of_the_line_played_round():
    for pair in find_joined_shapes("D", "F#m", frets="5-12", limit=40, loop=True):
        line = [GUITAR.midi_at(place) for place in pair.line]
        assert pair.back == line[0] - line[-1]


def test_a_loop_is_judged_by_its_way_back_too():
    """Loops lead back better than single joins do, and their price says so to the semitone."""
    once = find_joined_shapes("D", "F#m", limit=20)
    round_ = find_joined_shapes("D", "F#m", limit=20, loop=True)
    assert sum(abs(pair.back) for pair in round_) < sum(abs(pair.back) for pair in once)
    for pair in round_:
        extra = 3.0 * max(0, abs(pair.back) - 4)
        (same,) = [
            one
            for one in find_joined_shapes("D", "F#m", contour=pair.contour)
            if (one.first, one.second) == (pair.first, pair.second)
        ]
        assert pair.cost == pytest.approx(same.cost + extra)
