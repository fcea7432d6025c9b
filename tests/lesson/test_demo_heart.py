"""What the demo lesson is there to show: one lick of two merged pairs, and what becomes of it.

That a student wants the same hands for the same shape is common practice, no source.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from lickwright.changes.carry.moves import MoveKind
from lickwright.lesson.compile.examples import Workshop
from lickwright.lesson.file.reading import load_lesson
from lickwright.lick.notes import LickNote
from lickwright.lick.picking.check import check_strokes
from lickwright.lick.picking.text import mirror_strokes
from lickwright.theory.hearing.claim import judge

NAMES = {
    "lick": "Two pairs, one lick",
    "bass": "Not one finger moves",
    "chords": "Two pairs over four chords",
    "easy": "Two pairs, for a first week",
}


@pytest.fixture(scope="module")
def shop() -> Workshop:
    return Workshop(
        load_lesson(Path(__file__).parents[2] / "examples" / "two-triads-one-chord.yaml")
    )


def index(shop: Workshop, which: str) -> int:
    return [example.name for example in shop.lesson.examples].index(NAMES[which])


def notes(shop: Workshop, which: str) -> tuple[LickNote, ...]:
    return shop.worked(index(shop, which)).score.lick.notes


def test_part_two_is_swept_the_other_way(shop: Workshop) -> None:
    for which in ("lick", "easy"):
        lick = shop.worked(index(shop, which)).score.lick
        first, second = ([note.stroke for note in lick.notes_of(part)] for part in (0, 1))
        assert second == mirror_strokes(first)
        heights = [[note.pitch.midi for note in lick.notes_of(part)] for part in (0, 1)]
        assert heights[0] == sorted(heights[0])
        assert heights[1] == sorted(heights[1], reverse=True)


def test_the_same_hands_play_over_a_new_bass(shop: Workshop) -> None:
    own = notes(shop, "lick")
    hands = [(note.position, note.finger, note.stroke) for note in own]
    there = notes(shop, "bass")
    assert [(note.position, note.finger, note.stroke) for note in there] == hands * 3
    spans = shop.worked(index(shop, "bass")).spans
    assert [str(span.over) for span in spans] == ["B", "G", "E"]


def test_the_walk_is_the_first_way_and_every_chord_is_borne_out(shop: Workshop) -> None:
    (way,) = shop.ways(index(shop, "chords"), 1)
    wanted = [MoveKind.AS_MADE, MoveKind.GRIP, MoveKind.TRIADS, MoveKind.BACK]
    assert [choice.move.kind for choice in way.choices] == wanted
    carried = way.lick.notes
    for choice in way.choices:
        inside = [n for n in carried if choice.placed.onset <= n.onset < choice.placed.end]
        sounding = [note.pitch.midi % 12 for note in inside]
        assert judge(choice.placed.chord, sounding, choice.placed.chord.bass_note).holds == "yes"
    positions, strokes = [n.position for n in carried], [n.stroke for n in carried]
    assert check_strokes(positions, strokes, onsets=[n.onset for n in carried]) == []
    # The same grip has the same fingers.
    fingers = [[n.finger for n in carried[at : at + 10]] for at in (0, 10, 30)]
    assert fingers[0] == fingers[1] == fingers[2]
