"""What the checks find, and where."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

from lickwright.errors import LessonError
from lickwright.lesson.checks import check
from lickwright.lesson.compile import Workshop
from lickwright.lesson.file.reading import load_lesson
from lickwright.lick.hands import playability
from lickwright.publish.example_files import page_parts
from lickwright.publish.pages import settings_of

Write = Callable[[str], Path]


def test_a_sound_lesson_has_no_findings(small: str, write: Write, demo_path: Path) -> None:
    assert check(load_lesson(write(small))) == []
    assert check(load_lesson(demo_path)) == []


FINDINGS = [
    # the claim against the computed reading
    ("implies: Bm9", "implies: B7", "error", "B7 has a 3, but D sounds", "implies: B7"),
    ("implies: Bm9", "implies: Bm11", "warning", "nothing sounds its 11", "implies: Bm11"),
    # a note that speaks against what the band sounds, and that the key does not explain
    (
        "    rhythm: q\n",
        "    rhythm: q\n    changes: (Bb minor) Bbm7\n",
        "warning",
        "D (3) contradicts the b3 of Bbm7",
        "changes: (Bb minor)",
    ),
    # strokes: string 4 down, string 3 up would be alternate; a sweep against its direction is wrong
    (
        "    rhythm: q\n",
        "    rhythm: s\n    strokes: UUUU\n",
        "error",
        "Note 2 sweeps against",
        "strokes: UUUU",
    ),
    # notes off the neck
    ("D|-12-------------|", "D|-30-------------|", "error", "30", "D|-30"),
    # bars that do not add up
    ("    rhythm: q\n", "    rhythm: q q q h\n", "error", "bar", "rhythm: q q q"),
]


@pytest.mark.parametrize(("old", "new", "severity", "says", "near"), FINDINGS)
def test_a_finding_says_what_where_and_how_to_mend_it(
    small: str, write: Write, old: str, new: str, severity: str, says: str, near: str
) -> None:
    assert old in small
    text = small.replace(old, new, 1)
    path = write(text)
    findings = check(load_lesson(path))
    assert findings, "nothing was found"
    matching = [finding for finding in findings if says in finding.what]
    assert matching, [finding.what for finding in findings]
    finding = matching[0]
    assert finding.severity == severity
    assert finding.mend
    assert finding.where.file == str(path)
    expected = text[: text.index(near)].count("\n") + 1
    assert finding.where.line is not None
    assert abs(finding.where.line - expected) <= 1, str(finding)


def test_the_length_of_one_stretch_is_told_in_mm(small: str, write: Write) -> None:
    text = small.replace("B|-------10-------|", "B|------1h14------|")
    text = text.replace("rhythm: q\n", "rhythm: q q e e q\n")  # a hammer-on over thirteen frets
    findings = check(load_lesson(write(text)))
    # 648 mm scale: the finger stands a quarter of a fret behind the wire (see neck.geometry);
    # wires by the published rule L(1 - 2^(-n/12)).
    wires = [648 * (1 - 2 ** (-n / 12)) for n in range(15)]
    places = [wires[n] - 0.25 * (wires[n] - wires[n - 1]) for n in (1, 14)]
    (finding,) = [one for one in findings if "ceiling" not in one.what]
    assert finding.severity == "error"
    assert f"{places[1] - places[0]:.0f} mm apart" in finding.what
    assert finding.where.line == text[: text.index("tab: |")].count("\n") + 1


def test_all_faulty_examples_are_found_at_once(small: str, write: Write) -> None:
    text = small.replace("implies: Bm9", "implies: B7").replace("D|-12-", "D|-30-")
    findings = check(load_lesson(write(text)))
    assert {finding.example for finding in findings} == {"The pair", "Own notes"}


# A target above the ceiling: what `check` says is what the page prints.


@pytest.mark.parametrize("level", ["beginning", "steady", "practised", "virtuoso"])
def test_a_target_above_the_ceiling_is_a_warning_with_the_pages_number(
    small: str, write: Write, level: str
) -> None:
    text = small.replace("target: 90", "target: 300").replace(
        "key: B dorian\n", f"key: B dorian\nplayer: {{level: {level}}}\n"
    )
    lesson = load_lesson(write(text))
    shop = Workshop(lesson)
    for index, example in enumerate(lesson.examples):
        worked = shop.worked(index)
        parts = page_parts(worked, settings_of(lesson, index))
        printed = [float(number) for number in re.findall(r"about (\d+) bpm \(", parts.playability)]
        assert f"for a {level} player: " in parts.playability
        said = [f for f in check(lesson) if f.example == example.name and "ceiling" in f.what]
        assert len(said) == (min(printed) < 300)
        for finding in said:
            assert finding.severity == "warning"
            assert f"the target 300 is above the estimated ceiling of {min(printed):.0f}" in (
                finding.what
            )
            assert f"for a {level} player" in finding.what
        # The plan climbs from no higher than that, with the hands of the target tempo.
        first = [row.tempo for row in parts.practice if row.tempo]
        assert all(float(re.findall(r"\d+", tempo)[0]) <= min(printed) for tempo in first)


def test_a_target_at_the_ceiling_is_none_of_the_checks_business(small: str, write: Write) -> None:
    lesson = load_lesson(write(small))
    ceiling = min(
        report.ceiling_bpm or 0.0
        for index in range(len(lesson.examples))
        for report in [playability(Workshop(lesson).worked(index).score.lick)]
    )
    for target, count in ((int(ceiling), 0), (int(ceiling) + 1, 1)):
        tempo = f"slow: {target}, target: {target}"
        found = check(load_lesson(write(small.replace("slow: 60, target: 90", tempo))))
        assert sum("ceiling" in finding.what for finding in found) == count


def test_a_slower_tempo_of_the_ladder_has_the_hands_of_the_target(small: str, write: Write) -> None:
    # The target decides: the same lesson learnt from another slow tempo has the same hands.
    def hands(slow: int) -> list[tuple[object, object]]:
        lesson = load_lesson(write(small.replace("slow: 60", f"slow: {slow}")))
        notes = Workshop(lesson).worked(0).score.lick.notes
        return [(note.finger, note.stroke) for note in notes]

    assert hands(20) == hands(60) == hands(90)


@pytest.mark.parametrize(
    "below",
    [  # common practice, no source: nothing of a key contradicts a chord of that key
        "changes: Cmaj7",
        "changes: Bm7 | E7",
        "under: Bm7",
        "under: C#m7b5",
        "under: Gmaj9",
    ],
)
def test_what_the_band_sounds_is_no_claim(small: str, write: Write, below: str) -> None:
    head, own = small.split("  - name: Own notes\n")
    own = own.replace("    over: B\n", f"    {below}\n")
    assert check(load_lesson(write(f"{head}  - name: Own notes\n{own}"))) == []


def test_a_claim_over_changes_is_judged_over_the_whole_lick(small: str, write: Write) -> None:
    head, own = small.split("  - name: Own notes\n")
    for implies, severity in (("Bm9", None), ("Bm11", "warning"), ("B7", "error")):
        claimed = own.replace("over: B\n", f"changes: Bm7 . Bm7 .\n    implies: {implies}\n")
        findings = check(load_lesson(write(f"{head}  - name: Own notes\n{claimed}")))
        assert [finding.severity for finding in findings] == ([severity] if severity else [])


def test_a_wrong_claim_over_a_chord_is_refused(small: str, write: Write) -> None:
    # The band sounds the third: a claim of the other one is untrue whatever the line does.
    text = small.replace("    over: B\n    implies: Bm9\n", "    under: Bm7\n    implies: Bmaj9\n")
    (finding,) = check(load_lesson(write(text)))
    assert finding.severity == "error"
    assert "Bmaj9 has a 3, but D sounds" in finding.what


def test_notes_that_lead_by_step_do_not_count_against_a_claim(small: str, write: Write) -> None:
    head, _ = small.split("  - name: Own notes\n")
    line = """\
  - name: An approach
    over: D
    implies: {implies}
    tab: |
      e|-------------|
      B|-------------|
      G|-------------|
      D|-0-2-3---0-3-|
      A|-------4-----|
      E|-------------|
    rhythm: e e e e e e+q
"""
    assert check(load_lesson(write(head + line.format(implies="Dm")))) == []
    (finding,) = check(load_lesson(write(head + line.format(implies="D"))))
    assert finding.severity == "error"


def test_what_is_meant_is_shown_as_meant(small: str, write: Write) -> None:
    for meant, severity in (("implies", "meant"), ("implies bar 1", "meant"), ("strokes", "error")):
        text = small.replace("implies: Bm9\n", f"implies: B7\n    meant: [{meant}]\n")
        (finding,) = check(load_lesson(write(text)))
        assert finding.severity == severity
        assert "B7 has a 3" in finding.what


def test_what_cannot_be_meant_is_refused(small: str, write: Write) -> None:
    with pytest.raises(LessonError, match="no finding that can be meant"):
        load_lesson(write(small.replace("implies: Bm9\n", "meant: [tempo]\n")))
    with pytest.raises(LessonError, match="both say what sounds below"):
        load_lesson(write(small.replace("implies: Bm9\n", "under: Bm7\n")))
