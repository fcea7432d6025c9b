"""Contours: known orders (common practice, no source), round trips, joins, clear errors."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.errors import ContourError
from lickwright.lick.phrase.contour import (
    DIRECTIONS,
    GROUPS,
    Contour,
    ContourWay,
    parse_contour,
    trace,
)
from lickwright.neck.instrument import Position

#: Five notes, low to high; the note's number is its fret.
FIVE = [Position(6 - n, n) for n in range(1, 6)]
#: Three notes that begin where FIVE ends.
THREE = [Position(1, 5), Position(1, 6), Position(1, 7)]


def order(text: str, *shapes: list[Position], rounds: int = 1) -> list[int]:
    path = trace(parse_contour(text), shapes or [FIVE], rounds)
    return [note.position.fret for note in path]


@pytest.mark.parametrize(
    ("text", "frets"),
    [
        ("up", [1, 2, 3, 4, 5]),
        ("down", [5, 4, 3, 2, 1]),
        ("up-down", [1, 2, 3, 4, 5, 4, 3, 2, 1]),
        ("down-up", [5, 4, 3, 2, 1, 2, 3, 4, 5]),
        ("up broken", [1, 3, 2, 4, 3, 5, 4]),
        ("down broken", [5, 3, 4, 2, 3, 1, 2]),
        ("up in threes", [1, 2, 3, 2, 3, 4, 3, 4, 5]),
        ("up in fours", [1, 2, 3, 4, 2, 3, 4, 5]),
        ("down in threes", [5, 4, 3, 4, 3, 2, 3, 2, 1]),
        ("up in fives", [1, 2, 3, 4, 5]),
        ("up from 2", [2, 3, 4, 5, 1]),
        ("down from 3", [3, 2, 1, 5, 4]),
        ("up turn", [1, 2, 3, 4, 5, 4, 5]),
        ("up-down turn", [1, 2, 3, 4, 5, 4, 5, 4, 3, 2, 1]),
        ("UP,", [1, 2, 3, 4, 5]),
    ],
)
def test_one_shape(text: str, frets: list[int]) -> None:
    assert order(text) == frets


def test_each_shape_takes_its_way_in_turn() -> None:
    assert order("up down", FIVE, THREE) == [1, 2, 3, 4, 5, 7, 6, 5]
    assert order("up", FIVE, THREE) == [1, 2, 3, 4, 5, 6, 7]  # the shared note is struck once
    assert order("up, down broken", FIVE, THREE) == [1, 2, 3, 4, 5, 7, 5, 6]
    shapes = [note.shape for note in trace(parse_contour("up down"), [FIVE, THREE])]
    assert shapes == [0] * 5 + [1] * 3


def test_from_nearest_starts_where_the_hand_lands() -> None:
    assert order("up, down from nearest", FIVE, [Position(2, 3), Position(1, 6), Position(1, 9)])[
        5:
    ] == [6, 3, 9]


def test_rounds_run_on_without_doubling_the_joint() -> None:
    assert order("up-down", THREE, rounds=2) == [5, 6, 7, 6, 5, 6, 7, 6, 5]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "empty"),
        ("upp", "Did you mean 'up'?"),
        ("up dwon", "Did you mean 'down'?"),
        ("broken", "starts with 'broken'"),
        ("up in", "'in'"),
        ("up in twos", "in threes"),
        ("up from", "'from'"),
        ("up from -1", "'from -1'"),
        ("up from " + "9" * 5000, "'from 999"),
        ("up turn turn", "'turn' twice"),
        ("up broken in threes", "broken and in groups"),
        ("sideways", "no contour word"),
    ],
)
def test_bad_contours_say_what_is_wrong(text: str, words: str) -> None:
    with pytest.raises(ContourError) as raised:
        parse_contour(text)
    assert words in str(raised.value)


@pytest.mark.parametrize(
    ("text", "shapes", "words"),
    [
        ("up in sixes", [FIVE], "needs 6 notes, but shape 1 has 5"),
        ("up from 9", [FIVE], "starts from note 9"),
        ("up broken", [FIVE, FIVE[:2]], "needs 3 notes, but shape 2 has 2"),
        ("up", [], "no shape"),
        ("up", [[]], "shape 1 has no notes"),
    ],
)
def test_shapes_too_small_are_named(text: str, shapes: list[list[Position]], words: str) -> None:
    with pytest.raises(ContourError) as raised:
        trace(parse_contour(text), shapes)
    assert words in str(raised.value)


plain = st.builds(
    ContourWay,
    st.sampled_from(DIRECTIONS),
    st.sampled_from([0, *GROUPS.values()]),
    st.just(False),
    st.integers(0, 9),
    st.booleans(),
)
broken = st.builds(
    ContourWay, st.sampled_from(DIRECTIONS), st.just(0), st.just(True), st.just(1), st.booleans()
)


@given(st.lists(st.one_of(plain, broken), min_size=1, max_size=4))
def test_reading_what_is_printed_gives_the_same_contour(ways: list[ContourWay]) -> None:
    contour = Contour(tuple(ways))
    assert parse_contour(str(contour)) == contour


@given(st.lists(st.one_of(plain, broken), min_size=1, max_size=4), st.integers(1, 3))
def test_every_note_of_each_shape_is_played_and_none_twice_running(
    ways: list[ContourWay], rounds: int
) -> None:
    shapes = [
        [Position(6 - n, n + 10 * shape) for n in range(6)] + [Position(1, 9 + 10 * shape)]
        for shape in range(2)
    ]
    try:
        path = trace(Contour(tuple(ways)), shapes, rounds)
    except ContourError:
        assert any(way.start > len(shapes[0]) for way in ways)
        return
    places = [note.position for note in path]
    assert set(places) == set(shapes[0]) | (set(shapes[1]))
    assert all(one != two for one, two in pairwise(places))


@given(st.sampled_from(DIRECTIONS), st.integers(3, 8))
def test_down_is_up_read_backwards(direction: str, size: int) -> None:
    shape = [Position(1, n) for n in range(size)]
    there = {"up": "down", "down": "up", "up-down": "up-down", "down-up": "down-up"}[direction]
    forwards = [n.position for n in trace(parse_contour(direction), [shape])]
    backwards = [n.position for n in trace(parse_contour(there), [shape])]
    assert forwards == backwards[::-1]
