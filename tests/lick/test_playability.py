"""Playability: what sets each hand's ceiling, in mm and by note, and honest about being a model."""

from __future__ import annotations

from dataclasses import fields, replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.errors import HandError, RhythmError
from lickwright.lick.hands.difficulty import CARE, ESTIMATE, playability
from lickwright.lick.hands.finishing import finish
from lickwright.lick.hands.player import Player, read_player
from lickwright.lick.hands.tempo import HandSpeeds
from lickwright.lick.notes import Lick
from lickwright.lick.phrase.composing import compose
from lickwright.lick.tab.lick import lick_from_tab
from lickwright.neck.instrument import Position

SWEEP = [Position(4, 12), Position(3, 9), Position(2, 10), Position(1, 8)]
ONE_STRING = [Position(3, 5), Position(3, 7)]


def line(*places: tuple[int, int], rhythm: str = "16ths") -> Lick:
    return compose([[Position(*place) for place in places]], "up", rhythm, ending="written")


def test_alternation_on_one_string_has_the_stated_ceiling() -> None:
    # A stroke of 0.085 s leaves sixteenths at 60 / (4 * 0.085) = 176 quarter notes a minute.
    report = playability(line((3, 5), (3, 7), (3, 5), (3, 7)), tempo_bpm=100)
    assert report.pick_ceiling is not None
    assert report.pick_ceiling.ceiling_bpm == pytest.approx(60 / (4 * 0.085))
    assert report.pick_ceiling.note == 1
    assert report.label == ESTIMATE


def test_the_stretch_is_the_distance_of_the_fingers_in_mm() -> None:
    # Published formula: fret n stands at L (1 - 2^(-n/12)); a finger a quarter back from its wire.
    def stands(fret: int) -> float:
        def wire(n: int) -> float:
            return 648.0 * (1 - 2 ** (-n / 12))

        return wire(fret) - 0.25 * (wire(fret) - wire(fret - 1))

    lick = finish(line((3, 5), (3, 8)), pins={0: 1, 1: 4})
    report = playability(lick, tempo_bpm=100)
    assert report.longest_stretch.note == 1
    assert report.longest_stretch.stretch_mm == pytest.approx(stands(8) - stands(5), abs=0.06)


def test_shifts_rolls_and_sweeps_are_found_by_note() -> None:
    far = playability(line((3, 2), (3, 14)), tempo_bpm=60)
    assert far.shifts == (1,)
    assert far.left_ceiling is not None
    assert "shifts" in far.left_ceiling.why
    assert far.hardest.note == 1
    rolled = playability(finish(line((3, 7), (2, 7)), pins={0: 3, 1: 3}), tempo_bpm=60)
    assert rolled.rolls == (1,)
    swept = playability(compose([SWEEP], "up-down", "16ths"), tempo_bpm=60)
    assert [sweep.notes for sweep in swept.strokes.sweeps] == [3, 4]
    assert swept.strokes.outside == (3,)


def test_sweeping_an_arpeggio_is_faster_than_alternating_it() -> None:
    lick = compose([SWEEP], "up", "16ths", bars=1)
    ceilings = [
        playability(lick, tempo_bpm=100, policy=policy).pick_ceiling
        for policy in ("sweep", "alternate", "down")
    ]
    sweep, alternate, down = (need.ceiling_bpm for need in ceilings if need is not None)
    assert sweep >= alternate > down


def test_care_is_asked_for_where_a_stretch_tempo_or_repetition_is_high() -> None:
    calm = playability(line((3, 7), (3, 8), (3, 9)), tempo_bpm=60)
    assert calm.cautions == ()
    assert CARE not in str(calm)
    wide = playability(finish(line((3, 3), (3, 7)), pins={0: 1, 1: 4}), tempo_bpm=60)
    assert "beyond what is comfortable for a medium hand" in wide.cautions[0]
    assert CARE in str(wide)
    fast = playability(line((3, 5), (3, 7), (3, 5)), tempo_bpm=400)
    assert any("above the estimate for the picking hand" in said for said in fast.cautions)
    one_finger = finish(
        line((3, 5), (2, 5), (3, 5), (2, 5), (3, 5)), pins=dict.fromkeys(range(5), 3)
    )
    said = playability(one_finger, tempo_bpm=120).cautions
    assert any("alone plays notes 1 to 5, 8.0 a second" in words for words in said)
    drill = playability(compose([ONE_STRING], "up", "16ths", bars=2), tempo_bpm=160)
    assert any("strokes a second" in words for words in drill.cautions)


def test_what_is_missing_is_worked_out_and_what_is_there_kept() -> None:
    bare = compose([SWEEP], "up", "16ths")
    own = finish(bare, strokes="DUDU", pins={0: 4})
    assert playability(own, tempo_bpm=90).strokes.sweeps == ()
    assert playability(bare, tempo_bpm=90).strokes.sweeps != ()
    wrong = finish(bare, strokes="UUUU")
    assert [problem.note for problem in playability(wrong, tempo_bpm=90).stroke_problems] == [
        1, 2, 3,
    ]  # fmt: skip


def test_legato_frees_the_picking_hand() -> None:
    rows = ["|---------------|"] * 6
    rows[2] = "|-5h7h9p7p5h7h9-|"
    legato = playability(lick_from_tab("\n".join(rows), "16ths"), tempo_bpm=100)
    assert legato.pick_ceiling is None
    assert legato.strokes.picked == 1
    assert "too few notes" in str(legato)


@pytest.mark.parametrize(
    ("lick", "tempo", "error", "words"),
    [
        (Lick((), Fraction(4)), 100.0, HandError, "without notes"),
        (line((3, 5)), 0.0, RhythmError, "tempo of 0"),
        (line((3, 5)), float("nan"), RhythmError, "tempo of nan"),
    ],
)
def test_bad_requests(lick: Lick, tempo: float, error: type[Exception], words: str) -> None:
    with pytest.raises(error) as raised:
        playability(lick, tempo_bpm=tempo)
    assert words in str(raised.value)


def test_a_single_note_has_no_ceiling() -> None:
    report = playability(line((3, 5)), tempo_bpm=100)
    assert (report.left_ceiling, report.pick_ceiling, report.ceiling_bpm) == (None, None, None)
    assert report.hardest.why == "the line begins here"


places = st.lists(st.tuples(st.integers(1, 6), st.integers(5, 9)), min_size=2, max_size=10).filter(
    lambda notes: all(one != two for one, two in pairwise(notes))
)


@settings(max_examples=40, deadline=None)
@given(places)
def test_eighths_at_twice_the_tempo_are_sixteenths(notes: list[tuple[int, int]]) -> None:
    fast = finish(line(*notes), tempo_bpm=100)
    strokes = [note.stroke for note in fast.notes]
    slow = finish(line(*notes, rhythm="8ths"), tempo_bpm=200, strokes=strokes)
    one, two = playability(fast, tempo_bpm=100), playability(slow, tempo_bpm=200)
    assert one.left_ceiling is not None
    assert one.pick_ceiling is not None
    assert two.left_ceiling is not None
    assert two.pick_ceiling is not None
    assert two.left_ceiling.ceiling_bpm == pytest.approx(2 * one.left_ceiling.ceiling_bpm)
    assert two.pick_ceiling.ceiling_bpm == pytest.approx(2 * one.pick_ceiling.ceiling_bpm)
    assert one.hardest.share == pytest.approx(two.hardest.share)


@settings(max_examples=40, deadline=None)
@given(places)
def test_the_hardest_note_and_the_ceilings_agree(notes: list[tuple[int, int]]) -> None:
    report = playability(line(*notes), tempo_bpm=120)
    assert report.ceiling_bpm is not None
    assert report.hardest.share == pytest.approx(120 / report.ceiling_bpm)
    assert max(load.stretch_mm for load in report.notes) == report.longest_stretch.stretch_mm


@settings(max_examples=20, deadline=None)
@given(places, st.sampled_from([field.name for field in fields(HandSpeeds)]))
def test_a_slower_part_never_raises_a_ceiling(notes: list[tuple[int, int]], part: str) -> None:
    usual = HandSpeeds()
    slower = replace(usual, **{part: getattr(usual.faster(0.5), part)})
    one = playability(line(*notes), tempo_bpm=120).ceiling_bpm
    two = playability(line(*notes), tempo_bpm=120, player=Player(speeds=slower)).ceiling_bpm
    assert one is not None
    assert two is not None
    assert two <= one + 1e-9


def test_a_ceiling_says_for_whom() -> None:
    lick = line((3, 5), (3, 7), (3, 5), (3, 7))
    assert "bpm for a practised player, set by note" in str(playability(lick))
    beginner = playability(lick, player=read_player("beginning"))
    assert "bpm for a beginning player, set by note" in str(beginner)
    practised = playability(lick).ceiling_bpm
    assert practised is not None
    assert beginner.ceiling_bpm == pytest.approx(practised / 2)
