"""What a page follows a sound by, against the Score and the page themselves."""

from __future__ import annotations

import itertools
import json
from pathlib import Path

import pytest

from lickwright.drawing.neck_marks import lick_marks
from lickwright.engrave.diagram import mark_places
from lickwright.engrave.page.systems import engrave
from lickwright.engrave.web.follow import NeckTimes, follow_data
from lickwright.lesson.compile.examples import Workshop
from lickwright.lesson.file.reading import load_lesson
from lickwright.score.score import Score


@pytest.fixture(scope="module")
def scores(demo_path: Path) -> list[Score]:
    lesson = load_lesson(demo_path)
    shop = Workshop(lesson)
    return [shop.worked(index).score for index in range(len(lesson.examples))]


def test_every_note_is_followed_where_its_number_stands(scores: list[Score]) -> None:
    for score in scores:
        engraving = engrave(score, 170.0)
        marks = lick_marks(score.lick)
        places = mark_places(score.guitar, marks)
        data = json.loads(follow_data(score, engraving, [NeckTimes(((0.0, 4.0),), places)]))
        assert [bar[1:] for bar in data["bars"]] == [
            [float(bar.onset), float(bar.end)] for bar in score.bars
        ]
        assert len(data["notes"]) == len(score.lick.notes)
        onsets = [note[0] for note in data["notes"]]
        assert onsets == sorted(onsets), "the page looks for the last that has begun"
        for index, (onset, end, system, x, name) in enumerate(data["notes"]):
            note = score.lick.notes[index]
            assert onset == pytest.approx(float(note.onset), abs=1e-4)
            assert end == pytest.approx(float(note.end), abs=1e-4)
            assert name == f"{note.position.string}/{note.position.fret}"
            first = next(
                head for head in engraving.systems[system].heads if head.id == f"t{index + 1}"
            )
            assert x * engraving.systems[system].width_mm == pytest.approx(first.x_mm, abs=0.02)
            if not note.marks.dead:
                assert data["necks"][0]["places"][name] == pytest.approx(
                    places[note.position], abs=0.05
                )


def test_notes_of_a_line_move_to_the_right(scores: list[Score]) -> None:
    for score in scores:
        notes = json.loads(follow_data(score, engrave(score, 170.0), []))["notes"]
        for (_, _, system, x, _), (_, _, next_system, next_x, _) in itertools.pairwise(notes):
            assert (next_system, next_x) > (system, x)
