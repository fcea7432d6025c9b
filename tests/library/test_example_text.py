"""A lick of the shelf goes back into a lesson file and is the same lick there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from lickwright.lesson.checks import check
from lickwright.lesson.file.reading import load_lesson
from lickwright.lick.notes import ALONE
from lickwright.score.score import ChordSpan
from lickwright.shelf.errors import ShelfError
from lickwright.shelf.licks.as_example import example_text
from lickwright.shelf.licks.shelved import ShelvedLesson
from lickwright.shelf.licks.shelving import shelved_lesson
from lickwright.theory.chord import parse_chord

HEAD = "lesson: Taken from the shelf\nkey: C major\nexamples:\n"

PICKUP = """\
lesson: Short first bar
key: G mixolydian
time: 6/8
guitar: {tuning: drop D}
examples:
  - name: From the upbeat
    over: G
    pickup: 1
    tab: |
      e|---|-------------------|
      B|---|---------------8---|
      G|---|-------7--9h10-----|
      D|-9-|-5-7-9-------------|
      A|---|-------------------|
      D|---|-------------------|
    rhythm: e e e e e s. t e
"""


def test_every_example_of_the_demo_goes_back(
    demo: ShelvedLesson, write: Callable[..., Path]
) -> None:
    text = HEAD + "".join(example_text(lick.score) for lick in demo.licks)
    lesson = load_lesson(write(text))
    again = shelved_lesson(lesson)
    for before, after in zip(demo.licks, again.licks, strict=True):
        old, new = before.score, after.score
        assert new.name == old.name
        assert new.bars == old.bars
        assert new.chords == old.chords
        assert (new.slow_bpm, new.target_bpm) == (old.slow_bpm, old.target_bpm)
        for one, two in zip(old.lick.notes, new.lick.notes, strict=True):
            # Which triad and part a note belongs to is not written; everything that sounds is.
            assert replace(two, voice=None) == replace(one, voice=None, belongs=ALONE)


def test_a_pickup_and_another_tuning_go_back(write: Callable[..., Path]) -> None:
    first = shelved_lesson(load_lesson(write(PICKUP))).licks[0].score
    head = HEAD.replace("examples:", "guitar: {tuning: drop D}\nexamples:")
    lesson = load_lesson(write(head + example_text(first), "again.yaml"))
    again = shelved_lesson(lesson).licks[0].score
    assert again.lick == first.lick
    assert again.bars == first.bars
    assert [finding for finding in check(lesson) if finding.severity == "error"] == []


def test_what_a_lesson_file_has_no_words_for_is_told(demo: ShelvedLesson) -> None:
    score = demo.licks[0].score
    with pytest.raises(ShelfError, match="no bass was named"):
        example_text(replace(score, chords=()))
    assert "over: B" in example_text(replace(score, chords=()), over="B")
    uneven = replace(score.bars[-1], length=Fraction(3))
    with pytest.raises(ShelfError, match="unlike time"):
        example_text(replace(score, bars=(*score.bars[:-1], uneven)))


def test_chords_inside_a_bar_are_written_as_shares(demo: ShelvedLesson) -> None:
    score = demo.licks[0].score
    chords = [("0", "2", "Bm9"), ("2", "1", "E13"), ("3", "5", "Amaj9")]
    spans = tuple(
        ChordSpan(Fraction(onset), Fraction(length), chord, chord.notes, chord.bass_note)
        for onset, length, symbol in chords
        for chord in (parse_chord(symbol),)
    )
    assert "changes: Bm9 . E13 Amaj9 | .\n" in example_text(replace(score, chords=spans))
