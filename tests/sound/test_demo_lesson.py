"""The demo lesson as it ships: every note of every example, at both tempi, by another ear."""

from __future__ import annotations

from pathlib import Path

import pytest

from lickwright.lesson.compile.examples import Workshop
from lickwright.lesson.file.reading import load_lesson

from .test_readback import late_onsets, misread

DEMO = Path(__file__).parents[2] / "examples" / "two-triads-one-chord.yaml"


@pytest.fixture(scope="module")
def scores():
    lesson = load_lesson(DEMO)
    workshop = Workshop(lesson)
    return [workshop.worked(index).score for index in range(len(lesson.examples))]


@pytest.mark.parametrize("speed", ["slow_bpm", "target_bpm"])
def test_the_whole_demo_is_read_back_in_pitch_and_time(scores, speed):
    assert sum(len(score.lick.notes) for score in scores) > 100
    for score in scores:
        tempo = getattr(score, speed)
        assert misread(score, tempo, "clean") == []
        assert late_onsets(score, tempo) == []
