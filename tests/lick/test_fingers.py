"""The left hand: what a caller gets, and the laws it keeps."""

from __future__ import annotations

import doctest
import subprocess
import sys
from fractions import Fraction

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

import lickwright.lick.fingering.fingers
from lickwright.errors import HandError
from lickwright.lick.fingering.fingers import FingeredNote, assign_fingers, best_fingerings
from lickwright.lick.fingering.reasons import explain_fingers, price_fingers
from lickwright.lick.fingering.task import Pin
from lickwright.lick.fingering.weights import AHEAD, TERMS
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import HANDS, hand_profile

NOTES = st.tuples(st.integers(1, 6), st.integers(0, 24))
LINES = st.lists(NOTES, min_size=1, max_size=12)
TEMPI = st.sampled_from([None, 60.0, 120.0, 200.0])

MINOR_SWEEP = [(5, 12), (5, 15), (4, 14), (3, 14), (2, 13), (1, 12), (1, 17)]


def fingers(line: list[FingeredNote]) -> list[int]:
    return [note.finger for note in line]


def test_a_line_comes_back_note_for_note() -> None:
    line = assign_fingers([Position(3, 14), (2, 13), (1, 12), (1, 17)])
    assert [note.position for note in line] == [
        Position(3, 14), Position(2, 13), Position(1, 12), Position(1, 17)
    ]  # fmt: skip
    assert fingers(line) == [3, 2, 1, 4]
    assert [note.place for note in line] == [12, 12, 12, 12]


def test_examples_in_the_documentation_hold() -> None:
    assert doctest.testmod(lickwright.lick.fingering.fingers).failed == 0


def test_no_notes_and_open_strings_need_no_hand() -> None:
    assert assign_fingers([]) == []
    line = assign_fingers([(1, 0), (6, 0)])
    assert fingers(line) == [0, 0]
    assert [note.place for note in line] == [None, None]


def test_over_an_open_string_the_hand_lies_where_it_lay() -> None:
    line = assign_fingers([(1, 0), (1, 7), (1, 0), (1, 8), (1, 0)])
    assert [note.finger == 0 for note in line] == [True, False, True, False, True]
    assert line[0].place == line[1].place == line[2].place
    assert line[4].place == line[3].place


@given(LINES, TEMPI)
@settings(max_examples=60, deadline=None)
def test_every_note_gets_a_finger_that_fits_it(line: list[tuple[int, int]], tempo: object) -> None:
    for note in assign_fingers(line, tempo_bpm=tempo):  # type: ignore[arg-type]
        if note.position.fret == 0:
            assert note.finger == 0
        else:
            assert note.place is not None
            assert note.finger in (1, 2, 3, 4)
            assert abs(note.position.fret - (note.place + note.finger - 1)) <= 2


@given(LINES, TEMPI, st.data())
@settings(max_examples=60, deadline=None)
def test_a_pin_never_makes_a_line_cheaper(
    line: list[tuple[int, int]], tempo: float | None, data: st.DataObject
) -> None:
    free = best_fingerings(line, tempo_bpm=tempo, count=1)[0]
    index = data.draw(st.integers(0, len(line) - 1))
    fret = line[index][1]
    finger = data.draw(st.integers(1, 4)) if fret else 0
    assume(not (fret == 1 and finger == 4))
    pinned = best_fingerings(line, tempo_bpm=tempo, pins={index: finger}, count=1)[0]
    assert pinned.fingers[index] == finger
    assert pinned.cost >= free.cost
    same = dict(enumerate(free.fingers))
    assert best_fingerings(line, tempo_bpm=tempo, pins=same, count=1)[0].cost == free.cost


@given(LINES, TEMPI)
@settings(max_examples=30, deadline=None)
def test_a_left_handed_guitar_has_the_same_fingers(
    line: list[tuple[int, int]], tempo: float | None
) -> None:
    # The mirrored hand mirrors the picture; the finger on each note stays.
    assert assign_fingers(line, Guitar(left_handed=True), tempo) == assign_fingers(
        line, Guitar(), tempo
    )


@given(
    st.lists(st.tuples(st.integers(1, 6), st.integers(1, 12)), min_size=2, max_size=10),
    st.integers(1, 12),
    st.sampled_from(sorted(HANDS)),
)
@settings(max_examples=60, deadline=None)
def test_moving_up_the_neck_never_stretches_a_fingering_further(
    line: list[tuple[int, int]], up: int, hand: str
) -> None:
    low = assign_fingers(line, hand=hand)
    high = [
        FingeredNote(
            Position(note.position.string, note.position.fret + up),
            note.finger,
            None if note.place is None else note.place + up,
        )
        for note in low
    ]
    for below, above in zip(
        price_fingers(low, hand=hand), price_fingers(high, hand=hand), strict=True
    ):
        if not below.has("shift"):  # up there a shift may shrink to a pivot, and be spread at all
            assert above.stretch_mm <= below.stretch_mm
        assert above.travel_mm <= below.travel_mm


@given(LINES, TEMPI, st.sampled_from(sorted(HANDS)))
@settings(max_examples=60, deadline=None)
def test_the_named_costs_add_up_to_the_whole(
    line: list[tuple[int, int]], tempo: float | None, hand: str
) -> None:
    for fingering in best_fingerings(line, tempo_bpm=tempo, hand=hand, count=3):
        costs = price_fingers(fingering.notes, tempo_bpm=tempo, hand=hand)
        assert sum(note.cost for note in costs) == fingering.cost
        assert {term.name for note in costs for term in note.terms} <= set(TERMS)


@given(LINES, TEMPI)
@settings(max_examples=30, deadline=None)
def test_the_best_come_in_order_and_differ(
    line: list[tuple[int, int]], tempo: float | None
) -> None:
    found = best_fingerings(line, tempo_bpm=tempo, count=4)
    costs = [one.cost for one in found]
    assert costs == sorted(costs)
    assert len({one.fingers for one in found}) == len(found)
    assert fingers(assign_fingers(line, tempo_bpm=tempo)) == list(found[0].fingers)


@given(LINES, TEMPI)
@settings(max_examples=30, deadline=None)
def test_the_gentlest_has_no_harder_moment_than_the_cheapest(
    line: list[tuple[int, int]], tempo: float | None
) -> None:
    def hardest(objective: str) -> int:
        best = best_fingerings(line, tempo_bpm=tempo, objective=objective, count=1)[0]
        # What notes cost each other over one between counts in the sum alone.
        return max(
            sum(term.cost for term in note.terms if term.name not in AHEAD)
            for note in price_fingers(best.notes, tempo_bpm=tempo)
        )

    assert hardest("minimax") <= hardest("sum")
    gentle = best_fingerings(line, tempo_bpm=tempo, objective="minimax", count=1)[0]
    assert gentle.cost >= best_fingerings(line, tempo_bpm=tempo, count=1)[0].cost


def test_hurry_makes_a_shift_dear() -> None:
    line = [(1, 5), (1, 12)]
    slow, fast = (best_fingerings(line, tempo_bpm=tempo, count=1)[0].cost for tempo in (60, 240))
    assert fast > 1.5 * slow
    waiting = best_fingerings(line, tempo_bpm=240, onsets=[Fraction(0), Fraction(4)], count=1)[0]
    assert waiting.cost < fast


def test_a_smaller_hand_pays_more_for_the_same_stretch() -> None:
    line = [(3, 4), (3, 8)]
    pins = {0: Pin(1, place=4), 1: Pin(4, place=4)}
    costs = [best_fingerings(line, pins=pins, hand=hand, count=1)[0].cost for hand in HANDS]
    assert costs[0] > costs[1] > costs[2]


def test_a_place_can_be_pinned() -> None:
    line = assign_fingers([(3, 7), (3, 8)], pins={0: Pin(place=5), 1: Pin(finger=4)})
    assert [(note.finger, note.place) for note in line] == [(3, 5), (4, 5)]


def test_explanations_name_the_costs_and_the_runner_up() -> None:
    said = explain_fingers(MINOR_SWEEP, tempo_bpm=120)
    assert "Fingers 1 4 3 3 2 1 4" in said
    assert "rolls from string 4 to 3" in said
    assert "little finger is 2 frets above its own in position 12" in said
    assert "Next best:" in said
    assert "dearer by" in said


def test_every_kind_of_move_is_said_in_words() -> None:
    shift = explain_fingers([(1, 1), (1, 12)])
    assert "the hand shifts from position 1 to" in shift
    assert "no finger keeps its string" in shift
    stretch = explain_fingers([(3, 5), (3, 7), (3, 9)])
    assert "mm apart, comfortable for a medium hand up to" in stretch
    jump = explain_fingers([(5, 5), (3, 7)], pins={0: 1, 1: 1})
    assert "the index finger leaps from string 5 fret 5 to string 3 fret 7" in jump
    slide = explain_fingers([(3, 5), (3, 7)], pins={0: 1, 1: 1})
    assert "the index finger slides from fret 5 to 7" in slide
    swap = explain_fingers([(3, 5), (3, 5)], pins={0: 1, 1: 2})
    assert "the middle finger takes over the note from the index finger" in swap
    only = explain_fingers([(3, 5)], pins={0: 1})
    assert only.endswith("No other fingers are possible.")


def test_seven_strings_a_capo_and_a_fan_are_fingered() -> None:
    usual = [3, 2, 1, 4]
    shape = [(3, 14), (2, 13), (1, 12), (1, 17)]
    assert fingers(assign_fingers(shape, "7-string")) == usual
    fan = Guitar(scale_mm=(648.0, 654.0, 660.0, 666.0, 672.0, 678.0))
    assert fingers(assign_fingers(shape, fan)) == usual
    lower = [(string, fret - 2) for string, fret in shape]
    capo = assign_fingers(lower, Guitar(capo=2))
    assert fingers(capo) == usual
    # with the capo the same wires lie under the hand, so it costs the same
    assert (
        best_fingerings(lower, Guitar(capo=2), count=1)[0].cost
        == best_fingerings(shape, count=1)[0].cost
    )


def test_a_finger_without_a_place_is_priced_on_its_own_fret() -> None:
    costs = price_fingers([FingeredNote(Position(3, 7), 3, None)])
    assert [term.name for term in costs[0].terms] == ["weak finger"]


def test_a_hand_profile_serves_as_well_as_its_name() -> None:
    assert assign_fingers(MINOR_SWEEP, hand=hand_profile("small")) == assign_fingers(
        MINOR_SWEEP, hand="small"
    )


def test_the_same_line_has_the_same_fingers_whatever_the_hash_seed() -> None:
    code = (
        "from lickwright.lick.fingering.fingers import best_fingerings;"
        "print(best_fingerings([(5,12),(5,16),(4,14),(3,14),(2,14),(1,12)], count=5))"
    )
    answers = {
        subprocess.run(
            [sys.executable, "-c", code],
            env={"PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("0", "1")
    }
    assert len(answers) == 1


def test_numpy_is_loaded_with_the_room_of_fingers_and_not_before() -> None:
    """A room is loaded whole; who writes, reads or strikes a lick needs no fingers."""
    code = (
        "import sys, lickwright.cli, lickwright.lick, lickwright.lick.phrase,"
        " lickwright.lick.picking, lickwright.lick.rhythm, lickwright.lick.tab;"
        " sys.exit('numpy' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_fewer_than_one_fingering_is_refused() -> None:
    with pytest.raises(HandError):
        best_fingerings(MINOR_SWEEP, count=0)
