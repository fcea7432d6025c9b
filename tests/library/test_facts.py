"""What a lick is found by: its chords, techniques and places, by rules stated here again."""

from __future__ import annotations

import pytest

from lickwright.lesson.file.reading import load_lesson
from lickwright.shelf.licks.facts import TECHNIQUES, LickFacts, score_facts
from lickwright.shelf.licks.families import FAMILIES, family_of
from lickwright.shelf.licks.shelved import ShelvedLesson
from lickwright.shelf.licks.shelving import shelved_lesson
from lickwright.theory.chord import parse_chord
from lickwright.theory.pitch import parse_note_name


@pytest.mark.parametrize(
    ("chord", "family"),
    [
        # Common practice, no source.
        ("C", "major"), ("Cmaj9#11", "major"), ("C6/9", "major"), ("Cadd9", "major"),
        ("Cm", "minor"), ("Cm11", "minor"), ("Cm6", "minor"), ("Cm7b13", "minor"),
        ("C13", "dominant"), ("C7#11", "dominant"), ("C9", "dominant"),
        ("C7b9", "altered dominant"), ("C7alt", "altered dominant"), ("C7#5", "altered dominant"),
        ("C9sus4", "suspended"), ("Csus2", "suspended"),
        ("Cm7b5", "half-diminished"), ("Cm11b5", "half-diminished"),
        ("Cdim7", "diminished"), ("Cdim", "diminished"),
        ("Caug", "augmented"), ("Cmaj7#5", "augmented"),
        ("Cm(maj7)", "minor-major"), ("C5", "without a third"),
    ],
)  # fmt: skip
def test_families_of_chords(chord: str, family: str) -> None:
    assert family_of(parse_chord(chord)) == family
    assert family in FAMILIES


def facts(tab: str, more: str, write: object) -> LickFacts:
    indented = "".join(f"      {line}\n" for line in tab.strip().split("\n"))
    text = (
        "lesson: Ways\nkey: C major\nexamples:\n  - name: One\n    over: C\n    rhythm: 8ths\n"
        f"    {more}\n    tab: |\n{indented}"
    )
    path = write(text)  # type: ignore[operator]
    return shelved_lesson(load_lesson(path)).licks[0].facts


UP = """\
e|-------5-|
B|-----5---|
G|---5-----|
D|-5-------|
A|---------|
E|---------|
"""
SKIP = UP.replace("B|-----5---|", "B|---------|").replace("G|---5-----|", "G|---5---7-|")
SLUR = """\
e|-----------|
B|-----------|
G|-5h7p5-7/9-|
D|-----------|
A|-----------|
E|-----------|
"""
OPEN = """\
   PM-----
e|---------|
B|-0---x---|
G|---2---2~|
D|---------|
A|---------|
E|---------|
"""


@pytest.mark.parametrize(
    ("tab", "more", "techniques"),
    [
        (UP, "strokes: D", {"sweep"}),
        (UP, "strokes: D U", {"alternate"}),
        (UP, "strokes: D D U U", set()),
        (SLUR, "picking: alternate", {"legato", "slide", "alternate"}),
        (OPEN, "strokes: D U", {"palm mute", "vibrato", "dead notes", "open strings", "alternate"}),
    ],
)
def test_techniques(tab: str, more: str, techniques: set[str], write: object) -> None:
    found = set(facts(tab, more, write).techniques)
    assert found <= set(TECHNIQUES)
    assert found == techniques


def test_where_and_how_fast(demo: ShelvedLesson) -> None:
    by_name = {lick.score.name: lick.facts for lick in demo.licks}
    line = by_name["Over the tide line"]
    # As its tab stands in the lesson file.
    assert (line.strings, line.frets) == ((1, 4), (6, 12))
    assert line.tuning == "standard"
    assert line.key == "B minor"
    assert [str(triad) for triad in line.triads] == ["D", "F#m"]
    assert str(line.chords[0].chord) == "Bm9"
    assert line.chords[0].printed
    assert "answers late" in line.text


def test_chords_of_changes_each_in_its_place(demo: ShelvedLesson) -> None:
    changes = next(lick for lick in demo.licks if "over four chords" in lick.score.name)
    printed = [str(fact.chord) for fact in changes.facts.chords if fact.printed]
    assert printed == ["Bm9", "Em9", "C#m7b5", "Gmaj9#11"]
    assert [fact.place for fact in changes.facts.chords if fact.printed] == [0, 1, 2, 3]


def test_a_line_without_chords_is_heard_over_the_bass_that_is_named(demo: ShelvedLesson) -> None:
    from dataclasses import replace

    bare = replace(demo.licks[0].score, chords=())
    assert score_facts(bare).chords == ()
    heard = score_facts(bare, parse_note_name("B")).chords
    # D F# A C# over B is a minor ninth: the demo lesson's own claim.
    assert str(heard[0].chord) == "Bm9"
