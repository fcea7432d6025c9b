"""The practice plan (common practice, no source): hard places first, a ladder of tempi, rests."""

from __future__ import annotations

from fractions import Fraction

import pytest

from lickwright.errors import RhythmError
from lickwright.lick import Lick, LickNote
from lickwright.lick.hands.difficulty import NoteLoad, Playability
from lickwright.lick.hands.practice import PracticePlan, minutes, practice_plan, tempo_rungs
from lickwright.lick.hands.tempo import Need
from lickwright.lick.picking import StrokeReport
from lickwright.neck import Position
from lickwright.theory import parse_pitch

NO_STROKES = StrokeReport(0, (), (), (), (), (), (), ())
A_QUARTER = Fraction(1)


def line(count: int, length: int = 8) -> Lick:
    pitch = parse_pitch("E4")
    return Lick(
        tuple(LickNote(Position(1, 5), pitch, Fraction(n), A_QUARTER) for n in range(count)),
        Fraction(length),
    )


def asked(
    hardest: int,
    tempo_bpm: float = 120.0,
    left: Need | None = None,
    pick: Need | None = None,
    why: str = "the hand shifts",
) -> Playability:
    """A report whose hardest note is ``hardest`` (from 0)."""
    need = Need(hardest, 0.2, A_QUARTER, why)
    load = NoteLoad(hardest, 0.0, 0.0, need, None, 0.5)
    none: tuple[int, ...] = ()
    return Playability(
        tempo_bpm, (load,), load, load, none, none, none, NO_STROKES, (), left, pick, ()
    )


def plan_of(count: int, hardest: int, **report: object) -> PracticePlan:
    return practice_plan(line(count), asked(hardest, **report), 60.0)  # type: ignore[arg-type]


# ------------------------------------------------------------------------------------- ladder


def test_each_rung_is_faster_by_the_same_share() -> None:
    # From 60 to 120 in four equal shares: 60 times 2 ** (1/4), 2 ** (2/4), 2 ** (3/4).
    assert tempo_rungs(60, 120) == (60, 71, 85, 101, 120)
    assert tempo_rungs(40, 160, 3) == (40, 80, 160)


def test_two_rungs_are_slow_and_target_and_more_are_more() -> None:
    assert tempo_rungs(60, 90, 2) == (60, 90)
    assert len(tempo_rungs(60, 120, 3)) == 3
    assert len(tempo_rungs(60, 120)) == 5


def test_the_given_ends_stay_as_given_and_between_them_are_whole_numbers() -> None:
    rungs = tempo_rungs(60.5, 99.5)
    assert (rungs[0], rungs[-1]) == (60.5, 99.5)
    assert all(rung == int(rung) for rung in rungs[1:-1])


def test_where_whole_numbers_leave_no_room_there_are_fewer_rungs() -> None:
    assert tempo_rungs(60, 61) == (60, 61)
    assert tempo_rungs(60, 62) == (60, 61, 62)
    assert tempo_rungs(60, 60) == (60,)


@pytest.mark.parametrize(
    ("slow", "target", "count"), [(100, 60, 5), (60, 120, 1), (0, 60, 5), (-10, 60, 5)]
)
def test_a_ladder_goes_up_from_a_tempo_and_has_two_rungs(
    slow: float, target: float, count: int
) -> None:
    with pytest.raises(RhythmError, match=f"a ladder of {count} rungs from {slow} to {target}"):
        tempo_rungs(slow, target, count)
    assert tempo_rungs(0.5, 1, 2) == (0.5, 1)


# --------------------------------------------------------------------------------------- plan


def test_each_hand_alone_then_both_at_the_hard_place_then_the_whole_line() -> None:
    left = Need(3, 0.1, A_QUARTER, "one finger rolls to the next string")
    pick = Need(5, 0.1, A_QUARTER, "the same stroke is struck again")
    plan = plan_of(9, 4, left=left, pick=pick)
    first, second, both, whole = plan.steps
    assert first.what == (
        "Fretting hand alone, no pick: notes 2 to 6, where one finger rolls to the next string"
    )
    assert second.what == (
        "Picking hand alone, strings muted: notes 4 to 8, where the same stroke is struck again"
    )
    assert both.what == "Both hands, notes 3 to 7 only, where the hand shifts"
    assert whole.what == "The whole line"


def test_one_hand_is_out_of_time_both_at_the_slow_tempo_and_the_whole_climbs() -> None:
    need = Need(3, 0.1, A_QUARTER, "why")
    first, second, both, whole = plan_of(9, 4, left=need, pick=need).steps
    assert (first.tempi_bpm, second.tempi_bpm) == ((), ())
    assert both.tempi_bpm == (60.0,)
    assert whole.tempi_bpm == (60.0, 71.0, 85.0, 101.0, 120.0)
    assert (first.times, both.times) == ("4 slow rounds", "4 rounds")
    assert whole.times == "3 clean in a row at each"


def test_a_hand_with_nothing_to_do_is_not_practised() -> None:
    need = Need(3, 0.1, A_QUARTER, "why")
    assert len(plan_of(9, 4).steps) == 2
    assert plan_of(9, 4, left=need).steps[0].what.startswith("Fretting hand")
    assert plan_of(9, 4, pick=need).steps[0].what.startswith("Picking hand")


def test_two_notes_to_either_side_and_never_beyond_the_line() -> None:
    def piece(count: int, hardest: int) -> str:
        return plan_of(count, hardest).steps[0].what.split(", ")[1]

    assert piece(9, 0) == "notes 1 to 3 only"
    assert piece(9, 1) == "notes 1 to 4 only"
    assert piece(9, 8) == "notes 7 to 9 only"
    assert piece(1, 0) == "note 1 only"
    assert piece(2, 0) == "notes 1 to 2 only"


def test_above_the_lower_ceiling_only_while_it_stays_easy() -> None:
    def whole(tempo_bpm: float) -> str:
        # 0.5 s a quarter: a ceiling of 120 to the minute.
        need = Need(3, 0.5, A_QUARTER, "why")
        return plan_of(9, 4, tempo_bpm=tempo_bpm, left=need).steps[-1].what

    assert whole(121) == "The whole line; above about 120 bpm only while it stays easy"
    assert whole(120) == "The whole line"
    assert whole(100) == "The whole line"


def test_the_rests_that_the_plan_prescribes() -> None:
    assert plan_of(9, 4).rests == (
        "If a tempo fails twice, go back one. Shake both hands out for half a minute after each"
        " tempo; rest 5 minutes after every 20."
    )


def test_minutes_count_four_rounds_at_each_tempo_and_the_half_minute_after_it() -> None:
    # 8 quarters: 8 s at 60, 4 s at 120.  The place at 60: 4 * 8 + 30 = 62 s.  The whole from 60 to
    # 120 in five: 32 + 4 * 8 * (60/71 + 60/85 + 60/101) + 16 s, and five times 30 s: 266.6 s.
    plan = plan_of(9, 4)
    assert minutes(plan, line(9)) == 6  # 328.6 s
    # One hand, out of time: 4 * 10 + 30 = 70 s more.
    alone = plan_of(9, 4, left=Need(3, 0.1, A_QUARTER, "why"))
    assert minutes(alone, line(9)) == 7  # 398.6 s


def test_a_begun_minute_counts_as_a_minute() -> None:
    # 30 + 4 * 7.5 s = a minute sharp at 60 to the minute; a hair more begins the second.
    step = plan_of(9, 4).steps[0]
    plan = PracticePlan((step,), "")
    exact, longer = line(1, 0), line(1, 0)
    exact = Lick(exact.notes, Fraction(15, 2))
    longer = Lick(longer.notes, Fraction(121, 16))
    assert (minutes(plan, exact), minutes(plan, longer)) == (1, 2)


def test_a_round_out_of_time_takes_ten_seconds() -> None:
    # 4 * 10 + 30 = 70 s for each hand alone: six of them are 7 minutes sharp, seven 8 and a bit.
    alone = plan_of(9, 4, left=Need(3, 0.1, A_QUARTER, "why")).steps[0]
    assert minutes(PracticePlan((alone,) * 6, ""), line(9)) == 7
    assert minutes(PracticePlan((alone,) * 7, ""), line(9)) == 9


# ------------------------------------------------------------------------------------ ceiling


def test_a_plan_starts_no_higher_than_the_ceiling() -> None:
    # 1.4 s for a quarter note: 42.9 to the minute.
    slowest = Need(2, 1.4, A_QUARTER, "the hand shifts")
    for hand in ("left", "pick"):
        plan = plan_of(6, 2, **{hand: slowest})
        tempi = [step.tempi_bpm for step in plan.steps if step.tempi_bpm]
        assert {each[0] for each in tempi} == {42.0}
        assert tempi[-1][-1] == 120.0
        assert "above about 43 bpm only while it stays easy" in plan.steps[-1].what
    # At or above the slow tempo it changes nothing.
    for seconds in (1.0, 0.9):
        plan = plan_of(6, 2, left=Need(2, seconds, A_QUARTER, ""))
        assert plan.steps[-1].tempi_bpm[0] == 60.0
    # A need that no tempo meets is still begun at some tempo.
    plan = plan_of(6, 2, left=Need(2, 100.0, A_QUARTER, ""))
    assert plan.steps[-1].tempi_bpm[0] == 1.0
