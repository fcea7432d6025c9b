"""Stretches that a hand does not have."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from lickwright.lick.hands.reach import check_reach
from lickwright.lick.notes import LickNote, Stroke, Technique
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import hand_profile
from lickwright.theory.pitch import parse_pitch

GUITAR = Guitar()


def line(*places: tuple[int, int], strokes: str, fingers: str = "") -> list[LickNote]:
    return [
        LickNote(
            Position(string, fret),
            parse_pitch("C4"),
            Fraction(at, 4),
            Fraction(1, 4),
            finger=int(fingers[at]) if fingers else None,
            stroke=Stroke(strokes[at]),
        )
        for at, (string, fret) in enumerate(places)
    ]


def test_a_sweep_over_a_wide_gap_is_out_of_reach() -> None:
    (problem,) = check_reach(line((3, 2), (2, 9), (1, 10), strokes="DDD"), GUITAR)
    assert problem.note == 1
    # Places by the published fret rule, the finger a quarter of a fret behind the wire.
    wire = [648 * (1 - 2 ** (-fret / 12)) for fret in range(10)]
    place = {fret: wire[fret] - (wire[fret] - wire[fret - 1]) / 4 for fret in (2, 9)}
    assert f"{place[9] - place[2]:.0f} mm apart" in problem.what
    assert problem.mend


def test_the_same_gap_is_fine_where_the_pick_turns_or_a_string_is_open() -> None:
    assert not check_reach(line((3, 2), (2, 9), strokes="DU"), GUITAR)
    assert not check_reach(line((3, 0), (2, 14), strokes="DD"), GUITAR)


def test_the_same_gap_is_shorter_up_the_neck() -> None:
    assert check_reach(line((2, 1), (1, 7), strokes="DD"), GUITAR)
    assert not check_reach(line((2, 13), (1, 19), strokes="DD"), GUITAR)


def test_pinned_fingers_reach_no_further_than_their_pair() -> None:
    notes = line((2, 5), (1, 9), strokes="DD", fingers="12")
    assert not check_reach(notes, GUITAR)
    (problem,) = check_reach(notes, GUITAR, pinned=(0, 1))
    assert "index finger and middle finger" in problem.what
    assert f"{hand_profile('medium').greatest(1, 2):.0f} mm" in problem.what


@pytest.mark.parametrize("technique", [Technique.HAMMER_ON, Technique.PULL_OFF])
def test_a_slur_must_lie_under_the_hand(technique: Technique) -> None:
    first, second = line((2, 1), (2, 12), strokes="DD")
    slurred = [first, replace(second, stroke=None, technique=technique)]
    (problem,) = check_reach(slurred, GUITAR)
    assert technique.value in problem.what
    assert not check_reach([first, replace(second, technique=Technique.SLIDE)], GUITAR)


def test_a_larger_hand_reaches_further() -> None:
    notes = line((2, 5), (1, 10), strokes="DD")
    found = [len(check_reach(notes, GUITAR, hand)) for hand in ("small", "medium", "large")]
    assert found == sorted(found, reverse=True)
    assert found[0] > found[2]
