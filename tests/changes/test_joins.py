"""Joins: the table of prices against each price alone, and the strokes against the stroke room."""

from __future__ import annotations

import itertools

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from lickwright.changes.lines.hand_places import HandPlaces
from lickwright.changes.lines.joins import (
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
from lickwright.lick.picking.check import check_strokes
from lickwright.lick.picking.costs import StrokeCosts
from lickwright.lick.picking.motions import Picking
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
STYLES = st.sampled_from([Picking.SWEEP, Picking.ALTERNATE, Picking.DOWN])


def problems(line, picking):
    positions = [Position(string, 5) for string, _ in line]
    return check_strokes(positions, [stroke for _, stroke in line], policy=picking)


def is_open(before, after, picking):
    (*_, (string, stroke)), ((next_string, next_stroke), *_) = before, after
    _, last = run_ends([s for s, _ in before], [s for _, s in before])
    first, _ = run_ends([s for s, _ in after], [s for _, s in after])
    price = stroke_join_points(
        (string, stroke, last), (next_string, next_stroke, first), picking, StrokeCosts()
    )
    return price is not None


@given(LINES, LINES, STYLES)
def test_a_join_is_open_just_where_the_stroke_check_finds_nothing_new(before, after, picking):
    """Two lines that are right alone are right together, exactly where the join has a price.

    A line of equal strokes is left out: see the next test.
    """
    if problems(before, picking) or problems(after, picking):
        return
    if any(len({stroke for _, stroke in line}) == 1 for line in (before, after)):
        return
    assert is_open(before, after, picking) == (not problems(before + after, picking))


@given(st.lists(LINES, min_size=2, max_size=4), STYLES)
def test_lines_with_open_joins_are_right_together(lines, picking):
    if any(problems(line, picking) for line in lines):
        return
    if all(is_open(a, b, picking) for a, b in itertools.pairwise(lines)):
        assert not problems([note for line in lines for note in line], picking)
