"""From an example's keys to a Score."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from lickwright.errors import LickwrightError
from lickwright.lesson.compile.as_tab import tab_example
from lickwright.lesson.compile.examples import Worked, Workshop
from lickwright.lesson.edit.yaml_style import list_entry
from lickwright.lesson.file.reading import load_lesson
from lickwright.lick.notes import Stroke
from lickwright.lick.picking.check import check_strokes
from lickwright.lick.rhythm.reading import parse_rhythm
from lickwright.lick.tab.writing import print_tab

Write = Callable[[str], Path]


def work(path: Path, index: int = 0) -> Worked:
    return Workshop(load_lesson(path)).worked(index)


def test_a_pair_becomes_a_score_with_everything_decided(small: str, write: Write) -> None:
    worked = work(write(small))
    notes = worked.score.lick.notes
    assert all(note.finger is not None and note.degree and note.stroke for note in notes)
    assert [bar.length for bar in worked.score.bars] == [Fraction(4)]
    assert worked.score.length == 4
    (span,) = worked.spans
    assert span.readings[0].symbol == "Bm9"
    guitar = worked.score.guitar
    for note in notes:
        assert guitar.midi_at(note.position) == note.pitch.midi
        assert 9 <= note.position.fret <= 16
    assert not check_strokes([n.position for n in notes], [n.stroke for n in notes])


def test_own_tab_keeps_every_place_and_gets_the_rest(small: str, write: Write) -> None:
    worked = work(write(small), 1)
    notes = worked.score.lick.notes
    assert [(n.position.string, n.position.fret) for n in notes] == [
        (4, 12),
        (3, 11),
        (2, 10),
        (1, 9),
    ]
    assert [str(n.pitch) for n in notes] == ["D4", "F#4", "A4", "C#5"]
    assert [n.degree for n in notes] == ["b3", "5", "b7", "9"]
    assert [n.duration for n in notes] == [1] * 4


def test_the_teachers_strokes_and_fingers_win(small: str, write: Write) -> None:
    text = small.replace("rhythm: q\n", "rhythm: q\n    strokes: DU\n    fingers: 4 . . 1\n")
    notes = work(write(text), 1).score.lick.notes
    assert [n.stroke for n in notes] == [Stroke.DOWN, Stroke.UP] * 2
    assert notes[0].finger == 4
    assert notes[3].finger == 1


def test_one_sound_has_one_name_in_a_bar(small: str, write: Write) -> None:
    text = small.replace(
        "triads: [D, F#m]\n    over: B\n    implies: Bm9",
        "triads: [F#, Edim]\n    over: F#\n    implies: F#7b9",
    )
    names = {
        note.pitch.midi % 12: str(note.pitch.name) for note in work(write(text)).score.lick.notes
    }
    assert names[10] == "A#"  # Edim alone would write Bb


def test_each_triad_may_have_frets_of_its_own(small: str, write: Write) -> None:
    text = small.replace("frets: 9-16", "frets: [9-12, 14-17]\n    strings: 1-4")
    notes = work(write(text)).score.lick.notes
    for note in notes:
        low, high = ((9, 12), (14, 17))[note.voice or 0]
        assert low <= note.position.fret <= high


def test_a_carried_lick_implies_each_chord(small: str, write: Write) -> None:
    text = small + "  - name: Carried\n    lick: The pair\n    changes: Bm9 | E13 . Amaj9\n"
    worked = work(write(text), 2)
    assert [str(span.claim) for span in worked.spans] == ["Bm9", "E13", "Amaj9"]
    assert [span.length for span in worked.spans] == [4, Fraction(8, 3), Fraction(4, 3)]
    for span in worked.spans:
        assert str(span.claim) in [reading.symbol for reading in span.readings[:3]]
    assert len(worked.choices) == 3


def test_a_pinned_bar_keeps_its_triads(small: str, write: Write) -> None:
    text = small + (
        "  - name: Carried\n    lick: The pair\n    changes: E13 | Bm9\n"
        "    pins: {2: {triads: [D, F#m], frets: 7-17}}\n"
    )
    worked = work(write(text), 2)
    assert [str(triad) for triad in worked.spans[1].triads] == ["D", "F#m"]


def test_a_pickup_comes_before_bar_one(small: str, write: Write) -> None:
    lines = ["e|--|-----------9-|", "B|--|-------10----|", "G|--|----11-------|"]
    lines += ["D|12|-------------|", "A|--|-------------|", "E|--|-------------|"]
    text = small[: small.index("    tab: |")] + "    pickup: 1\n    rhythm: q\n    tab: |\n"
    text += "".join(f"      {line}\n" for line in lines)
    worked = work(write(text), 1)
    assert [(bar.number, bar.onset, bar.length) for bar in worked.score.bars] == [
        (0, 0, 1),
        (1, 1, 4),
    ]


@pytest.mark.parametrize(
    ("meter", "bars"), [("3/4", [3]), ("6/8", [3]), ("7/8", [Fraction(7, 2)]), ("5/4", [5])]
)
def test_other_meters_fill_their_bars(
    small: str, write: Write, meter: str, bars: list[int]
) -> None:
    text = small.replace("    contour", f"    time: {meter}\n    bars: 1\n    contour")
    worked = work(write(text))
    assert [bar.length for bar in worked.score.bars] == bars
    assert worked.score.lick.notes[-1].end == bars[0]


@pytest.mark.parametrize("index", [0, 3, 4, 5])  # a carried lick of parts is no tab
def test_writing_an_example_as_tab_and_reading_it_again_gives_the_same_music(
    demo_path: Path, tmp_path: Path, index: int
) -> None:
    lesson = load_lesson(demo_path)
    shop = Workshop(lesson)
    worked = shop.worked(index)
    entry = lesson.examples[index]
    text = "lesson: L\nkey: B minor\nexamples:\n"
    text += list_entry(tab_example(worked, shop.meter(entry), entry.changes), 2) + "\n"
    path = tmp_path / "as_tab.yaml"
    path.write_text(text, encoding="utf-8")
    again = work(path)
    here, there = worked.score.lick, again.score.lick
    assert [(n.position, n.onset, n.duration, n.stroke, n.finger) for n in here.notes] == [
        (n.position, n.onset, n.duration, n.stroke, n.finger) for n in there.notes
    ]
    assert [n.pitch for n in here.notes] == [n.pitch for n in there.notes]
    assert here.tuplets == there.tuplets


#: What is bent in the small lesson's own tab, what the sentence says, the line it names.
IMPOSSIBLE = [
    ("D|-12-------------|", "D|-30-------------|", "30", "D|-30"),
    ("D|-12-------------|", "D|-12------------|", "long", "D|-12"),
    ("D|-12-------------|", "F|-12-------------|", "F", "F|-12"),
    ("G|----11----------|", "G|-11-------------|", "two notes", "G|-11"),
    ("A|----------------|\n", "", "line", "tab: |"),
    ("rhythm: q", "rhythm: q q h h", "bar", "rhythm: q q"),
    ("rhythm: q", "rhythm: q\n    fingers: 1 2 3 4 1", "5 fingers for 4 notes", "fingers"),
]


@pytest.mark.parametrize(("old", "new", "says", "near"), IMPOSSIBLE)
def test_impossible_music_is_told_with_its_line(
    small: str, write: Write, old: str, new: str, says: str, near: str
) -> None:
    assert old in small
    text = small.replace(old, new, 1)
    with pytest.raises(LickwrightError, match=says) as caught:
        work(write(text), 1)
    error = caught.value
    assert "\n" not in str(error)
    assert error.where is not None
    assert error.where.line is not None
    expected = text[: text.index(near)].count("\n") + 1
    assert abs(error.where.line - expected) <= 1, str(error)


def test_tab_that_is_printed_is_the_tab_that_was_read(small: str, write: Write) -> None:
    worked = work(write(small), 1)
    printed = print_tab(worked.score.lick, worked.score.guitar)
    fresh = small[: small.index("    tab: |")] + "    tab: |\n"
    fresh += "".join(f"      {line}\n" for line in printed.splitlines()) + "    rhythm: q\n"
    again = work(write(fresh), 1)
    assert again.score.lick == worked.score.lick
    assert str(parse_rhythm("q")) == "quarters"


def test_a_damped_string_has_no_say_in_the_harmony(small: str, write: Write) -> None:
    text = small.replace(
        "G|----11----------|", "G|---x-11---------|"
    )  # its open G is no chord tone
    worked = work(write(text.replace("rhythm: q\n", "rhythm: e e q q q\n")), 1)
    assert worked.score.lick.notes[1].marks.dead
    assert worked.spans[0].readings[0].symbol == "Bm9"


def test_an_easier_form_plays_less_and_slower(small: str, write: Write) -> None:
    text = small.replace("contour: up down", "contour: up turn, down in threes")
    text = text.replace("frets: 9-16", "frets: 9-16\n    strings: 1-4")
    text += "  - name: Medium\n    lick: The pair\n    level: medium\n"
    text += "  - name: Easy\n    lick: The pair\n    level: easy\n"
    hard, medium, easy = (work(write(text), index) for index in (0, 2, 3))
    assert medium.spans[0].claim == hard.spans[0].claim
    assert len(easy.score.lick.notes) < len(medium.score.lick.notes) < len(hard.score.lick.notes)
    shortest = [min(n.duration for n in w.score.lick.notes) for w in (easy, medium, hard)]
    assert shortest[0] == shortest[1] == 2 * shortest[2]
    assert all(note.finger is not None and note.stroke for note in easy.score.lick.notes)
    assert "instead of 16ths" in medium.choices[0]


def test_a_lick_is_taken_up_in_one_way(small: str, write: Write) -> None:
    both = "  - name: Both\n    lick: The pair\n    level: easy\n    changes: Bm9\n"
    with pytest.raises(LickwrightError, match="both ways"):
        load_lesson(write(small + both))
    with pytest.raises(LickwrightError, match="does not say how"):
        load_lesson(write(small + "  - name: None\n    lick: The pair\n"))
    tab = "  - name: Easy tab\n    lick: Own notes\n    level: easy\n"
    with pytest.raises(LickwrightError, match="cannot be made easier"):
        work(write(small + tab), 2)
