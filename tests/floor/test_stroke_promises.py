"""What a picking hand can do (rules: common practice, no source), small values by hand.

A downstroke travels towards the treble (string 1), an upstroke towards the bass.
"""

from __future__ import annotations

from fractions import Fraction

import pytest

from lickwright.errors import HandError
from lickwright.lick import Stroke, Technique
from lickwright.lick.picking import Sweep, check_strokes, stroke_report

D, U = Stroke.DOWN, Stroke.UP
PICK, HAMMER, PULL, SLIDE = (
    Technique.PICK,
    Technique.HAMMER_ON,
    Technique.PULL_OFF,
    Technique.SLIDE,
)
Line = list[tuple[int, int]]


def on(*strings: int) -> Line:
    return [(string, 10) for string in strings]


def said(line: Line, strokes: str, *techniques: Technique, policy: str = "sweep") -> list[str]:
    return [str(one) for one in check_strokes(line, strokes, techniques or None, policy=policy)]


@pytest.mark.parametrize(
    ("strings", "strokes", "sentence"),
    [
        (
            (2, 3),
            "DD",
            "Note 2 sweeps against its direction: a downstroke moves towards the treble strings,"
            " but the line goes from string 2 to 3. Play it with an upstroke.",
        ),
        (
            (3, 2),
            "UU",
            "Note 2 sweeps against its direction: an upstroke moves towards the bass strings,"
            " but the line goes from string 3 to 2. Play it with a downstroke.",
        ),
        (
            (3, 1),
            "DD",
            "Note 2 sweeps across a skipped string: from string 3 to 1 in one downstroke."
            " Play it with an upstroke, or on the next string.",
        ),
        (
            (4, 3, 3),
            "DDD",
            "Note 3 is a second note on string 3 inside a sweep of downstrokes."
            " Play one of the two with an upstroke, or hammer on or pull off.",
        ),
    ],
)
def test_what_cannot_be_swept_is_said_with_its_mend(
    strings: tuple[int, ...], strokes: str, sentence: str
) -> None:
    assert said(on(*strings), strokes) == [sentence]


@pytest.mark.parametrize(
    ("strings", "strokes", "notes"),
    [
        ((4, 3, 2), "DDD", []),
        ((2, 3, 4), "UUU", []),
        ((3, 3, 3), "DDD", []),  # repeated downstrokes on one string are a style of their own
        ((4, 3, 3), "DDD", [2]),
        ((3, 3, 2), "DDD", [1]),  # the sweep may come after
        ((4, 3, 3, 3), "DDDD", [2, 3]),
        ((3, 3, 3, 2), "DDDD", [1, 2]),
        ((4, 3, 3, 3, 3, 2), "DDDDDD", [2, 3, 4]),
        ((4, 3, 2, 2), "DDUU", []),  # the sweep ended with the turn: these are two ups
        ((2, 2, 3), "DDU", []),
        ((3, 2, 2, 2), "DDUD", []),
        ((4, 3, 5, 5), "DD-D", []),  # a note without the pick ends the run
        ((2, 2, 3, 4), "D-DD", [3]),
        ((5, 5, 4, 5, 5, 4), "DU DD U D", [3]),
    ],
)
def test_a_second_note_on_a_string_is_wrong_only_where_the_run_sweeps(
    strings: tuple[int, ...], strokes: str, notes: list[int]
) -> None:
    assert [one.note for one in check_strokes(on(*strings), strokes)] == notes


def test_a_run_ends_where_the_pick_had_a_moment() -> None:
    # Down, down on string 3, a hammer-on, then a sweep from string 3: the repeat is beside none.
    line = [(3, 5), (3, 7), (3, 8), (3, 5), (2, 5)]
    techniques = [PICK, PICK, HAMMER, PICK, PICK]
    assert check_strokes(line, "DD-DD", techniques) == []
    # The same after a sweep: the two of string 3 stand apart from it.
    assert check_strokes([(4, 5), (3, 5), (3, 7), (3, 5), (3, 5)], "DD-DD") == []


def test_a_quarter_of_time_lets_the_hand_come_back_and_less_does_not() -> None:
    def count(gap: Fraction) -> int:
        return len(check_strokes(on(4, 2), "DD", onsets=[Fraction(0), gap]))

    assert count(Fraction(1)) == 0
    assert count(Fraction(7, 8)) == 1


def test_under_down_an_upstroke_is_wrong_and_nothing_else() -> None:
    assert said(on(4, 2, 2), "DDU", policy="down") == [
        "Note 3 is an upstroke in a line of downstrokes. Play it down."
    ]
    assert said(on(1, 3, 3), "DDD", policy="down") == []


def test_under_alternate_equal_strokes_are_wrong_also_where_they_sweep() -> None:
    assert said(on(3, 2, 2), "DDU", policy="alternate") == [
        "Note 2 repeats the downstroke of the note before it where strokes alternate strictly."
        " Play it with an upstroke."
    ]
    assert said(on(1, 1), "UU", policy="alternate") == [
        "Note 2 repeats the upstroke of the note before it where strokes alternate strictly."
        " Play it with a downstroke."
    ]
    assert said(on(2, 3, 1), "DUD", policy="alternate") == []
    assert said(on(3, 3, 3), "D-D", policy="alternate") == []


@pytest.mark.parametrize(
    ("way", "before", "after", "right"),
    [
        (HAMMER, 5, 7, True),
        (HAMMER, 5, 6, True),
        (HAMMER, 5, 5, False),  # a finger that is down already cannot be hammered on
        (HAMMER, 7, 5, False),
        (PULL, 7, 5, True),
        (PULL, 5, 4, True),
        (PULL, 5, 5, False),
        (PULL, 5, 7, False),
        (SLIDE, 5, 7, True),
        (SLIDE, 7, 5, True),
    ],
)
def test_a_hammer_on_goes_up_and_a_pull_off_goes_down(
    way: Technique, before: int, after: int, right: bool
) -> None:
    problems = check_strokes([(3, before), (3, after)], "D-", [PICK, way])
    assert [one.note for one in problems] == ([] if right else [1])


def test_slurs_gone_wrong_are_said() -> None:
    assert said([(3, 5), (3, 5)], "D-", PICK, HAMMER) == [
        "Note 2 is a hammer-on from fret 5 to fret 5."
        " A hammer-on goes to a higher fret of its string."
    ]
    assert said([(3, 5), (3, 7)], "D-", PICK, PULL) == [
        "Note 2 is a pull-off from fret 5 to fret 7. A pull-off goes to a lower fret of its string."
    ]
    assert said([(3, 5), (2, 7)], "D-", PICK, HAMMER) == [
        "Note 2 is a hammer-on, but no note on string 2 comes just before it. Pick the note."
    ]
    assert said([(3, 5)], "-", HAMMER) == [
        "Note 1 is a hammer-on, but no note on string 3 comes just before it. Pick the note."
    ]
    # Just before it, not two notes before.
    assert len(said([(3, 5), (2, 5), (3, 7)], "DU-", PICK, PICK, HAMMER)) == 1


def test_stroke_and_technique_must_agree() -> None:
    assert said([(3, 5), (3, 7)], "DU", PICK, HAMMER) == [
        "Note 2 is a hammer-on and is given an upstroke. Write - in its place, or pick the note."
    ]
    assert said([(3, 5), (3, 7)], "D-", PICK, PICK) == [
        "Note 2 is picked but has no stroke. Give it D or U."
    ]
    assert said([(3, 5), (3, 7)], "D-") == []  # without techniques, no stroke means not picked


def test_problems_come_in_the_order_of_the_notes() -> None:
    line: Line = [(3, 5), (4, 5), (4, 5)]
    assert [one.note for one in check_strokes(line, "DD-", [PICK, PICK, HAMMER])] == [1, 2]


def test_every_note_needs_its_stroke_and_a_place() -> None:
    with pytest.raises(HandError, match="1 strokes for 2 notes"):
        check_strokes(on(1, 2), [D])
    with pytest.raises(HandError, match="1 techniques for 2 notes"):
        check_strokes(on(1, 2), "DU", [PICK])


# --------------------------------------------------------------------------------------- report


def test_string_changes_are_told_apart() -> None:
    # 3 down to 2 up: from without.  2 up to 3 down: the pair is again attacked from without.
    # 3 down to 4 up: from between.  4 up to 2 down: over a string, from between.
    report = stroke_report(on(3, 2, 3, 4, 2, 2), "DUDUDU")
    assert (report.outside, report.inside, report.skipped) == ((1, 2), (3, 4), (4,))
    assert (report.picked, report.sweeps, report.turns) == (6, (), ())


def test_sweeps_are_counted_whole_with_their_turns() -> None:
    report = stroke_report(on(4, 3, 2, 3, 4), "DDDUU")
    assert report.sweeps == (Sweep(0, 2, D), Sweep(3, 4, U))
    assert [sweep.notes for sweep in report.sweeps] == [3, 2]
    assert report.turns == (3,)


def test_a_sweep_that_ends_turns_once_and_a_repeat_is_no_turn() -> None:
    assert stroke_report(on(3, 2, 2, 2), "DDUD").turns == (2,)
    assert stroke_report(on(3, 2, 2), "DDD").turns == ()
    assert stroke_report(on(3, 3, 3), "DUD").turns == ()


def test_two_sweeps_apart_are_two() -> None:
    report = stroke_report(on(4, 3, 3, 4, 3), "DD-DD")
    assert report.sweeps == (Sweep(0, 1, D), Sweep(3, 4, D))
    assert report.picked == 4
    touching = stroke_report(on(3, 2, 4, 3), "DDDD")  # the lift back between parts them
    assert touching.sweeps == (Sweep(0, 1, D), Sweep(2, 3, D))


def test_what_falls_on_the_beat_by_its_stroke() -> None:
    eighths = [Fraction(n, 2) for n in range(5)]
    report = stroke_report(on(1, 1, 1, 1, 1), "DUUD-", onsets=eighths)
    assert (report.down_on_beat, report.up_on_beat) == ((0,), (2,))
    in_six_eight = stroke_report(on(1, 1, 1, 1, 1), "DUUUD", onsets=eighths, beat=Fraction(3, 2))
    assert (in_six_eight.down_on_beat, in_six_eight.up_on_beat) == ((0,), (3,))
    without = stroke_report(on(1, 1), "DU")
    assert (without.down_on_beat, without.up_on_beat) == ((), ())
