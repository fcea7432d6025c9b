"""Merged triads and licks of parts in the lesson file."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from lickwright.drawing.neck_marks import lick_marks
from lickwright.errors import LessonError, LickwrightError
from lickwright.lesson.checks import check
from lickwright.lesson.compile.examples import Worked, Workshop
from lickwright.lesson.file.reading import load_lesson
from lickwright.lick.notes import PartLink
from lickwright.lick.picking.check import check_strokes
from lickwright.lick.picking.text import mirror_strokes, print_strokes

Write = Callable[[str], Path]

HEAD = """\
lesson: Two Pairs
key: A minor
examples:
"""
MERGED = """\
  - name: Merged
    triads: [C, Am]
    joined: merged
    over: A
    implies: Am7
    frets: 5-8
    strings: 2-4
    rhythm: 16ths
"""
PARTS = """\
  - name: Two parts
    over: A
    implies: Am9
    joined: merged
    strings: 2-4
    contour: up
    rhythm: 16ths
    parts:
      - triads: [C, Am]
        frets: 5-8
        lasts: half a bar
      - triads: [C, Em]
        frets: 4-12
        mirror: 1
"""


def work(path: Path, index: int = 0) -> Worked:
    return Workshop(load_lesson(path)).worked(index)


def places(worked: Worked) -> str:
    notes = worked.score.lick.notes
    return " ".join(f"{n.position.string}/{n.position.fret}" for n in notes)


def test_merged_triads_are_one_arpeggio_there_and_back(write: Write) -> None:
    worked = work(write(HEAD + MERGED))
    assert places(worked) == "4/5 4/7 3/5 2/5 2/8 2/5 3/5 4/7 4/5"
    notes = worked.score.lick.notes
    assert [note.triads for note in notes[:5]] == [(0,), (1,), (0, 1), (0, 1), (0,)]
    assert not check_strokes([n.position for n in notes], [n.stroke for n in notes])
    assert worked.spans[0].readings[0].symbol == "Am7"
    assert check(load_lesson(write(HEAD + MERGED))) == []


@pytest.mark.parametrize(
    ("contour", "line"),
    [
        ("up", "4/5 4/7 3/5 2/5 2/8"),
        ("down", "2/8 2/5 3/5 4/7 4/5"),
        ("down up", "2/8 2/5 3/5 4/7 4/5 4/7 3/5 2/5 2/8"),
        ("up from 2", "4/7 3/5 2/5 2/8 4/5"),
    ],
)
def test_a_merged_arpeggio_takes_any_contour(contour: str, line: str, write: Write) -> None:
    assert places(work(write(f"{HEAD}{MERGED}    contour: {contour}\n"))) == line


def test_a_merged_arpeggio_fills_bars_round_and_round(write: Write) -> None:
    worked = work(write(f"{HEAD}{MERGED}    bars: 2\n"))
    assert worked.score.length == 8
    assert len(worked.score.lick.notes) == 32


def test_the_neck_shows_both_triads_of_a_shared_note(write: Write) -> None:
    marks = lick_marks(work(write(HEAD + MERGED)).score.lick)
    found = {(mark.position.string, mark.position.fret, mark.voice) for mark in marks}
    assert {(3, 5, 0), (3, 5, 1), (4, 5, 0), (4, 7, 1)} <= found
    assert (4, 5, 1) not in found


def test_an_arpeggio_is_split_into_its_triads_for_the_neck(write: Write) -> None:
    shapes = Workshop(load_lesson(write(HEAD + MERGED))).shapes(0)
    assert [str(shape) for shape in shapes] == ["C: 4/5 3/5 2/5 2/8", "Am: 4/7 3/5 2/5"]


def test_a_second_part_with_another_pair_is_swept_the_other_way(write: Write) -> None:
    worked = work(write(HEAD + PARTS))
    lick = worked.score.lick
    assert [(p.name, p.onset, p.link, p.of) for p in lick.parts] == [
        ("Part 1", 0, None, None),
        ("Part 2", 2, PartLink.MIRROR, 0),
    ]
    assert places(worked).startswith("4/5 4/7 3/5 2/5 2/8 ")
    first, second = ([n.stroke for n in lick.notes_of(part)] for part in (0, 1))
    assert print_strokes(first) == "U DDD U"
    assert second == mirror_strokes(first)
    pitches = [note.pitch.midi for note in lick.notes_of(1)]
    assert pitches == sorted(pitches, reverse=True)
    assert [str(triad) for triad in worked.spans[0].triads] == ["C", "Am", "Em"]
    assert {2} & {voice for note in lick.notes_of(1) for voice in note.triads}
    assert check(load_lesson(write(HEAD + PARTS))) == []


def test_a_lick_of_parts_is_held_over_changes(write: Write) -> None:
    text = HEAD + PARTS.replace("over: A\n    implies: Am9", 'changes: "Am9 | Dm9"')
    worked = work(write(text))
    assert worked.score.length == 8
    assert len(worked.spans) == 2
    assert worked.spans[1].notes == ()


def test_a_part_may_sound_over_a_bass_of_its_own(write: Write) -> None:
    text = HEAD + PARTS + "        over: F\n        implies: Fmaj7#11\n"
    spans = work(write(text)).spans
    assert [(span.onset, str(span.over), str(span.claim)) for span in spans] == [
        (0, "A", "Am9"),
        (2, "F", "Fmaj7#11"),
    ]
    assert spans[-1].end == 4


def test_parts_answer_vary_and_repeat(write: Write) -> None:
    text = (
        HEAD
        + """\
  - name: Song
    over: A
    joined: merged
    strings: 2-4
    frets: 5-9
    rhythm: e s s e e
    contour: up
    parts:
      - {name: Ask, triads: [C, Am], lasts: a bar}
      - {name: Reply, answer: Ask}
      - {name: Again, repeat: Ask}
      - {name: Twist, vary: Ask, contour: up-down, rhythm: 16ths, filled: rest}
      - {name: Last, mirror: Twist, over: F}
"""
    )
    worked = work(write(text))
    lick = worked.score.lick
    assert [part.onset for part in lick.parts] == [0, 4, 8, 12, 16]
    ask, reply, again, twist, last = (lick.notes_of(part) for part in range(5))
    assert [n.onset + 4 for n in ask] == [n.onset for n in reply]
    assert reply[-1].pitch.midi % 12 in (9, 4, 0, 1)  # home over A
    assert [(n.position, n.stroke) for n in ask] == [(n.position, n.stroke) for n in again]
    assert len(twist) == 9
    assert {n.duration for n in twist} == {Fraction(1, 4)}
    assert [n.stroke for n in last] == mirror_strokes([n.stroke for n in twist])
    assert [str(span.over) for span in worked.spans] == ["A", "F"]


def test_run_by_run_triads_can_be_parts_too(write: Write) -> None:
    text = (
        HEAD
        + """\
  - name: Runs
    over: A
    frets: 5-12
    rhythm: 8ths
    parts:
      - triads: [C, Am]
      - mirror: 1
"""
    )
    lick = work(write(text)).score.lick
    strokes = [[n.stroke for n in lick.notes_of(part)] for part in (0, 1)]
    assert strokes[1] == mirror_strokes(strokes[0])
    assert not check_strokes([n.position for n in lick.notes], [n.stroke for n in lick.notes])


def test_a_sweep_that_breaks_is_a_warning(write: Write) -> None:
    text = HEAD + MERGED.replace("frets: 5-8\n    strings: 2-4", "frets: 5-9\n    strings: 1-5")
    text = text.replace("[C, Am]", "[C, D]").replace("    implies: Am7\n", "")
    found = check(load_lesson(write(text)))
    (finding,) = [one for one in found if "ceiling" not in one.what]
    assert finding.severity == "warning"
    assert "breaks on string" in finding.what
    assert finding.where.line == 5


@pytest.mark.parametrize(
    ("old", "new", "said", "line"),
    [
        ("mirror: 1", "mirror: 2", "no earlier part '2'", 17),
        ("mirror: 1", "mirror: 1\n        repeat: 1", "linked twice", 18),
        ("mirror: 1", "mirror: Nobody", "no earlier part 'Nobody'", 17),
        ("mirror: 1", "mirror: 1\n        contour: up", "'contour' has no place", 18),
        ("mirror: 1", "vary: 1\n        bars: 2", "no key 'bars' in entry 2 of 'parts'", 18),
        ("lasts: half a bar", "lasts: 3 beats", "no length of a part", 14),
        ("triads: [C, Am]", "name: X", "'X' has no triads", 12),
        ("triads: [C, Am]", "triads: [C]", "1 triad cannot be merged", 13),
        ("frets: 5-8", "frets: [5-8, 9-12]", "merged triads lie in one place", 13),
        ("frets: 5-8", "frets: 5-6", "C and Am have no sweep there", 13),
        (
            "half a bar",
            "1/2 bar\n        over: D\n      - repeat: 1\n        name: Part 1",
            "two parts are named",
            16,
        ),
        ("contour: up", "contour: up\n    strokes: DU", "told twice", 10),
        ("contour: up", "contour: up\n    bars: 2", "'bars' has no place", 10),
        ("    over: A\n", "", "has no bass", 4),
        ("triads: [C, Em]", "triads: [F, G, Em]", "5 different triads", 11),
        ("frets: 4-12", "frets: 4-8", "'Part 2' lies nowhere", 11),
        ("rhythm: 16ths", "rhythm: quarters", "its time holds 2", 11),
    ],
)
def test_what_cannot_be_is_told_with_its_line(
    old: str, new: str, said: str, line: int, write: Write
) -> None:
    path = write(HEAD + PARTS.replace(old, new))
    with pytest.raises(LickwrightError) as caught:
        work(path)
    assert said in caught.value.what
    assert caught.value.mend
    assert caught.value.where is not None
    assert caught.value.where.line == line


def test_a_variation_must_vary(write: Write) -> None:
    text = PARTS.replace("- triads: [C, Em]\n        frets: 4-12\n        mirror: 1", "- vary: 1")
    with pytest.raises(LessonError, match="varies nothing"):
        load_lesson(write(HEAD + text))
    own = text.replace("implies: Am9", "implies: Am9\n    changes: Am9")
    with pytest.raises(LessonError):
        load_lesson(write(HEAD + own.replace("vary: 1", "repeat: 1\n        over: A")))


EASIER = """\
  - name: Slow
    lick: {lick}
    level: {level}
"""


def easier(write: Write, level: str, parts: str = PARTS) -> list[Worked]:
    """The lick of parts and an easier form of it."""
    name = parts.split("name: ")[1].split("\n")[0]
    text = HEAD + parts + EASIER.format(lick=name, level=level)
    shop = Workshop(load_lesson(write(text)))
    return [shop.worked(index) for index in range(2)]


def test_a_medium_form_takes_twice_the_time_and_keeps_all_else(write: Write) -> None:
    own, medium = easier(write, "medium")
    assert places(medium) == places(own)
    ends = [note.onset for note in medium.score.lick.notes]
    assert ends == [2 * note.onset for note in own.score.lick.notes]
    strokes = [[note.stroke for note in one.score.lick.notes] for one in (own, medium)]
    assert strokes[0] == strokes[1]
    assert [part.length for part in medium.score.lick.parts] == [4, 4]
    assert "instead of" in medium.choices[0]


def test_an_easy_form_lands_where_the_lick_does_and_still_turns_round(write: Write) -> None:
    own, easy = easier(write, "easy")
    for part in (0, 1):
        whole = [note.position for note in own.score.lick.notes_of(part)]
        assert [note.position for note in easy.score.lick.notes_of(part)] == whole[-3:]
    first, second = ([n.stroke for n in easy.score.lick.notes_of(part)] for part in (0, 1))
    assert second == mirror_strokes(first)
    assert easy.choices[0].startswith("3 notes of each shape; quarters instead of ")
    assert all(note.finger is not None for note in easy.score.lick.notes)
    # What is left of two triads may say less; nothing says more.
    assert {n.pitch.midi for n in easy.score.lick.notes} < {
        n.pitch.midi for n in own.score.lick.notes
    }


def test_own_strokes_of_a_part_stay_with_its_notes(write: Write) -> None:
    parts = PARTS.replace("lasts: half a bar", "lasts: half a bar\n        strokes: U DDD U")
    own, medium = easier(write, "medium", parts)
    assert print_strokes([n.stroke for n in medium.score.lick.notes_of(0)]) == "U DDD U"
    assert [n.stroke for n in own.score.lick.notes] == [n.stroke for n in medium.score.lick.notes]


def test_a_lick_of_parts_over_changes_is_not_made_easier(write: Write) -> None:
    parts = PARTS.replace("over: A\n    implies: Am9", 'changes: "Am9"')
    with pytest.raises(LickwrightError, match="stands over changes"):
        easier(write, "easy", parts)
