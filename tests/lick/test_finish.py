"""Finishing a lick: both hands filled in, the teacher's own kept."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.errors import HandError
from lickwright.lick.hands.finishing import finish
from lickwright.lick.notes import Lick, Stroke, Technique
from lickwright.lick.phrase.composing import compose
from lickwright.lick.picking.check import check_strokes
from lickwright.lick.rhythm.timing import Meter
from lickwright.lick.tab.lick import lick_from_tab
from lickwright.neck.instrument import Position

D, U = Stroke.DOWN, Stroke.UP
SWEEP = [Position(4, 12), Position(3, 9), Position(2, 10), Position(1, 8)]


def letters(lick: Lick) -> str:
    return "".join("-" if note.stroke is None else note.stroke.value for note in lick.notes)


def test_both_hands_are_filled_in_and_nothing_else_changes() -> None:
    lick = compose([SWEEP], "up-down", "16ths")
    done = finish(lick, tempo_bpm=96)
    assert letters(done) == "DDDUUUU"
    assert all(note.finger in {1, 2, 3, 4} for note in done.notes)
    for before, after in zip(lick.notes, done.notes, strict=True):
        assert (before.position, before.pitch, before.onset) == (
            after.position, after.pitch, after.onset,
        )  # fmt: skip
    assert (done.length, done.tuplets) == (lick.length, lick.tuplets)


def test_the_teachers_strokes_and_fingers_win() -> None:
    lick = compose([SWEEP], "up", "16ths")
    done = finish(lick, strokes="UUDD", pins={0: 4})
    assert letters(done) == "UUDD"  # wrong strokes are kept: saying so is for the checks
    assert done.notes[0].finger == 4
    assert letters(finish(lick, strokes=[D, U, D, U])) == "DUDU"
    assert letters(finish(lick, strokes={0: U}))[0] == "U"
    with pytest.raises(HandError, match="3 strokes for 4 notes"):
        finish(lick, strokes=[D, U, D])


def test_unstruck_notes_become_slurs_where_a_string_sounds() -> None:
    line = [Position(3, 5), Position(3, 7), Position(3, 9), Position(2, 6)]
    lick = finish(compose([line], "up-down", "16ths"), strokes="D-- D -- D")
    assert [note.technique for note in lick.notes] == [
        Technique.PICK, Technique.HAMMER_ON, Technique.HAMMER_ON, Technique.PICK,
        Technique.PICK, Technique.PULL_OFF, Technique.PICK,
    ]  # fmt: skip
    problems = check_strokes(
        [note.position for note in lick.notes],
        [note.stroke for note in lick.notes],
        [note.technique for note in lick.notes],
    )
    # Note 5 has no stroke on a string that does not sound yet: that is said.
    assert [problem.note for problem in problems] == [4]


def test_legato_slurs_a_picked_line_and_keeps_a_written_one() -> None:
    line = [Position(3, 5), Position(3, 7), Position(2, 5), Position(2, 8)]
    done = finish(compose([line], "up", "16ths"), policy="legato")
    assert [note.technique.value for note in done.notes][1::2] == ["hammer-on"] * 2
    rows = ["|-----------|"] * 6
    rows[2] = "|-5h7-9-7p5-|"
    own = finish(lick_from_tab("\n".join(rows), "16ths"), policy="legato")
    assert [note.technique.value for note in own.notes] == [
        "pick", "hammer-on", "pick", "pick", "pull-off",
    ]  # fmt: skip


def test_the_pickup_shifts_the_beat() -> None:
    line = [Position(3, 5), Position(3, 7), Position(3, 8)]
    rhythm = "8ths"
    on_the_beat = finish(compose([line], "up", rhythm))
    before_it = finish(compose([line], "up", rhythm, meter=Meter(pickup=Fraction(1, 2))),
                       meter=Meter(pickup=Fraction(1, 2)))  # fmt: skip
    assert letters(on_the_beat) == "DUD"
    assert letters(before_it) == "UDU"


@given(
    st.sampled_from(["up", "down", "up-down", "up in threes", "down broken"]),
    st.sampled_from(["16ths", "8th triplets", "q e e"]),
    st.sampled_from(["sweep", "alternate", "down", "legato"]),
)
def test_a_finished_lick_passes_its_own_checks(contour: str, rhythm: str, policy: str) -> None:
    lick = finish(compose([SWEEP], contour, rhythm, bars=1), policy=policy)
    positions = [note.position for note in lick.notes]
    strokes = [note.stroke for note in lick.notes]
    techniques = [note.technique for note in lick.notes]
    onsets = [note.onset for note in lick.notes]
    assert check_strokes(positions, strokes, techniques, onsets=onsets, policy=policy) == []
    assert all(note.finger is not None for note in lick.notes)
