"""A Score written as words reads back the same, and damage is told."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import fields, replace
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.lick import (
    Belonging,
    Lick,
    LickNote,
    Marks,
    Part,
    PartLink,
    Stroke,
    Technique,
    Tuplet,
)
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.tunings import TUNINGS, parse_tuning
from lickwright.score.score import Bar, ChordSpan, Score
from lickwright.shelf.errors import ShelfError
from lickwright.shelf.licks.scores import score_data, score_from, score_from_json, score_json
from lickwright.shelf.licks.shelved import ShelvedLesson
from lickwright.theory.chord import parse_chord
from lickwright.theory.key import parse_key
from lickwright.theory.pitch import LETTERS, NoteName, parse_note_name, pitch_from_midi

NAMES = [NoteName(letter, alter) for letter in LETTERS for alter in (-2, -1, 0, 1, 2)]


@st.composite
def scores(draw: st.DrawFn) -> Score:
    """Any Score that the rooms above could make, however odd."""
    tuning = parse_tuning(draw(st.sampled_from(sorted(TUNINGS))))
    guitar = Guitar(
        tuning, 24, tuple(draw(st.floats(500, 800)) for _ in tuning), 8.25, draw(st.integers(0, 5)),
        draw(st.booleans()),
    )  # fmt: skip
    moment, notes = Fraction(0), []
    for _ in range(draw(st.integers(0, 12))):
        place = Position(
            draw(st.integers(1, guitar.string_count)), draw(st.integers(0, guitar.last_fret))
        )
        midi = guitar.midi_at(place)
        names = [name for name in NAMES if name.pc == midi % 12]
        moment += draw(st.sampled_from((Fraction(0), Fraction(1, 4), Fraction(1, 3))))
        length = Fraction(draw(st.integers(1, 24)), draw(st.sampled_from((1, 4, 5, 7, 12))))
        notes.append(
            LickNote(
                place,
                pitch_from_midi(midi, draw(st.sampled_from(names))),
                moment,
                length,
                draw(st.none() | st.integers(0, 4)),
                draw(st.none() | st.sampled_from(Stroke)),
                draw(st.sampled_from(Technique)),
                Marks(*(draw(st.booleans()) for _ in fields(Marks))),
                draw(st.none() | st.integers(0, 3)),
                draw(st.none() | st.sampled_from(("1", "b3", "#11", "bb7"))),
                Belonging(
                    tuple(draw(st.lists(st.integers(0, 2), unique=True))),
                    draw(st.none() | st.integers(0, 1)),
                ),
            )
        )
        moment += length
    end = moment + 1
    parts = (
        Part("call", Fraction(0), end / 3),
        Part(draw(st.text(max_size=9)), end / 3, end - end / 3, draw(st.sampled_from(PartLink)), 0),
    )
    chord = parse_chord(draw(st.sampled_from(("Bm9", "F#7b9/A#", "D/Cmaj7", "Ebsus4"))))
    return Score(
        draw(st.text(max_size=20)),
        guitar,
        Lick(tuple(notes), end, (Tuplet(Fraction(0), Fraction(1), 3, 2),), parts),
        (
            Bar(0, Fraction(0), end / 2, 7, 8, parse_key("F# dorian")),
            Bar(1, end / 2, end / 2, 4, 4, parse_key("A harmonic minor")),
        ),
        (
            ChordSpan(Fraction(0), end / 2, chord, chord.notes, chord.bass_note),
            ChordSpan(end / 2, end / 2, None, (parse_note_name("Abb"),), parse_note_name("C##")),
        ),
        draw(st.floats(20, 100)),
        draw(st.floats(100, 400)),
    )


@settings(max_examples=60)
@given(scores())
def test_what_is_written_reads_back_the_same(score: Score) -> None:
    line = score_json(score)
    assert "\n" not in line
    assert score_from_json(line) == score
    assert score_json(score_from_json(line)) == line


def test_the_demo_reads_back_the_same(demo: ShelvedLesson) -> None:
    for lick in demo.licks:
        assert score_from(json.loads(score_json(lick.score))) == lick.score


def _set(name: str, value: object) -> Callable[[dict[str, Any]], None]:
    return lambda data: data.__setitem__(name, value)


def _word(name: str, word: str) -> Callable[[dict[str, Any]], None]:
    def change(data: dict[str, Any]) -> None:
        usual = " ".join("." * len(data["places"].split()))
        data[name] = " ".join([word, *data.get(name, usual).split()[1:]])

    return change


@pytest.mark.parametrize(
    ("damage", "said"),
    [
        (_set("guitar", None), "missing"),
        (_set("guitar", {"strings": "E2 A2"}), "count"),
        (_set("bars", []), "no bars"),
        (_set("bars", [[1, "0", "4", "4/3", "C major"]]), "time signature"),
        (_set("bars", [[1, "1/0", "4", "4/4", "C major"]]), "length"),
        (_set("tempo", [90, 60]), "tempi"),
        (_set("tempo", [True, 60]), "number"),
        (_set("tuplets", [[1]]), "row"),
        (_word("places", "1/99"), "not on its instrument"),
        (_word("places", "9/1"), "not on its instrument"),
        (_word("places", "x"), "no string and fret"),
        (_word("pitches", "C4"), "does not sound"),
        (_word("onsets", "1e9"), "length"),
        (_word("onsets", "-1"), "does not follow"),
        (_word("lengths", "0"), "does not follow"),
        (_word("lengths", "99999"), "does not follow"),
        (_word("fingers", "5"), "no finger"),
        (_word("strokes", "X"), "no stroke"),
        (_set("techniques", "pick"), "words for"),
        (_set("onsets", "0"), "words for"),
        (_word("part", "3"), "belongs to part 3 of 2"),
        (_word("triads", "-1"), "names no triads"),
        (_set("parts", [["call", "0", "4", None, 0]]), "before it"),
        (_set("parts", [["call", "0", "4", "echo", 0]]), "does with another"),
    ],
)
def test_damage_is_told_in_a_sentence(
    demo: ShelvedLesson, damage: Callable[[dict[str, Any]], None], said: str
) -> None:
    data = score_data(demo.licks[0].score)
    damage(data)
    with pytest.raises(ShelfError, match=said):
        score_from(json.loads(json.dumps(data)))


def test_a_lick_that_ends_after_its_bars_is_damaged(demo: ShelvedLesson) -> None:
    score = demo.licks[0].score
    with pytest.raises(ShelfError, match="after its last bar"):
        score_from_json(score_json(replace(score, bars=score.bars[:1])))


@pytest.mark.parametrize("line", ["", "[", "7", "null", "[" * 5000, '"\\ud800"'])
def test_what_is_no_lick_is_refused(line: str) -> None:
    with pytest.raises(ShelfError, match="damaged"):
        score_from_json(line)
