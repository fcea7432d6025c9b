"""Joins: the table of prices against each price alone, and the strokes against the stroke room."""

from __future__ import annotations

import itertools

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from lickwright.changes.hand_places import HandPlaces
from lickwright.changes.joins import (
    CarryCosts,
    End,
    Joins,
    RunEnd,
    pick_code,
    place_codes,
    run_ends,
    stroke_join_points,
)
from lickwright.changes.paths import FORBIDDEN
from lickwright.lick.notes import Stroke
from lickwright.lick.pick_motion import Picking
from lickwright.lick.strokes import StrokeCosts, check_strokes
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import HANDS

GUITAR = Guitar()
OPEN_MIDI = tuple(GUITAR.midi_at(Position(string, 0)) for string in range(1, 7))
TENTHS = HandPlaces(GUITAR, HANDS["medium"]).tenths

ENDS = st.builds(
    End,
    st.integers(1, 24),
    st.integers(1, 6),
    st.integers(0, 24),
    st.sampled_from([None, Stroke.DOWN, Stroke.UP]),
    st.sampled_from(list(RunEnd)),
)


@given(st.lists(ENDS, min_size=1, max_size=8), st.lists(ENDS, min_size=1, max_size=8),
       st.sampled_from(list(Picking)))  # fmt: skip
def test_the_table_holds_the_sum_of_the_terms(leaves, enters, picking):
    joins = Joins(OPEN_MIDI, TENTHS, picking, CarryCosts(), StrokeCosts())
    table = joins.matrix(
        np.array([end.code for end in leaves]), np.array([end.code for end in enters])
    )
    for (i, leave), (j, enter) in itertools.product(enumerate(leaves), enumerate(enters)):
        terms = joins.terms(leave, enter)
        if terms is None:
            assert table[i, j] >= FORBIDDEN
        else:
            assert table[i, j] == sum(terms.values())


@given(ENDS)
def test_codes_are_the_hand_and_the_pick_packed(end):
    hand, string, fret = (np.array([n], dtype=np.int64) for n in (end.hand, end.string, end.fret))
    assert place_codes(hand, string, fret)[0] | pick_code(end.stroke, end.run) == end.code


LINES = st.lists(
    st.tuples(st.integers(1, 6), st.sampled_from([Stroke.DOWN, Stroke.UP])),
    min_size=1,
    max_size=5,
)


@given(LINES, LINES, st.sampled_from([Picking.SWEEP, Picking.ALTERNATE, Picking.DOWN]))
def test_a_join_is_open_just_where_the_stroke_check_finds_nothing_new(before, after, picking):
    """Two lines that are right alone are right together, exactly where the join has a price."""

    def problems(line):
        positions = [Position(string, 5) for string, _ in line]
        return check_strokes(positions, [stroke for _, stroke in line], policy=picking)

    if problems(before) or problems(after):
        return
    (*_, (string, stroke)), ((next_string, next_stroke), *_) = before, after
    _, last = run_ends([s for s, _ in before], [s for _, s in before])
    first, _ = run_ends([s for s, _ in after], [s for _, s in after])
    price = stroke_join_points(
        (string, stroke, last), (next_string, next_stroke, first), picking, StrokeCosts()
    )
    assert (price is not None) == (not problems(before + after))
