"""Tempo ceilings (common practice, no source): which note limits a hand, and in which order.

How many milliseconds a movement takes is a judgement; what is tested is what follows from it:
units, which of two movements is slower, and that what is added is added.
"""

from __future__ import annotations

from dataclasses import fields, replace
from fractions import Fraction
from typing import Any

import pytest

from lickwright.errors import HandError
from lickwright.lick import Stroke
from lickwright.lick.fingering import FingeredNote, NoteCosts
from lickwright.lick.fingering.reasons import CostTerm
from lickwright.lick.hands.player import LEVELS, Player, read_player
from lickwright.lick.hands.tempo import (
    HandSpeeds,
    Need,
    beyond_comfort_mm,
    left_needs,
    lowest_ceiling,
    pick_needs,
)
from lickwright.neck import PAIRS, Position, hand_profile

HAND = hand_profile("medium")
A_QUARTER = Fraction(1)
F = Fraction
D, U = Stroke.DOWN, Stroke.UP

#: Each part takes a time of its own, so that a sum says which parts are in it.
TOLD_APART = HandSpeeds(
    **{
        field.name: (2.0**power,) * len(field.default)
        if isinstance(field.default, tuple)
        else 2.0**power
        for power, field in enumerate(fields(HandSpeeds))
    }
)

PASS_S, TAP_S = TOLD_APART.pass_s[0], TOLD_APART.tap_s[0]


def costs(*terms: str, stretch_mm: float = 0.0, travel_mm: float = 0.0) -> NoteCosts:
    return NoteCosts(tuple(CostTerm(name, 1, "") for name in terms), stretch_mm, travel_mm)


def fingered(*fingers: int) -> list[FingeredNote]:
    return [FingeredNote(Position(1, 5 + finger), finger, 5) for finger in fingers]


def left(
    what: NoteCosts, speeds: HandSpeeds = TOLD_APART, fingers: tuple[int, int] = (1, 2)
) -> Need:
    (need,) = left_needs(
        fingered(*fingers), [costs(), what], [Fraction(0), A_QUARTER], HAND, speeds
    )
    return need


def picks(
    strings: list[int], strokes: list[Stroke | None], speeds: HandSpeeds = TOLD_APART
) -> list[Need]:
    onsets = [Fraction(n, 4) for n in range(len(strings))]
    return pick_needs(strings, strokes, onsets, speeds)


# -------------------------------------------------------------------------------------- ceiling


def test_a_ceiling_is_in_quarters_a_minute() -> None:
    # Sixteenths with 0.1 s each: 600 notes a minute, 150 quarters.
    need = Need(1, 0.1, Fraction(1, 4), "")
    assert need.ceiling_bpm == pytest.approx(150)
    assert need.share(150) == pytest.approx(1)
    assert need.share(75) == pytest.approx(0.5)  # at half the tempo there is twice the time


def test_the_lowest_ceiling_limits_and_the_first_of_equals() -> None:
    slow, slower = Need(1, 0.1, A_QUARTER, ""), Need(2, 0.2, A_QUARTER, "")
    as_slow = Need(3, 0.2, A_QUARTER, "")
    assert lowest_ceiling([slow, slower, as_slow]) is slower
    # The rhythm counts: twice the need in four times the time is no limit.
    assert lowest_ceiling([slow, Need(2, 0.2, Fraction(4), "")]) is slow
    assert lowest_ceiling([]) is None


# ------------------------------------------------------------------------------------ left hand


@pytest.mark.parametrize(
    ("term", "part", "why"),
    [
        ("roll", "roll_s", "one finger rolls to the next string"),
        ("barre", "barre_s", "a finger lies across strings"),
        ("crossed fingers", "crossing_s", "the fingers cross"),
        ("finger swap", "crossing_s", "another finger takes over"),
        ("pivot", "pivot_s", "the hand turns about the thumb"),
    ],
)
def test_what_the_hand_does_adds_its_time_and_is_named(term: str, part: str, why: str) -> None:
    need = left(costs(term))
    assert need.seconds == PASS_S + getattr(TOLD_APART, part)
    assert need.why == why


@pytest.mark.parametrize(
    ("term", "added", "why"),
    [
        ("slide", 0.0, "one finger plays both notes"),
        ("jump", TOLD_APART.jump_s, "one finger leaps to another string"),
    ],
)
def test_one_finger_alone_taps(term: str, added: float, why: str) -> None:
    need = left(costs(term))
    assert (need.seconds, need.why) == (TAP_S + added, why)
    shifting = left(costs(term, "shift", travel_mm=1.0))
    moved = PASS_S + TOLD_APART.shift_s + TOLD_APART.shift_s_per_mm
    assert shifting.seconds == max(TAP_S + added, moved) == moved


def test_a_finger_that_lies_ready_takes_only_its_own_time() -> None:
    need = left(costs("weak finger"))
    assert (need.seconds, need.why) == (PASS_S, "finger after finger")


def test_a_shift_takes_time_and_more_for_each_millimetre() -> None:
    need = left(costs("shift", travel_mm=30.0))
    wanted = PASS_S + TOLD_APART.shift_s + 30 * TOLD_APART.shift_s_per_mm
    assert need.seconds == wanted
    assert need.why == "the hand shifts 30 mm"
    # Travel within a stretch is no shift.
    assert left(costs(travel_mm=30.0)).seconds == PASS_S


def test_a_stretch_counts_only_beyond_comfort() -> None:
    comfort = HAND.comfortable(1, 2)
    assert left(costs(stretch_mm=comfort)).seconds == PASS_S
    need = left(costs(stretch_mm=comfort + 10))
    assert need.seconds == pytest.approx(PASS_S + 10 * TOLD_APART.stretch_s_per_mm)
    assert need.why == f"a stretch of {comfort + 10:.0f} mm"


def test_all_that_happens_at_once_adds_up_and_is_said() -> None:
    need = left(costs("roll", "pivot"))
    assert need.seconds == PASS_S + TOLD_APART.roll_s + TOLD_APART.pivot_s
    assert need.why == "one finger rolls to the next string and the hand turns about the thumb"


def test_each_note_after_the_first_has_its_own_time_from_the_one_before() -> None:
    onsets = [Fraction(0), Fraction(1, 2), Fraction(2)]
    priced = [costs("shift"), costs(), costs("roll")]
    needs = left_needs(fingered(1, 2, 3), priced, onsets, HAND, TOLD_APART)
    assert [(need.note, need.quarters) for need in needs] == [
        (1, Fraction(1, 2)),
        (2, Fraction(3, 2)),
    ]
    assert needs[0].why == "finger after finger"
    assert needs[1].why == "one finger rolls to the next string"


# How fast a practised player's fingers are: published rates where named, from memory, else common
# practice, no source.


def rate_of(line: list[tuple[int, int, int]], player: Player | None = None) -> float:
    """Notes a second at the ceiling of a line of (string, fret, finger)."""
    notes = [FingeredNote(Position(string, fret), finger, fret) for string, fret, finger in line]
    onsets = [Fraction(at) for at in range(len(notes))]
    speeds = HandSpeeds() if player is None else player.speeds
    need = lowest_ceiling(left_needs(notes, [costs()] * len(notes), onsets, HAND, speeds))
    assert need is not None
    return need.ceiling_bpm / 60


def trill(low: int, high: int) -> float:
    return rate_of([(2, 5, low), (2, 5 + high - low, high)] * 4)


def test_a_trill_is_as_fast_as_its_pair_of_fingers() -> None:
    assert trill(1, 2) == trill(1, 3) > trill(1, 4) >= trill(2, 3) > trill(2, 4) > trill(3, 4)
    # Two fingers in turn: twice what one taps (5 to 7 a second) at most.
    assert 10 <= trill(1, 2) <= 14
    assert 5 <= trill(3, 4) <= 9


def test_one_finger_taps_five_to_seven_times_a_second() -> None:
    # Aoki, Furuya & Kinoshita 2005 (from memory): ring and little finger slower than the others.
    rates = [1 / tap for tap in HandSpeeds().tap_s]
    assert all(5 <= rate <= 7 for rate in rates)
    assert min(rates[:2]) > max(rates[2:])


def test_a_run_of_four_fingers_is_faster_than_a_trill() -> None:
    run = rate_of([(2, 5, 1), (2, 6, 2), (2, 7, 3), (2, 8, 4)])
    assert run > trill(1, 2) > trill(3, 4)


def test_a_finger_that_is_needed_again_limits_two_notes_later() -> None:
    lying = [(3, 5, 1), (2, 7, 3), (3, 5, 1)]  # the index may lie where it is
    moving = [(3, 5, 1), (2, 7, 3), (2, 5, 1)]
    making_way = [(3, 7, 3), (3, 5, 1), (2, 5, 1), (3, 7, 3)]
    assert rate_of(lying) > rate_of(moving) == pytest.approx(2 / HandSpeeds().tap_s[0])
    need = left_needs(
        [FingeredNote(Position(string, fret), finger, 5) for string, fret, finger in moving],
        [costs()] * 3,
        [Fraction(at) for at in range(3)],
        HAND,
        HandSpeeds(),
    )[-1]
    assert need.why == "the index finger is needed again"
    assert need.quarters == 2
    assert rate_of(making_way) <= 3 / HandSpeeds().tap_s[2]


def test_a_slide_takes_the_time_of_its_own_finger() -> None:
    for finger in (1, 2, 3, 4):
        fingers = (0, finger)  # the term says that it comes from its own last note
        need = left(costs("slide"), HandSpeeds(), fingers=fingers)
        leap = left(costs("jump"), HandSpeeds(), fingers=fingers)
        assert need.seconds == HandSpeeds().tap_s[finger - 1]
        assert leap.seconds == HandSpeeds().tap_s[finger - 1] + HandSpeeds().jump_s


def test_a_finger_that_rolls_need_not_tap() -> None:
    notes = [FingeredNote(Position(3, 7), 3, 5), FingeredNote(Position(2, 7), 3, 5)]
    (need,) = left_needs(notes, [costs(), costs("roll")], [F(0), F(1)], HAND, HandSpeeds())
    assert need.seconds == HandSpeeds().pass_s[0] + HandSpeeds().roll_s < HandSpeeds().tap_s[2]


def test_an_open_string_leaves_every_finger_ready() -> None:
    for finger in (1, 2, 3, 4):
        assert left(costs(), HandSpeeds(), fingers=(0, finger)).seconds == HandSpeeds().pass_s[0]
    pairs = {PAIRS[at]: seconds for at, seconds in enumerate(HandSpeeds().pass_s)}
    for (one, other), seconds in pairs.items():
        assert left(costs(), HandSpeeds(), fingers=(one, other)).seconds == seconds
        assert left(costs(), HandSpeeds(), fingers=(other, one)).seconds == seconds


def test_the_time_for_a_stroke_is_from_the_stroke_before() -> None:
    needs = pick_needs([3, 3, 3], [D, None, U], [F(2), F(5, 2), F(3)], HandSpeeds())
    assert [(need.note, need.quarters) for need in needs] == [(2, F(1))]
    assert pick_needs([3, 3, 3], [None, None, U], [F(2), F(5, 2), F(3)], HandSpeeds()) == []


def test_a_note_struck_again_asks_nothing_of_the_left_hand() -> None:
    notes = [FingeredNote(Position(2, 5), 1, 5)] * 3
    onsets = [Fraction(at) for at in range(3)]
    assert left_needs(notes, [costs()] * 3, onsets, HAND, HandSpeeds()) == []


def test_alternate_picking_is_ten_to_fourteen_a_second_and_a_sweep_faster() -> None:
    practised, virtuoso = HandSpeeds(), read_player("virtuoso").speeds
    assert 10 <= 1 / practised.stroke_s < 1 / virtuoso.stroke_s <= 14.2
    assert practised.sweep_s < practised.stroke_s


def test_each_level_is_faster_than_the_one_before() -> None:
    line = [(2, 5, 1), (2, 7, 3), (3, 5, 1), (2, 8, 4)]
    rates = [rate_of(line, read_player(level)) for level in LEVELS]
    assert rates == sorted(rates)
    assert len(set(rates)) == len(LEVELS) == 5
    assert rate_of(line, read_player("practised")) == rate_of(line)


def test_a_players_own_rates_win() -> None:
    own = read_player("beginning", trills={"4-3": 10}, one_finger=7, alternate=9, sweep=15)
    assert rate_of([(2, 7, 3), (2, 8, 4)] * 4, own) == pytest.approx(10)
    assert own.speeds.tap_s[0] == pytest.approx(1 / 7)
    assert own.speeds.tap_s[3] > own.speeds.tap_s[0]
    assert (own.speeds.stroke_s, own.speeds.sweep_s) == pytest.approx((1 / 9, 1 / 15))
    assert own.in_words == "a beginning player with these rates"
    assert read_player("beginning").in_words == "a beginning player"


def test_rates_from_one_to_thirty_are_a_hand_s() -> None:
    assert not Player().left_handed
    for rate in (1.0, 30.0):
        assert read_player(alternate=rate).speeds.stroke_s == 1 / rate
    for rate in (0.99, 30.01):
        with pytest.raises(HandError, match="Give a rate from 1 to 30"):
            read_player(alternate=rate)


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ({"level": "virtuos"}, "Did you mean 'virtuoso'"),
        ({"level": "x"}, "Use one of: beginning"),
        ({"alternate": 0.5}, "alternate is 0.5 notes a second"),
        ({"sweep": float("nan")}, "sweep is nan"),
        ({"trills": {"3-5": 7}}, "'3-5' is not a pair of fingers"),
        ({"trills": {"3": 7}}, "'3' is not a pair"),
        ({"trills": {"1-2": 99}}, "trills of 1-2 is 99"),
        ({"escape": "dwn"}, "Did you mean 'down'"),
        ({"hand": "medum"}, "medium"),
    ],
)
def test_a_player_that_cannot_be_is_refused(asked: dict[str, Any], words: str) -> None:
    with pytest.raises(HandError, match=r".") as raised:
        read_player(**asked)
    assert words in str(raised.value)


def test_comfort_is_between_the_last_two_fingers_that_stop_a_string() -> None:
    wide = [costs(), costs(), costs(stretch_mm=500.0)]
    two = fingered(1, 4, 2)
    assert beyond_comfort_mm(two, wide, 2, HAND) == pytest.approx(500 - HAND.comfortable(4, 2))
    over_open = fingered(1, 0, 2)  # the index stays where it was while the open string sounds
    assert beyond_comfort_mm(over_open, wide, 2, HAND) == pytest.approx(
        500 - HAND.comfortable(1, 2)
    )


@pytest.mark.parametrize("fingers", [(1, 1), (1, 0), (0, 2)])
def test_one_finger_or_an_open_string_is_no_stretch(fingers: tuple[int, int]) -> None:
    wide = [costs(), costs(stretch_mm=500.0)]
    assert beyond_comfort_mm(fingered(*fingers), wide, 1, HAND) == 0


def test_a_stretch_within_comfort_is_none_below_zero() -> None:
    assert beyond_comfort_mm(fingered(1, 2), [costs(), costs(stretch_mm=1.0)], 1, HAND) == 0


# -------------------------------------------------------------------------------------- picking


@pytest.mark.parametrize(
    ("strings", "strokes", "parts", "why"),
    [
        ([3, 3], [D, U], ["stroke_s"], "the stroke alternates on one string"),
        ([3, 3], [D, D], ["repeat_s"], "the same stroke is struck again"),
        ([3, 2], [D, D], ["sweep_s"], "the pick sweeps on"),
        ([2, 3], [U, U], ["sweep_s"], "the pick sweeps on"),
        # Down on the bass side, then up on the treble side: from without.
        ([3, 2], [D, U], ["stroke_s", "outside_s"], "an outside change of string"),
        ([2, 3], [D, U], ["stroke_s", "inside_s"], "an inside change of string"),
        (
            [2, 4],
            [D, U],
            ["stroke_s", "inside_s", "skip_s"],
            "an inside change of string over 1 more",
        ),
        # The same stroke across a skipped string, or against its direction, is lifted over.
        ([3, 1], [D, D], ["repeat_s"], "the same stroke is struck again"),
        ([2, 3], [D, D], ["repeat_s"], "the same stroke is struck again"),
    ],
)
def test_what_the_pick_does_takes_its_time_and_is_named(
    strings: list[int], strokes: list[Stroke | None], parts: list[str], why: str
) -> None:
    (need,) = picks(strings, strokes)
    assert need.seconds == sum(getattr(TOLD_APART, part) for part in parts)
    assert (need.note, need.why) == (1, why)


def test_each_string_skipped_costs_once_more() -> None:
    (two_over,) = picks([1, 4], [D, U])
    parts = TOLD_APART
    assert two_over.seconds == parts.stroke_s + parts.inside_s + 2 * parts.skip_s
    assert two_over.why == "an inside change of string over 2 more"


def test_a_sweep_that_turns_round_takes_longer_only_at_the_turn() -> None:
    sweep, turn, after = picks([3, 2, 2, 2], [D, D, U, D])
    assert sweep.seconds == TOLD_APART.sweep_s
    assert turn.seconds == TOLD_APART.stroke_s + TOLD_APART.turn_s
    assert turn.why == "a sweep turns round and the stroke alternates on one string"
    assert (after.seconds, after.why) == (
        TOLD_APART.stroke_s,
        "the stroke alternates on one string",
    )
    on, same = picks([3, 2, 2], [D, D, D])
    assert same.seconds == TOLD_APART.repeat_s  # the same stroke again turns nothing round
    assert on.seconds == TOLD_APART.sweep_s


def test_a_note_that_is_not_picked_gives_its_time_to_the_pick() -> None:
    (need,) = picks([3, 3, 3], [D, None, U])
    assert (need.note, need.quarters) == (2, Fraction(1, 2))
    assert picks([3, 3], [D, None]) == []
    assert picks([3], [D]) == []


# ------------------------------------------------------------------------------- which is slower


def test_no_movement_is_free_and_all_are_parts_of_a_second() -> None:
    # A trained hand plays eight sixteenths a second and more (common practice): every part lies
    # below a fifth of a second, a millimetre's below a hundredth.
    for field in fields(HandSpeeds):
        part = getattr(HandSpeeds(), field.name)
        for seconds in part if isinstance(part, tuple) else (part,):
            assert 0 < seconds < (0.01 if field.name.endswith("per_mm") else 0.2), field.name


def test_a_sweep_is_the_quickest_a_repeated_stroke_the_slowest() -> None:
    (sweep,) = picks([3, 2], [D, D], HandSpeeds())
    (alternate,) = picks([3, 3], [D, U], HandSpeeds())
    (outside,) = picks([3, 2], [D, U], HandSpeeds())
    (inside,) = picks([2, 3], [D, U], HandSpeeds())
    (skip,) = picks([1, 3], [D, U], HandSpeeds())
    (repeat,) = picks([3, 3], [D, D], HandSpeeds())
    ladder = [one.ceiling_bpm for one in (sweep, alternate, outside, inside, skip, repeat)]
    assert ladder == sorted(ladder, reverse=True)
    assert len(set(ladder)) == 6


def test_a_leap_is_slower_than_a_roll_and_a_shift_of_a_position_slower_than_either() -> None:
    roll, jump = left(costs("roll"), HandSpeeds()), left(costs("jump"), HandSpeeds())
    shift = left(costs("shift", travel_mm=60.0), HandSpeeds())
    ready = left(costs(), HandSpeeds())
    assert ready.ceiling_bpm > roll.ceiling_bpm > jump.ceiling_bpm > shift.ceiling_bpm


def test_who_limits_on_one_string_and_over_a_shift() -> None:
    """Alternate sixteenths on one string ask more of the pick than of ready fingers; a shift of
    three frets asks more of the fretting hand."""
    (pick,) = picks([3, 3], [D, U], HandSpeeds())
    assert (
        replace(left(costs(), HandSpeeds()), quarters=Fraction(1, 4)).ceiling_bpm > pick.ceiling_bpm
    )
    shift = replace(left(costs("shift", travel_mm=60.0), HandSpeeds()), quarters=Fraction(1, 4))
    assert shift.ceiling_bpm < pick.ceiling_bpm
