"""Ideas from the command line, and whether what is written makes what was judged."""

from __future__ import annotations

import json

import pytest
from typer.testing import CliRunner

from lickwright.cli.app import app
from lickwright.lesson import check
from lickwright.lesson.compile import Workshop, phrase_ideas
from lickwright.lesson.compile.ideas import RHYTHMS
from lickwright.lesson.file import load_lesson
from lickwright.lick.phrase import guide_tones, landing_tones, parse_landing
from lickwright.theory import parse_chord, parse_key, parse_triad

LESSON = """lesson: Trial
key: {key}
examples:
  - name: First
    triads: [D, F#m]
    over: B
"""

#: Chord, key, triads: a pair that is given, and chords alone.
ASKED = [
    ("Bm9", "B dorian", "D F#m"),
    ("G13", "C major", ""),
    ("Cmaj9", "C major", "G Em"),
    ("F#7alt", "B minor", ""),
]


def found_for(chord, key, triads, **other):
    return phrase_ideas(
        parse_chord(chord),
        parse_key(key),
        triads=[parse_triad(text) for text in triads.split()],
        **other,
    )


@pytest.fixture(scope="module")
def ideas():
    return {row: found_for(*row) for row in ASKED}


@pytest.mark.parametrize("row", ASKED)
def test_the_first_is_the_best_and_all_differ(ideas, row):
    found = ideas[row]
    assert len(found) == 6
    assert found[0].points == min(one.points for one in found)
    assert len({json.dumps(one.entry) for one in found}) == 6
    # No twins: of joining, contour, rhythm, landing and place, any two differ in two at least.
    keys = ("contour", "cells", "approach", "rhythm", "landing", "bars", "frets", "triads")
    for at, one in enumerate(found):
        for other in found[:at]:
            assert sum(one.entry.get(key) != other.entry.get(key) for key in keys) >= 2


@pytest.mark.parametrize("row", ASKED)
def test_every_idea_is_a_lesson_that_lands_as_it_says(ideas, row, tmp_path):
    chord, key, _ = row
    runner, path = CliRunner(), tmp_path / "lesson.yaml"
    path.write_text(LESSON.format(key=key), "utf-8")
    arguments = ["ideas", chord, *row[2].split(), "--key", key, "--into", str(path), "--take", "3"]
    result = runner.invoke(app, arguments)
    assert result.exit_code == 0, result.output
    lesson = load_lesson(path)
    assert lesson.examples[-1].name == f"Idea 3 over {chord}"
    line = Workshop(lesson).worked(len(lesson.examples) - 1).score.lick
    landing = parse_landing(ideas[row][2].entry["landing"])
    last = line.notes[-1]
    assert landing_tones(landing, parse_chord(chord)) >> last.pitch.midi % 12 & 1
    assert last.duration == 2
    assert all(note.stroke is not None or note.technique != "pick" for note in line.notes)
    assert not [finding for finding in check(lesson) if finding.severity == "error"]


def test_an_idea_taken_twice_has_a_name_of_its_own(tmp_path):
    path = tmp_path / "lesson.yaml"
    path.write_text(LESSON.format(key="B dorian"), "utf-8")
    for _ in range(2):
        arguments = ["ideas", "Bm9", "D", "F#m", "--into", str(path), "--frets", "7-12"]
        assert CliRunner().invoke(app, arguments).exit_code == 0
    names = [example.name for example in load_lesson(path).examples]
    assert names == ["First", "Idea 1 over Bm9", "Idea 1 over Bm9 (2)"]


def test_ideas_are_printed_for_machines_and_always_the_same():
    arguments = ["ideas", "Bm9", "D", "F#m", "--frets", "7-12", "--show", "3", "--json"]
    first, again = (CliRunner().invoke(app, arguments).output for _ in range(2))
    assert first == again
    rows = json.loads(first)
    assert [sorted(row) for row in rows] == [["example", "points", "why"]] * 3
    assert all(row["example"]["rhythm"] in RHYTHMS and row["why"] for row in rows)


def test_no_sum_of_judgements_beats_the_first():
    """The first of one is the first of many: what is chosen beside it changes nothing."""
    (one,) = found_for("Bm9", "B dorian", "D F#m", count=1)
    assert one == found_for("Bm9", "B dorian", "D F#m", count=12)[0]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["Hm9"], "Hm9"),
        (["Bm9", "D"], "triads"),
        (["Bm9", "D", "F#m", "--frets", "1-2"], "Widen the frets"),
        (["Bm9", "D", "X"], "X"),
    ],
)
def test_what_cannot_be_asked_gets_one_sentence(arguments, said):
    result = CliRunner().invoke(app, ["ideas", *arguments])
    assert result.exit_code != 0
    assert said in f"{result.output} {result.exception}"


def test_no_idea_lands_on_a_tone_that_the_chord_has_not():
    suspended = parse_chord("G9sus4")
    for one in found_for("G9sus4", "C major", "F Dm", count=12):
        tones = landing_tones(parse_landing(one.entry["landing"]), suspended)
        assert tones & suspended.mask


def test_guide_tones_are_what_ideas_land_on_first(ideas):
    for (chord, _, _), found in ideas.items():
        tones = {name.pc for _, name in guide_tones(parse_chord(chord))}
        landing = landing_tones(parse_landing(found[0].entry["landing"]), parse_chord(chord))
        ninth = found[0].entry["landing"].startswith("9")
        assert ninth or landing in {1 << pc for pc in tones}
