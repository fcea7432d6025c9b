"""The hand's swing (common practice, no source): which stroke each note of a rhythm has."""

from __future__ import annotations

from fractions import Fraction

import pytest

from lickwright.lick import Stroke
from lickwright.lick.picking import HandSwing, check_strokes, even_techniques, hand_swing

D, U = Stroke.DOWN, Stroke.UP
F = Fraction


def swing_of(*onsets: Fraction | int | str, **more: object) -> str:
    times = [F(onset) for onset in onsets]
    return "".join(hand.stroke for hand in hand_swing(times, **more))  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("onsets", "strokes"),
    [
        ((0, 1, 2), "DDD"),
        ((0, "1/2", 1, "3/2"), "DUDU"),
        ((0, "1/4", "1/2", "3/4", 1), "DUDUD"),
        ((0, "1/8", "1/4", "1/2"), "DUDD"),  # in thirty-seconds a sixteenth is a way down too
        ((0, "1/2", "3/4"), "DDU"),
        ((0, "1/4", "1/2"), "DUD"),
        ((0, "1/4", "3/4"), "DUU"),
        ((0, "3/4"), "DU"),
        (("1/2", "5/2"), "UU"),
        (("1/4", "3/4"), "UU"),
        ((-1, "-1/2", 0), "DUD"),  # a pickup counts back from the bar line
    ],
)
def test_down_falls_on_the_beat_and_on_the_and_of_sixteenths(
    onsets: tuple[int | str, ...], strokes: str
) -> None:
    assert swing_of(*onsets) == strokes


@pytest.mark.parametrize(
    ("onsets", "strokes"),
    [
        ((0, "1/3", "2/3", 1, "4/3", "5/3", 2), "DUDUDUD"),
        ((0, "1/5", "2/5", "3/5", "4/5", 1), "DUDUDU"),
        ((0, "1/6", "1/3", "1/2", "2/3", "5/6", 1), "DUDUDUD"),  # six to a beat are even
        ((0, "2/3", 1, "5/3", 2), "DUDUD"),  # swung eighths are eighths
        ((0, "1/3", "2/3", 2, "7/3", "8/3"), "DUDDUD"),  # a beat of rest, and down again
        ((0, "1/3", "2/3", 1, "3/2", 2), "DUDUDU"),  # half a beat is not enough for that
        ((0, "1/3", "2/3", 1, "7/4"), "DUDUD"),  # the turned beat stays flipped to its end
        ((0, "2/3", "4/3", 2, "8/3", "10/3", 4), "DUDUDUD"),  # three over two beats
        ((0, "2/3", "4/3", "5/3"), "DUUD"),  # what is no such three is read beat by beat
    ],
)
def test_beats_of_an_odd_number_run_on(onsets: tuple[int | str, ...], strokes: str) -> None:
    assert swing_of(*onsets) == strokes


def test_beats_may_be_long_or_of_different_length() -> None:
    eighths = [F(n, 2) for n in range(7)]
    assert swing_of(*eighths[:6], beat=F(3, 2)) == "DUDUDU"
    assert swing_of(0, 1, "3/2", "5/2", beat=F(3, 2)) == "DUDU"  # a long and a short one
    uneven = (F(1), F(1), F(3, 2))
    assert swing_of(*eighths, F(7, 2), beat=uneven) == "DUDUDUDU"
    marks = [hand.on_beat for hand in hand_swing([*eighths, F(7, 2)], uneven)]
    assert marks == [True, False, True, False, True, False, False, True]


def test_a_note_on_a_beat_is_marked_so() -> None:
    assert hand_swing([F(0), F(1, 2)]) == (HandSwing(D, True), HandSwing(U, False))
    triplet = hand_swing([F(0), F(2, 3), F(4, 3), F(2)])
    assert [hand.on_beat for hand in triplet] == [True, False, False, True]
    assert hand_swing([]) == ()


def test_the_stroke_that_is_asked_for_turns_all_round() -> None:
    assert swing_of(0, "1/2", "3/4", 2, start=U) == "UUDU"
    assert swing_of(0, "1/2", "3/4", 2, start=D) == "DDUD"
    assert swing_of("1/2", 1, start=U) == "UD"


def test_the_check_lets_the_hand_swing_back() -> None:
    gallop = [F(0), F(1, 2), F(3, 4)]
    low = [(6, 0), (6, 0), (5, 2)]
    assert check_strokes(low, "DDU", onsets=gallop, policy="alternate") == []
    evens = [F(0), F(1, 2), F(1)]
    assert [p.note for p in check_strokes(low, "DDU", onsets=evens, policy="alternate")] == [1]
    back = [(5, 0), (6, 0), (6, 2)]
    assert check_strokes(back, "DDU", onsets=gallop) == []
    assert [p.note for p in check_strokes(back, "DDU", onsets=evens)] == [1]
    # In 6/8 the same three notes are even.
    assert len(check_strokes(back, "DDU", onsets=[F(0), F(1, 2), F(1)], beat=F(3, 2))) == 1


@pytest.mark.parametrize(
    ("line", "slurred"),
    [
        ([(4, 5), (4, 7), (4, 9), (3, 5), (3, 7)], [2]),
        ([(4, 9), (4, 7), (4, 5), (3, 5), (3, 7)], [2]),
        ([(4, 5), (4, 7), (4, 7), (3, 5), (3, 7)], [1]),  # the last one is on the same fret
        ([(4, 5), (4, 5), (4, 5), (3, 5)], []),  # nothing to slur
        ([(4, 5), (3, 5), (2, 5)], []),
        ([(4, 5), (4, 7), (3, 5), (3, 7), (3, 9), (3, 7), (3, 5)], [6]),
    ],
)
def test_an_odd_string_has_one_note_slurred(
    line: list[tuple[int, int]], slurred: list[int]
) -> None:
    ways = even_techniques(line)
    assert [at for at, way in enumerate(ways) if way != "pick"] == slurred
    for at in slurred:
        rises = line[at][1] > line[at - 1][1]
        assert ways[at] == ("hammer-on" if rises else "pull-off")


def test_a_rest_parts_the_notes_of_a_string() -> None:
    line = [(4, 5), (4, 7), (4, 9)]
    assert even_techniques(line, onsets=[F(0), F(1, 2), F(3, 2)])[2] == "pick"
    assert even_techniques(line, onsets=[F(0), F(1, 2), F(1)])[2] == "hammer-on"
