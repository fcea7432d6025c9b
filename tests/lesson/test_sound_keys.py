"""What a lesson says of swing and sound, and what an example says in its stead."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import pytest

from lickwright.errors import LessonError
from lickwright.lesson.compile import Workshop
from lickwright.lesson.file import read_lesson
from lickwright.publish import playing_of
from lickwright.score import STRAIGHT, Swing

_HEAD = "lesson: A\nkey: C ionian\n"
_TAIL = "examples:\n  - {name: One, triads: [C], over: C, frets: 5-9, rhythm: 8ths%s}\n"


def lesson(keys: str = "", own: str = ""):
    return read_lesson(_HEAD + keys + _TAIL % own, Path("a.yaml"))


@pytest.mark.parametrize(
    ("keys", "own", "swing"),
    [
        ("", "", None),
        ("backing: shuffle\n", "", Swing(Fraction(2))),
        ("backing: swing\n", "", Swing()),
        ("backing: none\n", "", None),
        ("backing: none\nswing: 3:2\n", "", Swing(Fraction(3, 2))),
        ("backing: shuffle\nswing: straight\n", "", STRAIGHT),
        ("backing: shuffle\n", ", backing: straight", None),
        ("backing: shuffle\n", ", swing: straight", STRAIGHT),
        ("swing: by tempo\n", ", swing: 16ths 2:1", Swing(Fraction(2), Fraction(1, 4))),
    ],
)
def test_an_example_swings_as_it_says_or_the_lesson_or_its_band(keys, own, swing):
    read = lesson(keys, own)
    assert read.swing_of(read.examples[0]) == swing
    assert Workshop(read).worked(0).score.swing == swing


def test_the_sound_of_an_example_falls_back_key_by_key():
    read = lesson("sound: {tone: crunch, pickup: neck, band: -4}\n", ", sound: {band: -8}")
    playing = playing_of("funk", read.sound_of(read.examples[0]))
    assert (playing.tone, playing.pickup, playing.pick) == ("crunch", "neck", "")
    assert (playing.band_lu, playing.feel, playing.with_backing) == (-8, "funk", True)
    assert not playing_of("none", read.sound_of(read.examples[0])).with_backing


@pytest.mark.parametrize(
    ("keys", "line", "mend"),
    [
        ("swing: 9:1\n", 3, "1:1"),
        ("swing: a lot\n", 3, "by tempo"),
        ("sound: {tone: cleen}\n", 3, "clean"),
        ("sound: {lead: 3}\n", 3, "tone"),
        ("backing: swig\n", 3, "swing"),
    ],
)
def test_a_slip_is_told_with_its_line_and_how_to_mend_it(keys, line, mend):
    with pytest.raises(LessonError) as slip:
        lesson(keys)
    assert slip.value.where.line == line
    assert mend in slip.value.mend
