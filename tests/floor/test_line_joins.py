"""What a join between two chords' lines costs (weights: common practice, no source).

Weights are judgements: what is tested is which of two joins is dearer, in which unit a cost grows,
and what no pick can do.
"""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

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
from lickwright.lick import Stroke
from lickwright.lick.picking import Picking, StrokeCosts

D, U = Stroke.DOWN, Stroke.UP
#: Standard tuning, string 1 first; the index finger 100 tenths of a mm further at each fret.
OPEN = (64, 59, 55, 50, 45, 40)
HAND = tuple(range(0, 2500, 100))
POINTS = StrokeCosts()
#: String, stroke and the name of what the picked notes around it do.
PickedEnd = tuple[int, Stroke | None, str]


def apart() -> CarryCosts:
    """Weights by which a sum tells what is in it."""
    return CarryCosts(
        travel=10,
        leap=1_000,
        far_leap=10_000,
        unanswered=1_000_000,
        same_note=7,
        wide_string_change=100_000,
        stroke=1,
    )


def joins(picking: Picking = Picking.SWEEP, costs: CarryCosts | None = None) -> Joins:
    return Joins(OPEN, HAND, picking, costs or apart(), POINTS)


def end(
    string: int = 3,
    fret: int = 5,
    hand: int = 5,
    stroke: Stroke | None = None,
    run: str | None = None,
) -> End:
    free = RunEnd.FREE if stroke is None else RunEnd.PLAIN
    return End(hand, string, fret, stroke, free if run is None else RunEnd[run])


def terms(leave: End, enter: End) -> dict[str, int]:
    found = joins().terms(leave, enter)
    assert found is not None
    return found


# ------------------------------------------------------------------------------------ left hand


def test_the_hand_pays_for_its_way_in_tenths_of_a_millimetre() -> None:
    # From fret 5 to 8: 300 tenths, at ten tenths a millimetre 300.
    assert terms(end(hand=5), end(hand=8))["travel"] == 300
    assert terms(end(hand=8), end(hand=5))["travel"] == 300
    assert terms(end(), end())["travel"] == 0
    double = joins(costs=replace(apart(), travel=20)).terms(end(hand=5), end(hand=8))
    assert double is not None
    assert double["travel"] == 600


def test_a_whole_step_is_no_leap_and_each_half_step_beyond_counts() -> None:
    leaps = [terms(end(fret=5), end(fret=5 + step))["leap"] for step in range(6)]
    assert leaps == [0, 0, 0, 1_000, 2_000, 13_000]  # beyond a major third on top of that
    assert terms(end(fret=9), end(fret=5))["leap"] == 2_000  # downwards as well


def test_a_leap_beyond_a_third_is_answered_the_other_way() -> None:
    def price(step: int, turn: int) -> int:
        leave, enter = end(fret=9), replace(end(fret=9 + step), turn=turn)
        matrix = joins().matrix(np.array([leave.code]), np.array([enter.code]))
        found = terms(leave, enter)
        assert matrix[0, 0] == sum(found.values())
        return found["leap not answered"]

    assert price(5, 1) == price(-5, -1) == 1_000_000
    assert price(5, -1) == price(-5, 1) == price(5, 0) == 0
    assert price(4, 1) == price(-4, -1) == 0  # a third asks for no answer


def test_a_step_is_heard_and_not_seen() -> None:
    # String 3, fret 9 is E4, as string 2, fret 5 is; string 2 open is B3, fret 4 of string 3.
    same = terms(end(3, 9), end(2, 5))
    assert (same["same note"], same["leap"]) == (7, 0)
    assert terms(end(3, 4), end(2, 0))["same note"] == 7
    assert terms(end(3, 9), end(2, 6))["same note"] == 0


def test_a_string_jumped_over_counts_once_each() -> None:
    wide = [terms(end(1), end(string))["wide string change"] for string in range(1, 5)]
    assert wide == [0, 0, 100_000, 200_000]
    assert terms(end(4), end(1))["wide string change"] == 200_000


def test_the_weights_say_what_is_worse() -> None:
    costs = CarryCosts()
    assert all(getattr(costs, field.name) > 0 for field in fields(CarryCosts))
    # A new note is worth a centimetre of travel at least to one that only repeats.
    assert costs.leap > costs.same_note > costs.wide_string_change
    # What the ear is told outweighs the hand: contradicted, then nearly borne out, then a lesser
    # reading; the line bent is the last resort.
    order = (costs.bent, costs.contradicted, costs.nearly, costs.not_itself, costs.other_triads)
    assert list(order) == sorted(order, reverse=True)
    assert len(set(order)) == 5
    assert costs.other_triads > costs.lesser_reading > costs.other_quality
    assert costs.new_strokes == costs.nearly
    # A millimetre of hand travel is ten tenths of a millimetre.
    assert costs.travel == 10


# -------------------------------------------------------------------------------------- picking


def points(
    leave: PickedEnd,
    enter: PickedEnd,
    picking: Picking = Picking.SWEEP,
) -> int | None:
    return stroke_join_points(
        (*leave[:2], RunEnd[leave[2]]), (*enter[:2], RunEnd[enter[2]]), picking, POINTS
    )


P, R, S, F, W = "PLAIN", "REPEATS", "SWEEPS", "FREE", "WHOLE"


@pytest.mark.parametrize(
    ("leave", "enter", "cost"),
    [
        ((3, D, P), (3, U, P), 0),  # alternate on one string
        ((3, None, F), (1, U, P), 0),
        ((3, D, P), (1, None, F), 0),
        ((3, D, F), (5, D, P), 0),  # a rest between: the hand goes where it likes
        ((3, D, P), (5, D, F), 0),
        ((3, D, P), (2, D, P), POINTS.sweep_start),
        ((3, D, S), (2, D, P), POINTS.sweep_start),
        ((3, D, R), (2, D, P), None),  # a second note on a string inside a sweep
        ((3, D, P), (2, D, R), None),
        ((3, D, P), (3, D, P), POINTS.recover),
        ((3, D, R), (3, D, R), POINTS.recover),
        ((3, D, S), (3, D, P), None),
        ((3, D, P), (3, D, S), None),
        ((3, D, P), (4, D, P), None),  # against its direction
        ((3, D, P), (1, D, P), None),  # across a skipped string
        ((3, D, W), (2, D, P), None),
        ((3, D, P), (2, D, W), None),
        ((3, D, W), (3, U, W), 0),
        ((3, D, P), (2, U, P), POINTS.outside),
        ((2, D, P), (3, U, P), POINTS.inside),
        ((3, D, P), (1, U, P), POINTS.outside + POINTS.skip),
        ((1, D, P), (4, U, P), POINTS.inside + 2 * POINTS.skip),
        ((3, D, S), (2, U, P), POINTS.outside + POINTS.turn),
        ((3, D, P), (2, U, S), POINTS.outside),  # a sweep that begins turns nothing
    ],
)
def test_the_picks_way_over_a_join(
    leave: PickedEnd,
    enter: PickedEnd,
    cost: int | None,
) -> None:
    assert points(leave, enter) == cost


def test_styles() -> None:
    assert points((3, D, P), (5, D, P), Picking.DOWN) == 0
    assert points((3, D, P), (3, D, P), Picking.ALTERNATE) is None
    assert points((3, D, P), (2, D, P), Picking.ALTERNATE) is None
    assert points((3, D, P), (2, U, P), Picking.ALTERNATE) == POINTS.outside


def test_what_no_pick_can_go_has_no_price() -> None:
    across, on = end(1, stroke=D), end(3, stroke=D)
    assert joins().terms(on, across) is None
    swept = joins(costs=replace(apart(), stroke=3)).terms(on, end(2, stroke=D))
    assert swept is not None
    assert swept["strokes"] == 3 * POINTS.sweep_start


# ----------------------------------------------------------------------------------------- runs


@pytest.mark.parametrize(
    ("strings", "strokes", "ends"),
    [
        ((), (), (F, F)),
        ((3, 3, 2), (D, U, D), (P, P)),
        ((3, 3, 2), (D, D, U), (R, P)),
        ((3, 2, 2), (D, D, U), (S, P)),
        ((3, 3, 2), (U, D, D), (P, S)),
        ((3, 2, 2), (U, D, D), (P, R)),
        ((3, 2), (D, D), (W, W)),
        ((3,), (U,), (W, W)),
        ((3, 3, 2), (None, D, U), (F, P)),
        ((3, 3, 2), (D, U, None), (P, F)),
        ((3, 3, 3), (D, None, D), (P, P)),
        ((3, 3), (None, None), (F, F)),
    ],
)
def test_what_the_picked_notes_at_both_ends_do(
    strings: tuple[int, ...], strokes: tuple[Stroke | None, ...], ends: tuple[str, str]
) -> None:
    assert tuple(one.name for one in run_ends(strings, strokes)) == ends


# ---------------------------------------------------------------------------------------- codes


def test_every_end_has_a_code_of_its_own() -> None:
    ends = [
        End(hand, string, fret, stroke, run)
        for hand in (0, 1, 24)
        for string in (1, 6, 9)
        for fret in (0, 1, 36)
        for stroke in (None, D, U)
        for run in RunEnd
    ]
    assert len({one.code for one in ends}) == len(ends)
    for one in ends[::7]:
        hand, string, fret = (np.array([n]) for n in (one.hand, one.string, one.fret))
        whole = place_codes(hand, string, fret)[0] | pick_code(one.stroke, one.run)
        assert whole == one.code
    assert max(pick_code(stroke, run) for stroke in (None, D, U) for run in RunEnd) < 32


@pytest.mark.parametrize("picking", [Picking.SWEEP, Picking.ALTERNATE, Picking.DOWN])
def test_the_matrix_is_the_sum_of_the_terms(picking: Picking) -> None:
    leaves = [
        *(end(3, 5, 5), end(3, 5, 5, D), end(6, 0, 1, U, S), end(1, 12, 9, D, R)),
        *(end(2, 9, 7, D, W), end(4, 7, 6, U)),
    ]
    enters = [
        *(end(3, 5, 5), end(2, 5, 5, D), end(3, 6, 5, U, R), end(1, 5, 3, D, S)),
        *(end(5, 3, 2, U, F), end(4, 7, 6, D), end(6, 1, 1, U), end(1, 24, 20, D, W)),
    ]
    priced = joins(picking)
    table = priced.matrix(
        np.array([one.code for one in leaves]), np.array([one.code for one in enters])
    )
    assert table.shape == (len(leaves), len(enters))
    for row, leave in enumerate(leaves):
        for column, enter in enumerate(enters):
            found = priced.terms(leave, enter)
            if found is None:
                assert table[row, column] >= FORBIDDEN
            else:
                assert table[row, column] == sum(found.values())
