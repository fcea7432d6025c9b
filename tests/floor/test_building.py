"""What a build does again, and what it keeps: every key that shapes the bytes rebuilds.

The makers of music and pages are stand-ins that write the little they are asked about: how an
example is engraved and sounded is tested elsewhere.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from lickwright.errors import LickwrightError
from lickwright.lesson.file import load_lesson
from lickwright.publish import building
from lickwright.publish.building import BuildReport, UnsoundLessonError, build
from lickwright.publish.example_files import MadeExample, Parts, parts_file, slug

LESSON = """\
lesson: A Small One
key: B dorian
time: 4/4
hand: medium
backing: chords
labels: degrees
tempo: {slow: 60, target: 90}
guitar: {tuning: standard}
examples:
  - name: One
    over: B
    tab: &line |
      e|--------------9-|
      B|-------10-------|
      G|----11----------|
      D|-12-------------|
      A|----------------|
      E|----------------|
    rhythm: q
    text: Slowly.
  - name: Two
    over: E
    tab: *line
    rhythm: q
"""
PLAIN = ("01-one", "02-two", "lesson.pdf", "index.html")


class Makers:
    """Stand-ins, and what they were asked for."""

    def __init__(self) -> None:
        self.made: list[str] = []

    def example(self, worked: Any, index: int, settings: Any) -> MadeExample:
        stem = slug(index, worked.entry.name)
        self.made.append(stem)
        parts = Parts(
            ("<svg/>",), (), (), "easy", (), "rest", (), (), {f"{stem}.ogg": {"lufs": -16.0}}, "{}"
        )
        files = {f"examples/{stem}.mid": stem.encode(), parts_file(stem): parts.to_json()}
        return MadeExample(files, parts)


@pytest.fixture
def makers(monkeypatch: pytest.MonkeyPatch) -> Makers:
    from lickwright.engrave import sheet, web

    made = Makers()
    monkeypatch.setattr(building, "make_example", made.example)
    monkeypatch.setattr(building, "engine", lambda: "one engine")
    monkeypatch.setattr(sheet, "sheet_pdf", lambda of: f"sheet of {of.title}".encode())
    page = '<meta charset="utf-8">\n<a href="lesson.pdf" download>'
    monkeypatch.setattr(web, "index_html", lambda of: page)
    return made


@pytest.fixture
def make(makers: Makers, tmp_path: Path) -> Any:
    def now(text: str = LESSON, **more: Any) -> BuildReport:
        path = tmp_path / "lesson.yaml"
        path.write_text(text, encoding="utf-8")
        return build(load_lesson(path), tmp_path / "out", **more)

    return now


def test_a_first_build_makes_every_step_in_order(make: Any, makers: Makers, tmp_path: Path) -> None:
    told: list[tuple[int, int, str]] = []
    report = make(progress=lambda *step: told.append(step))
    assert told == [(n + 1, 4, name) for n, name in enumerate(PLAIN)]
    assert (report.built, report.kept, report.put_back) == (PLAIN, (), ())
    assert report.files == (
        *("examples/01-one.mid", "examples/02-two.mid", "index.html", "lesson.pdf", "report.json"),
    )
    out = tmp_path / "out"
    assert (out / "examples/01-one.mid").read_bytes() == b"01-one"
    assert (out / "lesson.pdf").read_bytes() == b"sheet of A Small One"
    data = report.as_data()
    assert data["out"] == str(out)
    assert data["built"] == list(PLAIN)
    assert data["kept"] == data["put_back"] == []
    assert data["files"] == list(report.files)
    assert data["findings"] == [finding.as_data() for finding in report.findings]


def test_a_second_build_keeps_everything(make: Any, makers: Makers) -> None:
    make()
    makers.made.clear()
    report = make()
    assert (report.built, report.kept, makers.made) == ((), PLAIN, [])
    assert report.put_back == ()


MUSIC = [
    ("lesson: A Small One", "lesson: Another"),
    ("key: B dorian", "key: B minor"),
    ("hand: medium", "hand: small"),
    ("backing: chords", "backing: drone"),
    ("labels: degrees", "labels: fingers"),
    ("target: 90", "target: 91"),
    ("slow: 60", "slow: 61"),
    ("guitar: {tuning: standard}", "guitar: {tuning: standard, frets: 22}"),
    ("time: 4/4", "time: 2/2"),
    ("time: 4/4", "time: 4/4\npaper: letter"),
    ("time: 4/4", "time: 4/4\naudio: wav"),
    ("time: 4/4", "time: 4/4\nextras: [loop]"),
]


@pytest.mark.parametrize(("old", "new"), MUSIC, ids=[new.split("\n")[-1] for _, new in MUSIC])
def test_what_the_lesson_says_of_its_music_makes_all_examples_again(
    make: Any, makers: Makers, old: str, new: str
) -> None:
    make()
    makers.made.clear()
    report = make(LESSON.replace(old, new, 1))
    assert makers.made == ["01-one", "02-two"]
    assert report.built == PLAIN


def test_one_example_changed_makes_that_one_and_the_pages(make: Any, makers: Makers) -> None:
    make()
    makers.made.clear()
    told: list[tuple[int, int, str]] = []
    report = make(LESSON.replace("over: E", "over: A"), progress=lambda *step: told.append(step))
    assert makers.made == ["02-two"]
    assert (report.built, report.kept) == (("02-two", "lesson.pdf", "index.html"), ("01-one",))
    assert [(done, of) for done, of, _ in told] == [(1, 3), (2, 3), (3, 3)]


@pytest.mark.parametrize(
    ("old", "new"),
    [("text: Slowly.", "text: Quickly."), ("text: Slowly.", "text: Slowly.\n    notes: Breathe.")],
)
def test_words_make_the_pages_again_and_no_music(
    make: Any, makers: Makers, old: str, new: str
) -> None:
    make()
    makers.made.clear()
    report = make(LESSON.replace(old, new))
    assert makers.made == []
    assert report.built == ("lesson.pdf", "index.html")
    assert report.kept == ("01-one", "02-two")


def test_another_engine_makes_everything_again(
    make: Any, makers: Makers, monkeypatch: pytest.MonkeyPatch
) -> None:
    make()
    monkeypatch.setattr(building, "engine", lambda: "another engine")
    assert make().built == PLAIN


def test_an_example_that_moves_is_made_again(make: Any, makers: Makers) -> None:
    """Its number is in the names of its files."""
    make()
    makers.made.clear()
    again = LESSON.replace("name: One", "name: Zero").replace("name: Two", "name: One")
    assert make(again).built[:2] == ("01-zero", "02-one")


def test_what_the_student_brings_along_makes_an_example_again(make: Any, makers: Makers) -> None:
    """A lick carried through changes follows from the example that it is."""
    pair = "  - name: %s\n    triads: [D, F#m]\n    over: %s\n    frets: 9-16\n"
    pair += "    contour: up down\n    rhythm: 16ths\n"
    carried = LESSON + pair % ("Three", "B") + pair % ("Four", "E")
    make(carried)
    makers.made.clear()
    make(carried.replace("over: E\n    tab", "over: A\n    tab"))
    assert makers.made == ["02-two"]
    makers.made.clear()
    make(carried.replace("over: B\n    frets: 9-16", "over: B\n    frets: 9-17"))
    assert makers.made == ["02-two", "03-three", "04-four"]


# ----------------------------------------------------------------------------------- damage


def test_a_file_lost_from_the_version_is_made_again(
    make: Any, makers: Makers, tmp_path: Path
) -> None:
    make()
    (file,) = (tmp_path / "out/made").glob("*/examples/01-one.mid")
    file.unlink()
    (tmp_path / "out/examples/01-one.mid").unlink()
    makers.made.clear()
    report = make()
    assert makers.made == ["01-one"]
    assert "02-two" in report.kept
    assert (tmp_path / "out/examples/01-one.mid").read_bytes() == b"01-one"


def test_a_plain_name_that_was_lost_is_put_back_without_a_build(
    make: Any, makers: Makers, tmp_path: Path
) -> None:
    make()
    (tmp_path / "out/examples/02-two.mid").unlink()
    makers.made.clear()
    report = make()
    assert (report.built, report.put_back) == ((), ("examples/02-two.mid",))
    assert makers.made == []
    assert (tmp_path / "out/examples/02-two.mid").read_bytes() == b"02-two"
    assert make().put_back == ()


def test_a_record_that_was_lost_is_put_back_in_silence(
    make: Any, makers: Makers, tmp_path: Path
) -> None:
    make()
    (tmp_path / "out/.lickwright.json").unlink()
    assert make().put_back == ()
    assert (tmp_path / "out/.lickwright.json").exists()


# ------------------------------------------------------------------------------------ findings


def test_the_report_says_what_was_measured_and_found(make: Any, tmp_path: Path) -> None:
    report = make()
    text = (tmp_path / "out/report.json").read_text("utf-8")
    assert json.loads(text) == {
        "audio": {"01-one.ogg": {"lufs": -16.0}, "02-two.ogg": {"lufs": -16.0}},
        "findings": [finding.as_data() for finding in report.findings],
    }
    assert text.startswith('{\n "audio"')
    assert text.endswith("}\n")


def test_warnings_are_told_again_of_what_was_kept(make: Any, makers: Makers) -> None:
    odd = LESSON.replace("    text: Slowly.", "    implies: Cmaj7")
    first, second = make(odd), make(odd)
    assert second.built == ()
    assert first.findings
    assert second.findings == first.findings


def test_an_unsound_lesson_is_refused_before_anything_is_made(
    make: Any, makers: Makers, tmp_path: Path
) -> None:
    unsound = LESSON.replace("G|----11-", "G|----31-")
    with pytest.raises(UnsoundLessonError) as caught:
        make(unsound)
    assert makers.made == []
    assert not (tmp_path / "out").exists()
    first = next(one for one in caught.value.findings if one.severity == "error")
    assert (caught.value.what, caught.value.mend) == (first.what, first.mend)
    make()
    before = (tmp_path / "out/index.html").read_bytes()
    with pytest.raises(UnsoundLessonError):
        make(unsound)
    assert (tmp_path / "out/index.html").read_bytes() == before


def test_a_strangers_file_is_in_the_way_before_anything_is_made(
    make: Any, makers: Makers, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "lesson.pdf").write_bytes(b"a stranger's")
    with pytest.raises(LickwrightError, match=r"'lesson\.pdf' is in the way"):
        make()
    assert makers.made == []
    assert (out / "lesson.pdf").read_bytes() == b"a stranger's"
