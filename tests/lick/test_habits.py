"""A player's hand: learnt from fingered lines, kept in a plain file (planted players, our own)."""

from __future__ import annotations

import random
from dataclasses import replace
from pathlib import Path

import pytest

from lickwright.errors import HandError
from lickwright.lick.fingering import HandWeights, assign_fingers, weights_of
from lickwright.lick.habits import (
    fingered_line,
    hand_in_words,
    learn_hand,
    parse_profile,
    print_profile,
    read_profile,
)
from lickwright.lick.habits.learnt import _WORDS
from lickwright.neck import HandProfile, hand_profile

MEDIUM = hand_profile("medium")
#: Who never uses the little finger where another will do, and slides instead.
THREE_FINGERS = replace(MEDIUM, habits=(("little", 4000), ("slide_with_hand", 50), ("shift", 400)))


def lines(count: int, start: int) -> list[list[tuple[int, int]]]:
    draw = random.Random(start)
    found = []
    for _ in range(count):
        string, fret, notes = draw.randint(2, 5), draw.randint(4, 12), []
        for _ in range(8):
            notes.append((string, fret))
            string = max(1, min(6, string + draw.choice((-1, 0, 0, 1))))
            fret = max(1, fret + draw.choice((-3, -2, -1, 1, 2, 3)))
        found.append(notes)
    return found


def played(notes: list[tuple[int, int]], hand: HandProfile) -> list[int]:
    return [note.finger for note in assign_fingers(notes, hand=hand)]


def test_a_hand_is_learnt_from_what_it_plays() -> None:
    shown = [fingered_line(notes, [played(notes, THREE_FINGERS)]) for notes in lines(8, 3)]
    learnt = learn_hand(shown)
    assert learnt.better
    assert dict(learnt.habits)["little"] > HandWeights().little
    said = hand_in_words(learnt)
    assert f"from {learnt.before} of {learnt.notes} fingers to {learnt.after}" in said[0]
    assert any(line.startswith("The little finger plays less gladly") for line in said)
    hand = replace(MEDIUM, habits=learnt.habits)
    new = lines(12, 5)
    usual = own = 0
    for notes in new:
        wanted = played(notes, THREE_FINGERS)
        usual += sum(a == b for a, b in zip(played(notes, MEDIUM), wanted, strict=True))
        own += sum(a == b for a, b in zip(played(notes, hand), wanted, strict=True))
    assert own > usual


def test_who_plays_as_usual_keeps_the_usual_hand() -> None:
    shown = [fingered_line(notes, [played(notes, MEDIUM)]) for notes in lines(5, 7)]
    learnt = learn_hand(shown)
    assert not learnt.better
    assert learnt.habits == ()
    assert learnt.before == learnt.notes
    assert "the usual hand stays" in hand_in_words(learnt)[-1]


def test_a_hand_is_not_learnt_from_three_lines() -> None:
    shown = [fingered_line(notes, [played(notes, MEDIUM)]) for notes in lines(3, 7)]
    with pytest.raises(HandError, match="3 fingered lines, and a hand is learnt from 4"):
        learn_hand(shown)


def test_every_weight_has_its_words() -> None:
    assert set(_WORDS) == set(HandWeights.__dataclass_fields__)


def test_a_hand_goes_into_its_file_and_comes_back(tmp_path: Path) -> None:
    path = tmp_path / "own.hand"
    path.write_text(print_profile(THREE_FINGERS, ["learnt from 8 lines"]))
    assert read_profile(path) == THREE_FINGERS
    assert weights_of(read_profile(path)).little == 4000


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("hand: huge", "line 1: there is no hand 'huge'"),
        ("\nshift 12", "line 2: 'shift 12' is no name"),
        ("shift: -4", "line 1: '-4' is no weight for 'shift'"),
        ("shift: 4\nshift: 5", "line 2: 'shift' comes twice"),
        ("shfit: 4", "line 1: the hand 'medium' has a habit 'shfit' that no finger has"),
        ("shift: 99999999", "line 1: .* weight of 99999999"),
    ],
)
def test_a_file_that_is_no_hand_is_refused_by_line(text: str, said: str) -> None:
    with pytest.raises(HandError, match=said):
        parse_profile(text)


def test_a_hand_that_is_not_there_is_refused(tmp_path: Path) -> None:
    with pytest.raises(HandError, match="cannot be read"):
        read_profile(tmp_path / "none.hand")
