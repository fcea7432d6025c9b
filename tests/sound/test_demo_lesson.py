"""The demo lesson as it ships: every note of every example, at both tempi, by another ear."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from lickwright.lesson.compile.examples import Workshop
from lickwright.lesson.file.reading import load_lesson

from .test_readback import late_onsets, misread

#: The slow tempo is twice the sound: a third of the examples, or all (``make bench``).
SLOW_STEP = 1 if os.environ.get("LICKWRIGHT_WHOLE") == "1" else 3
DEMO = Path(__file__).parents[2] / "examples" / "two-triads-one-chord.yaml"


@pytest.fixture(scope="module")
def scores():
    lesson = load_lesson(DEMO)
    workshop = Workshop(lesson)
    return [workshop.worked(index).score for index in range(len(lesson.examples))]


@pytest.mark.parametrize(("speed", "step"), [("slow_bpm", SLOW_STEP), ("target_bpm", 1)])
def test_the_whole_demo_is_read_back_in_pitch_and_time(scores, speed, step):
    assert sum(len(score.lick.notes) for score in scores) > 100
    for score in scores[::step]:
        tempo = getattr(score, speed)
        assert misread(score, tempo, "clean") == []
        assert late_onsets(score, tempo) == []
