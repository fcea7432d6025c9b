"""The practice plan: what it starts with, how it climbs, what it warns of."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from math import floor

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.errors import RhythmError
from lickwright.lick.hands.difficulty import playability
from lickwright.lick.hands.finishing import finish
from lickwright.lick.hands.player import LEVELS, read_player
from lickwright.lick.hands.practice import minutes, practice_plan, tempo_rungs
from lickwright.lick.notes import Lick, Part, PartLink
from lickwright.lick.phrase.composing import compose
from lickwright.neck.instrument import Position


@pytest.fixture(scope="module")
def lick() -> Lick:
    shape = [Position(string, fret) for string, fret in ((4, 12), (3, 11), (2, 10), (1, 10))]
    return finish(compose([shape], "up-down", "16ths", bars=2))


def test_each_hand_alone_comes_before_both_and_the_hard_place_before_the_whole(lick: Lick) -> None:
    plan = practice_plan(lick, playability(lick, tempo_bpm=90.0), 60.0)
    words = [step.what.split(":")[0].split(",")[0] for step in plan.steps]
    assert words == ["Fretting hand alone", "Picking hand alone", "Both hands", "The whole line"]
    assert [bool(step.tempi_bpm) for step in plan.steps] == [False, False, True, True]
    assert plan.steps[-1].tempi_bpm[0] == 60.0
    assert plan.steps[-1].tempi_bpm[-1] == 90.0
    assert "rest" in plan.rests


def test_the_plan_goes_to_the_note_that_sets_the_ceiling(lick: Lick) -> None:
    report = playability(lick, tempo_bpm=90.0)
    plan = practice_plan(lick, report, 60.0)
    assert report.pick_ceiling is not None
    first, last = _notes_in(plan.steps[1].what)
    assert first <= report.pick_ceiling.note + 1 <= last


def _notes_in(what: str) -> tuple[int, int]:
    words = what.replace(",", " ").split()
    at = words.index("notes")
    return int(words[at + 1]), int(words[at + 3])


def test_a_target_above_the_estimate_says_so(lick: Lick) -> None:
    ceiling = playability(lick, tempo_bpm=90.0).ceiling_bpm
    assert ceiling is not None
    above = practice_plan(lick, playability(lick, tempo_bpm=ceiling + 20), 60.0)
    below = practice_plan(lick, playability(lick, tempo_bpm=ceiling - 2), 20.0)
    assert "only while it stays easy" in above.steps[-1].what
    assert "only while it stays easy" not in below.steps[-1].what


def test_a_plan_never_starts_above_the_estimate(lick: Lick) -> None:
    for slow in (20.0, 60.0, 150.0):
        for level in LEVELS:
            report = playability(lick, tempo_bpm=400.0, player=read_player(level))
            plan = practice_plan(lick, report, slow)
            assert report.ceiling_bpm is not None
            starts = [step.tempi_bpm[0] for step in plan.steps if step.tempi_bpm]
            assert max(starts) <= report.ceiling_bpm
            assert max(starts) == min(slow, floor(report.ceiling_bpm))
            assert plan.steps[-1].tempi_bpm[-1] == 400.0


@given(st.floats(20, 200), st.floats(1, 2.5), st.integers(2, 9))
def test_rungs_climb_from_slow_to_target(slow: float, times: float, count: int) -> None:
    rungs = tempo_rungs(slow, slow * times, count)
    assert rungs[0] == slow
    assert rungs[-1] == slow * times
    assert list(rungs) == sorted(set(rungs))
    assert len(rungs) <= count


def test_a_ladder_goes_up() -> None:
    with pytest.raises(RhythmError):
        tempo_rungs(100, 60)


def test_minutes_grow_with_the_lick(lick: Lick) -> None:
    plan = practice_plan(lick, playability(lick, tempo_bpm=90.0), 60.0)
    longer = compose([[note.position for note in lick.notes[:4]]], "up-down", "16ths", bars=8)
    assert 1 <= minutes(plan, lick) < minutes(plan, longer)


def test_a_lick_of_parts_is_practised_part_by_part(lick: Lick) -> None:
    half = lick.length / 2
    parts = (
        Part("Part 1", Fraction(0), half),
        Part("Part 2", half, half, PartLink.MIRROR, 0),
    )
    of_parts = replace(lick, parts=parts)
    plan = practice_plan(of_parts, playability(of_parts, tempo_bpm=90.0), 60.0)
    assert (
        plan.steps[-2].what == "Part by part: Part 1; Part 2, every stroke of Part 1 turned round"
    )
    assert plan.steps[-2].tempi_bpm == (60.0,)
