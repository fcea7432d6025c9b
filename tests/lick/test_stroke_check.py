"""The teacher's own strokes: what is wrong is said by note (rules: common practice, no source)."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.errors import HandError
from lickwright.lick.notes import Stroke, Technique
from lickwright.lick.picking.check import Sweep, check_strokes, stroke_report
from lickwright.lick.picking.strokes import assign_strokes
from lickwright.lick.picking.text import mirror_strokes, parse_strokes

D, U = Stroke.DOWN, Stroke.UP
PICK, HAMMER, PULL = Technique.PICK, Technique.HAMMER_ON, Technique.PULL_OFF


def on_strings(*strings: int) -> list[tuple[int, int]]:
    return [(string, 10) for string in strings]


@pytest.mark.parametrize(
    ("strings", "strokes", "wrong"),
    [
        # The two check values of the trade are right as they stand.
        ((4, 4, 3, 2, 1), "UDDDU", {}),
        ((1, 1, 2, 3, 4), "DUUUD", {}),
        # Against the direction: a downstroke goes towards the treble, an upstroke to the bass.
        ((3, 4, 5), "DDU", {1: "against its direction"}),
        ((4, 3), "UU", {1: "against its direction"}),
        ((2, 5), "DD", {1: "against its direction"}),
        # Across a skipped string.
        ((4, 2, 1), "DDD", {1: "across a skipped string"}),
        ((1, 3), "UU", {1: "across a skipped string"}),
        # A second note on a string inside the sweep: at its start, middle and end.
        ((4, 4, 3), "DDD", {1: "second note on string 4"}),
        ((4, 3, 3, 2), "DDDD", {2: "second note on string 3"}),
        ((4, 3, 3), "DDD", {2: "second note on string 3"}),
        ((1, 2, 2, 2), "UUUU", {2: "second note on string 2", 3: "second note on string 2"}),
        # Repeated downs on one string are their own style.
        ((6, 6, 6, 6), "DDDD", {}),
        ((6, 6, 5, 5), "DDUU", {}),
        # Alternation is always sound.
        ((1, 6, 1, 6), "DUDU", {}),
        # A note that is not picked lets the hand come back.
        ((3, 3, 4), "D-D", {}),
    ],
)
def test_wrong_sweeps_are_named_by_note(
    strings: tuple[int, ...], strokes: str, wrong: dict[int, str]
) -> None:
    problems = check_strokes(on_strings(*strings), parse_strokes(strokes))
    assert [problem.note for problem in problems] == list(wrong)
    for problem in problems:
        assert wrong[problem.note] in problem.what
        assert f"ote {problem.note + 1} " in problem.what
        assert problem.mend


def test_a_quarter_of_time_breaks_a_sweep() -> None:
    line, strokes = on_strings(4, 2), parse_strokes("DD")
    assert check_strokes(line, strokes, onsets=[Fraction(0), Fraction(1)]) == []
    assert len(check_strokes(line, strokes, onsets=[Fraction(0), Fraction(1, 2)])) == 1


def test_under_the_down_and_alternate_policies_other_things_are_wrong() -> None:
    line = on_strings(4, 3, 3, 5)
    assert check_strokes(line, parse_strokes("DDDD"), policy="down") == []
    assert [p.note for p in check_strokes(line, parse_strokes("DDUD"), policy="down")] == [2]
    assert [p.note for p in check_strokes(line, parse_strokes("DDUD"), policy="alternate")] == [1]


@pytest.mark.parametrize(
    ("places", "strokes", "techniques", "words"),
    [
        ([(3, 5), (3, 7)], "DD", [PICK, HAMMER], "hammer-on and is given a downstroke"),
        ([(3, 5), (3, 7)], "D-", [PICK, PICK], "is picked but has no stroke"),
        ([(3, 5), (2, 7)], "D-", [PICK, HAMMER], "no note on string 2 comes just before"),
        ([(3, 7), (3, 5)], "D-", [PICK, HAMMER], "hammer-on from fret 7 to fret 5"),
        ([(3, 5), (3, 7)], "D-", [PICK, PULL], "pull-off from fret 5 to fret 7"),
    ],
)
def test_contradictions_of_stroke_and_technique(
    places: list[tuple[int, int]], strokes: str, techniques: list[Technique], words: str
) -> None:
    problems = check_strokes(places, parse_strokes(strokes), techniques)
    assert [problem.note for problem in problems] == [1]
    assert words in problems[0].what


def test_lengths_must_agree() -> None:
    with pytest.raises(HandError, match="2 strokes for 3 notes"):
        check_strokes(on_strings(1, 2, 3), [D, U])


def test_the_report_counts_what_the_hand_does() -> None:
    strings = (5, 4, 3, 2, 1, 2, 3, 4, 5, 3)
    strokes = parse_strokes("DDDDUUUUDU")
    report = stroke_report(
        on_strings(*strings), strokes, onsets=[Fraction(n, 4) for n in range(10)]
    )
    assert report.sweeps == (Sweep(0, 3, D), Sweep(4, 7, U))
    assert [sweep.notes for sweep in report.sweeps] == [4, 4]
    assert report.turns == (4, 8)
    assert report.outside == (4, 8, 9)
    assert report.inside == ()
    assert report.skipped == (9,)
    assert report.down_on_beat == (0, 8)
    assert report.up_on_beat == (4,)
    assert report.picked == 10


@given(st.lists(st.tuples(st.integers(1, 6), st.sampled_from([D, U, None])), max_size=20))
def test_mirrored_strokes_have_mirrored_problems(notes: list[tuple[int, Stroke | None]]) -> None:
    strokes = [stroke for _, stroke in notes]
    here = check_strokes(on_strings(*(s for s, _ in notes)), strokes)
    there = check_strokes(on_strings(*(7 - s for s, _ in notes)), mirror_strokes(strokes))
    assert [problem.note for problem in here] == [problem.note for problem in there]


@given(st.lists(st.integers(1, 6), min_size=1, max_size=20))
def test_every_string_change_is_a_sweep_or_inside_or_outside(strings: list[int]) -> None:
    line = on_strings(*strings)
    report = stroke_report(line, assign_strokes(line))
    changes = sum(one != two for one, two in pairwise(strings))
    swept = sum(sweep.notes - 1 for sweep in report.sweeps)
    assert len(report.inside) + len(report.outside) + swept == changes
