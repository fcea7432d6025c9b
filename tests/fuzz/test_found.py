"""Inputs that once broke something, each kept so that it never does again."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from lickwright.changes.progression.chart import parse_changes
from lickwright.errors import (
    ContourError,
    Finding,
    HandError,
    LessonError,
    LickwrightError,
    RhythmError,
    Spot,
    TheoryError,
)
from lickwright.lesson.compile import Workshop
from lickwright.lesson.file.reading import read_lesson
from lickwright.lick.phrase.contour import parse_contour
from lickwright.lick.picking.text import parse_strokes
from lickwright.lick.rhythm.reading import parse_rhythm
from lickwright.theory import parse_note_name
from lickwright.theory.chord import parse_chord


@pytest.mark.parametrize("text", ["(" * 3000, "(" * 3000 + "e" + ")" * 3000, "3(" + "(e " * 900])
def test_brackets_in_brackets_end_a_rhythm_in_a_sentence(text: str) -> None:
    with pytest.raises(RhythmError, match="too deep"):
        parse_rhythm(text)


def test_a_bracket_too_many_is_to_be_taken_out() -> None:
    with pytest.raises(RhythmError, match=r"never opened\. Take it out"):
        parse_rhythm("q e) s")


def test_a_few_brackets_are_still_read() -> None:
    assert str(parse_rhythm("((e s s) x2 (q)) x2")) == str(parse_rhythm("(e s s e s s q) x2"))
    assert len(parse_strokes("(((D U) x2 D) x2) x2")) == 20


@pytest.mark.parametrize("text", ["(" * 3000, "D(" * 3000 + "D" + ")" * 3000])
def test_brackets_in_brackets_end_strokes_in_a_sentence(text: str) -> None:
    with pytest.raises(HandError, match="too deep"):
        parse_strokes(text)


LONG = "Dm9 and more " * 5_000
STEERING = "Dm9\x1b[31m\n\u202e\x00"


@pytest.mark.parametrize("text", [LONG, STEERING], ids=["long", "steering"])
@pytest.mark.parametrize(
    ("parse", "error"),
    [
        (parse_chord, TheoryError),
        (parse_rhythm, RhythmError),
        (parse_contour, ContourError),
        (parse_strokes, HandError),
    ],
)
def test_a_refusal_is_one_short_line_whatever_it_quotes(
    parse: Callable[[str], object], error: type[LickwrightError], text: str
) -> None:
    with pytest.raises(error) as caught:
        parse(text)
    said = str(caught.value)
    assert said.isprintable()
    assert len(said) < 1_000


def test_a_refused_lesson_is_told_in_one_short_line() -> None:
    text = 'lesson: "x"\nkey: "' + "D dorian \\e[31m" * 3_000 + '"\nexamples: []\n'
    with pytest.raises(LessonError) as caught:
        read_lesson(text, Path("long.yaml"))
    assert str(caught.value).isprintable()
    assert len(str(caught.value)) < 1_000


@pytest.mark.parametrize("text", ["? [a]\n: b\n", "text:\n? \n- na0.0me:\n", "? {a: b}\n"])
def test_a_key_that_cannot_be_one_is_told(text: str) -> None:
    with pytest.raises(LessonError, match=r"before each colon|no key"):
        read_lesson(text, Path("keys.yaml"))


def test_an_anchor_that_is_named_again_says_nothing_on_the_terminal(
    recwarn: pytest.WarningsRecorder,
) -> None:
    with pytest.raises(LessonError):
        read_lesson("lesson: &a One\nkey: &a D dorian\nexamples: []\n", Path("anchors.yaml"))
    assert [str(each.message) for each in recwarn.list] == []


def test_a_small_numeral_has_no_major_third() -> None:
    """``ia`` was read as i and a, "ma": a major chord that printed as another one."""
    with pytest.raises(TheoryError, match="major third"):
        parse_changes("Dm9 | ia", "C major")
    assert [str(placed.chord) for placed in parse_changes("imaj7", "C major").chords] == [
        "Cm(maj7)"
    ]


def test_a_finding_is_one_short_line_too() -> None:
    finding = Finding("error", f"'{STEERING}' is no chord", "Write another", Spot("a.yaml", 3))
    assert str(finding).isprintable()
    assert str(finding).startswith("a.yaml:3: error: 'Dm9\\x1b[31m\\n")


def test_a_line_lands_on_the_chord_of_the_band() -> None:
    """A line over ``under`` has no bass of its own: it lands on that chord."""
    text = (
        "lesson: T\nkey: Am\nexamples:\n  - name: One\n    triads: [C]\n    frets: 5-8\n"
        '    landing: "3"\n    under: C(add9)/E\n'
    )
    score = Workshop(read_lesson(text, Path("landing.yaml"))).worked(0).score
    assert score.lick.notes[-1].pitch.name == parse_note_name("E")
