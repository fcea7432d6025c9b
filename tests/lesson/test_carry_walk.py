"""A lick of two merged pairs carried over four chords of a minor key, from the file.

Which move is the nearest is common practice, no source; that the chords sound is judged by the
theory room, whose readings are checked against published tables in ``tests/theory``.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest
from typer.testing import CliRunner

from lickwright.changes.carry.carrying import Carried
from lickwright.changes.carry.moves import MoveKind
from lickwright.changes.progression.chart import parse_changes
from lickwright.cli.app import app
from lickwright.engrave.page.systems import engrave
from lickwright.formats.musicxml.writing import musicxml
from lickwright.lesson.checks import check
from lickwright.lesson.compile.examples import Workshop
from lickwright.lesson.file.reading import load_lesson
from lickwright.lick.notes import Lick, PartLink
from lickwright.lick.picking.check import check_strokes
from lickwright.lick.picking.text import mirror_strokes
from lickwright.theory.chord import parse_chord
from lickwright.theory.hearing.claim import judge
from lickwright.video.captions import captions_vtt
from lickwright.video.frames.clock import Passage, TriadNames

Write = Callable[[str], Path]

LESSON = Path(__file__).with_name("two_pairs.yaml")
HEAD = LESSON.read_text("utf-8").split("  - name: Two parts over four chords")[0]


def carried_by(write: Write, changes: str, way: str = "idea", more: str = "") -> Carried:
    text = f"{HEAD}  - name: Carried\n    lick: Two parts\n    changes: '{changes}'\n"
    shop = Workshop(load_lesson(write(f"{text}    carry: {way}\n{more}")))
    (found,) = shop.ways(1, 1)
    return found


def moves(found: Carried) -> list[MoveKind]:
    return [choice.move.kind for choice in found.choices]


def wrong_strokes(lick: Lick) -> list[object]:
    notes = lick.notes
    return check_strokes(
        [n.position for n in notes], [n.stroke for n in notes], onsets=[n.onset for n in notes]
    )


@pytest.fixture(scope="module")
def ways() -> list[Carried]:
    return Workshop(load_lesson(LESSON)).ways(1, 3)


def test_the_walk_is_among_the_first_three_ways(ways: list[Carried]) -> None:
    wanted = [MoveKind.AS_MADE, MoveKind.GRIP, MoveKind.TRIADS, MoveKind.BACK]
    walk = next(way for way in ways if moves(way) == wanted)
    assert [str(choice.placed.chord) for choice in walk.choices] == [
        "Am9",
        "Dm9",
        "Bm7b5",
        "Fmaj9#11",
    ]
    assert [set(map(str, choice.triads)) for choice in walk.choices] == [
        {"C", "Am", "Em"},
        {"F", "Dm", "Am"},
        {"Bdim", "Dm"},
        {"C", "Am", "Em"},
    ]
    assert [choice.move.words for choice in walk.choices[1:]] == [
        "the same grip on the same strings, 5 frets up",
        "other triads: Dm and Bdim",
        "the first shape comes back unchanged, over F",
    ]
    for choice in walk.choices:
        assert choice.move.words in choice.why
        assert choice.outside == ()


def test_every_chord_has_the_whole_lick_and_its_strokes(ways: list[Carried]) -> None:
    own = Workshop(load_lesson(LESSON)).worked(0).score.lick
    strokes = [note.stroke for note in own.notes]
    for way in ways:
        assert way.cut == ()
        assert not wrong_strokes(way.lick)
        for bar in range(0, 8, 2):
            start = Fraction(4 * bar)
            notes = [n for n in way.lick.notes if start <= n.onset < start + 8]
            assert [n.stroke for n in notes] == strokes
            assert [n.onset - start for n in notes] == [n.onset for n in own.notes]
        first, second = (strokes[: len(strokes) // 2], strokes[len(strokes) // 2 :])
        assert second == mirror_strokes(first)


def test_every_symbol_is_borne_out(ways: list[Carried]) -> None:
    for way in ways:
        for choice in way.choices:
            notes = [
                note.pitch.midi % 12
                for note in way.lick.notes
                if choice.placed.onset <= note.onset < choice.placed.end
            ]
            assert judge(choice.placed.chord, notes, choice.placed.chord.bass_note).holds == "yes"
            assert choice.holds == "yes"
    assert check(load_lesson(LESSON)) == []


def test_the_carried_line_knows_its_parts_and_their_triads(ways: list[Carried]) -> None:
    lick = ways[0].lick
    assert [(p.name, p.onset, p.length, p.link, p.of) for p in lick.parts[:4]] == [
        ("Part 1", 0, 4, None, None),
        ("Part 2", 4, 4, PartLink.MIRROR, 0),
        ("Part 1", 8, 4, None, None),
        ("Part 2", 12, 4, PartLink.MIRROR, 2),
    ]
    assert sum(part.length for part in lick.parts) == lick.length == 32
    for note in lick.notes:
        part = lick.parts[note.belongs.part or 0]
        assert part.onset <= note.onset < part.end
        choice = next(c for c in ways[0].choices if c.placed.onset <= note.onset < c.placed.end)
        assert note.belongs.triads
        for triad in note.belongs.triads:
            assert choice.triads[triad].mask >> note.pitch.midi % 12 & 1


def test_the_name_again_begins_the_lick_again(write: Write) -> None:
    again = carried_by(write, "Am9 | Am9 | Dm9 | %")
    assert len(again.choices) == 3
    assert [part.name for part in again.lick.parts] == ["Part 1", "Part 1", "Part 1", "Part 2"]
    assert again.cut == (
        "bar 2, beat 1: the chord is over, and 'Part 2' is left out",
        "bar 3, beat 1: the chord is over, and 'Part 2' is left out",
    )


def test_a_part_cut_off_is_a_finding_with_bar_and_beat(write: Write) -> None:
    text = f"{HEAD}  - name: Cut\n    lick: Two parts\n    changes: 'Am9 | . . Dm9 . | %'\n"
    said = [str(finding) for finding in check(load_lesson(write(text)))]
    assert any("bar 2, beat 3: the chord is over, and 'Part 2' is cut off" in one for one in said)


@pytest.mark.parametrize(
    ("filled", "count", "end"), [("round", 15, 12), ("held", 10, 12), ("rest", 10, 8)]
)
def test_what_fills_a_longer_chord_is_a_choice(
    filled: str, count: int, end: int, write: Write
) -> None:
    found = carried_by(write, "Am9 | % | %", more=f"    filled: {filled}\n")
    assert len(found.lick.notes) == count
    assert found.lick.notes[-1].end == end
    assert found.lick.length == 12
    assert bool(found.cut) == (filled == "round")


@pytest.mark.parametrize("way", ["exact", "diatonic", "idea", "grip"])
def test_the_lick_comes_back_or_stays_in_every_way(way: str, write: Write) -> None:
    found = carried_by(write, "Am9 | % | Fmaj9#11 | % | Dm9 | % | Fmaj9#11 | %", way)
    assert moves(found)[1] is MoveKind.STAYS
    assert found.choices[1].move.words == "the shape stays; the bass moves from A to F"
    assert moves(found)[3] is MoveKind.BACK
    assert not wrong_strokes(found.lick)


def test_the_grip_keeps_its_strings_and_says_what_the_chord_does_not_hold(write: Write) -> None:
    found = carried_by(write, "Am9 | % | Bm7b5 | %", "grip")
    before, after = found.lick.notes[:10], found.lick.notes[10:]
    assert [n.position.string for n in before] == [n.position.string for n in after]
    assert len({b.position.fret - a.position.fret for a, b in zip(before, after, strict=True)}) == 1
    outside = found.choices[1].outside
    # A, B, D, F#, A up and A, F#, D, C#, A down, an eighth each: F# on the second beat of the bar.
    assert [(str(note.name), note.degree, str(note.at)) for note in outside] == [
        ("F#", "5", "bar 3, beat 2"),
        ("F#", "5", "bar 4, beat 1"),
        ("C#", "2", "bar 4, beat 2"),
    ]
    held = parse_chord("Bm7b5").mask
    for note in found.lick.notes[10:]:
        is_outside = not held >> note.pitch.midi % 12 & 1
        assert is_outside == any(one.name.pc == note.pitch.midi % 12 for one in outside)
    assert "not of the chord: F#" in found.choices[1].why[-1]


TIMES = "|: Am9 | % :| (5/4) Dm9 | (3/4) Bm7b5 | (7/8) Am9 | (2/4) Am9 Dm9 | (4/4) Am9 Dm9 Am9 Dm9"


def test_changes_in_any_time_from_the_file(write: Write) -> None:
    text = f"{HEAD}  - name: Times\n    lick: Two parts\n    changes: '{TIMES}'\n"
    worked = Workshop(load_lesson(write(text))).worked(1)
    times = [(bar.beats, bar.unit) for bar in worked.score.bars]
    assert times == [(4, 4)] * 4 + [(5, 4), (3, 4), (7, 8), (2, 4), (4, 4)]
    changes = parse_changes(TIMES, "A minor")
    assert worked.score.length == worked.score.lick.length == changes.length
    for before, after in zip(worked.spans, worked.spans[1:], strict=False):
        assert before.end == after.onset
    assert not wrong_strokes(worked.score.lick)


def test_changes_in_any_time_from_the_command_line(write: Write) -> None:
    lesson = write(HEAD)
    asked = ["carry", str(lesson), "Two parts", "--changes", TIMES, "--filled", "held"]
    done = CliRunner().invoke(app, [*asked, "--way", "grip"])
    assert done.exit_code == 0, done.output
    assert "is left out" in done.stdout
    example = "\n".join(line for line in done.stdout.splitlines() if not line.startswith("#"))
    added = write(f"{HEAD}{example}\n")
    worked = Workshop(load_lesson(added)).worked(1)
    assert worked.score.length == parse_changes(TIMES, "A minor").length


def test_the_page_and_the_captions_name_each_part_where_it_begins() -> None:
    score = Workshop(load_lesson(LESSON)).worked(1).score
    svg = engrave(score).svg
    assert svg.count('aria-label="Part 1"') == svg.count('aria-label="Part 2"') == 4
    text = musicxml(score)
    assert text.count("<rehearsal>Part 2</rehearsal>") == 4
    names = (TriadNames(Fraction(0), ("C", "Am", "Em")),)
    captions = captions_vtt([Passage(score, 60.0, 4.0, 38.0, names)])
    assert "Bar 1, Am9, Part 1: C and Am\n" in captions
    assert "Bar 2, Am9, Part 2: C and Em\n" in captions
