"""A build: what it writes, what it keeps, and what it never leaves half-done."""

from __future__ import annotations

import hashlib
import io
import json
import os
import re
import shutil
import subprocess
import sys
import zipfile
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile

from lickwright.errors import LessonError, OutputError
from lickwright.files.lock import BusyError, writing
from lickwright.lesson.file.reading import load_lesson
from lickwright.publish.batch.plan import build_folder
from lickwright.publish.building import BuildReport, UnsoundLessonError, build
from lickwright.publish.example_files import slug
from lickwright.publish.versions import current_files, named_version

Write = Callable[[str], Path]


def make(path: Path, out: Path) -> BuildReport:
    return build(load_lesson(path), out, workers=1)


def content(out: Path) -> dict[str, bytes]:
    return {
        str(path.relative_to(out)): path.read_bytes()
        for path in sorted(out.rglob("*"))
        if path.is_file()
    }


def plain(out: Path) -> dict[str, bytes]:
    """What lies under the plain names, without the versions."""
    return {name: data for name, data in content(out).items() if not name.startswith("made/")}


@pytest.fixture(scope="module")
def built(small: str, tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A small lesson and its output folder, built once; tests copy it before they change it."""
    folder = tmp_path_factory.mktemp("built")
    path = folder / "lesson.yaml"
    path.write_text(small, encoding="utf-8")
    report = make(path, folder / "out")
    assert report.built == ("01-the-pair", "02-own-notes", "lesson.pdf", "index.html")
    return path, folder / "out"


@pytest.fixture
def copied(built: tuple[Path, Path], tmp_path: Path) -> tuple[Path, Path]:
    path, out = built
    shutil.copy(path, tmp_path / "lesson.yaml")
    shutil.copytree(out, tmp_path / "out")
    return tmp_path / "lesson.yaml", tmp_path / "out"


def test_everything_a_lesson_ships_is_there(built: tuple[Path, Path]) -> None:
    names = set(content(built[1]))
    for stem in ("01-the-pair", "02-own-notes"):
        for ending in (".svg", ".musicxml", ".mid", "-slow.wav", "-target.wav", "-neck.svg"):
            assert f"examples/{stem}{ending}" in names
    assert {"lesson.pdf", "index.html", "report.json"} <= names


def test_a_second_build_does_nothing(copied: tuple[Path, Path]) -> None:
    path, out = copied
    before = {file: os.stat(out / file).st_mtime_ns for file in content(out)}
    report = make(path, out)
    assert report.built == ()
    assert {file: os.stat(out / file).st_mtime_ns for file in content(out)} == before


def test_changing_one_example_rebuilds_it_and_the_pages_alone(copied: tuple[Path, Path]) -> None:
    path, out = copied
    before = content(out)
    path.write_text(path.read_text().replace("rhythm: q\n", "rhythm: e\n"), encoding="utf-8")
    report = make(path, out)
    assert report.built == ("02-own-notes", "lesson.pdf", "index.html")
    assert report.kept == ("01-the-pair",)
    after = content(out)
    changed = {name for name in before if before[name] != after[name]}
    assert not any("01-the-pair" in name for name in changed)
    assert "examples/02-own-notes.musicxml" in changed


def test_changing_words_rebuilds_the_pages_alone(copied: tuple[Path, Path]) -> None:
    path, out = copied
    path.write_text(path.read_text() + "    text: Play it softly.\n", encoding="utf-8")
    assert make(path, out).built == ("lesson.pdf", "index.html")
    assert "Play it softly" in (out / "index.html").read_text()


def test_a_carried_lick_is_rebuilt_with_the_lick_it_carries(
    copied: tuple[Path, Path],
) -> None:
    path, out = copied
    carried = "  - name: Carried\n    lick: The pair\n    changes: Bm9 | E13\n"
    path.write_text(path.read_text() + carried, encoding="utf-8")
    assert make(path, out).built[0] == "03-carried"
    path.write_text(path.read_text().replace("rhythm: 16ths", "rhythm: 8ths"), encoding="utf-8")
    assert make(path, out).built[:2] == ("01-the-pair", "03-carried")


def test_a_file_that_was_lost_or_changed_is_put_back(copied: tuple[Path, Path]) -> None:
    path, out = copied
    whole = content(out)
    (out / "examples" / "01-the-pair.mid").unlink()
    (out / "examples" / "02-own-notes-neck.svg").write_text("scribble")  # here a copy: no link
    (out / "index.html").write_bytes(whole["index.html"].replace(b"</main>", b"mine</main>"))
    report = make(path, out)
    assert report.built == ()
    assert set(report.put_back) == {
        "examples/01-the-pair.mid",
        "examples/02-own-notes-neck.svg",
        "index.html",
    }
    assert content(out) == whole


def test_a_file_that_was_lost_or_changed_in_the_version_is_made_again(
    built: tuple[Path, Path], tmp_path: Path
) -> None:
    path, _ = built
    make(path, out := tmp_path / "out")
    whole = content(out)
    with (out / "examples" / "02-own-notes-neck.svg").open("w") as file:  # both its names
        file.write("scribble")
    version = next((out / "made").iterdir())
    (version / "examples" / "01-the-pair.mid").unlink()
    assert (version / "examples" / "02-own-notes-neck.svg").read_text() == "scribble"
    assert make(path, out).built[:2] == ("01-the-pair", "02-own-notes")
    assert content(out) == whole


def test_files_of_an_example_that_is_gone_are_taken_away(copied: tuple[Path, Path]) -> None:
    path, out = copied
    (out / "my-own-notes.txt").write_text("mine")
    text = path.read_text()
    path.write_text(text[: text.index("  - name: Own")], encoding="utf-8")
    make(path, out)
    names = set(plain(out))
    assert not any("02-own-notes" in name for name in names)
    assert "my-own-notes.txt" in names


def test_the_same_build_twice_is_the_same_bytes(built: tuple[Path, Path], tmp_path: Path) -> None:
    path, out = built
    # Another folder, another number of processes: the lesson alone decides.
    build(load_lesson(path), tmp_path / "again", workers=2)
    ours, theirs = content(out), content(tmp_path / "again")
    assert set(ours) == set(theirs)
    assert [name for name in ours if ours[name] != theirs[name]] == []


def test_an_error_stops_the_build_before_anything_is_written(
    built: tuple[Path, Path], tmp_path: Path
) -> None:
    path = tmp_path / "lesson.yaml"
    path.write_text(built[0].read_text().replace("implies: Bm9", "implies: B7"), encoding="utf-8")
    with pytest.raises(UnsoundLessonError, match="B7 has a 3, but D sounds") as caught:
        make(path, tmp_path / "out")
    assert isinstance(caught.value, LessonError)
    assert not (tmp_path / "out").exists()


def test_warnings_go_to_the_margin_report_and_not_on_the_page(copied: tuple[Path, Path]) -> None:
    path, out = copied
    path.write_text(path.read_text().replace("implies: Bm9", "implies: Bm11"), encoding="utf-8")
    report = make(path, out)
    assert ["nothing sounds its 11" in finding.what for finding in report.findings] == [True]
    saved = json.loads((out / "report.json").read_text())
    assert [finding["severity"] for finding in saved["findings"]] == ["warning"]
    # A second build does nothing and still says it, with the line it now has.
    path.write_text("# a new first line\n" + path.read_text(), encoding="utf-8")
    again = make(path, out)
    assert again.built == ("index.html",)
    assert again.findings[0].where.line == (report.findings[0].where.line or 0) + 1


def test_an_interrupted_build_leaves_the_former_files_whole(
    copied: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    from lickwright.engrave import sheet

    path, out = copied
    whole = content(out)
    path.write_text(path.read_text().replace("rhythm: q\n", "rhythm: e\n"), encoding="utf-8")

    def fail(_: object) -> bytes:
        raise KeyboardInterrupt

    monkeypatch.setattr(sheet, "sheet_pdf", fail)
    with pytest.raises(KeyboardInterrupt):
        make(path, out)
    assert content(out) == whole


def test_a_full_disk_says_so_and_leaves_the_former_files_whole(
    copied: tuple[Path, Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    path, out = copied
    whole = content(out)
    path.write_text(path.read_text().replace("rhythm: q\n", "rhythm: e\n"), encoding="utf-8")
    write_bytes = Path.write_bytes

    def full(self: Path, data: bytes) -> int:
        if self.suffix == ".pdf":
            raise OSError(28, "No space left on device", str(self))
        return write_bytes(self, data)

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(OutputError, match="no space left on device"):
        make(path, out)
    assert content(out) == whole


def test_what_a_killed_build_left_is_cleared(copied: tuple[Path, Path]) -> None:
    path, out = copied
    (out / ".lickwright-new-dead").mkdir()
    path.write_text(path.read_text().replace("rhythm: q\n", "rhythm: e\n"), encoding="utf-8")
    make(path, out)
    assert not list(out.glob(".lickwright-new-*"))


def test_a_damaged_manifest_is_as_good_as_none(copied: tuple[Path, Path]) -> None:
    path, out = copied
    whole = content(out)
    (out / ".lickwright.json").write_text('{"format": 1, "steps": {"01-the-pair": 7}}')
    assert len(make(path, out).built) == 4
    assert content(out) == whole


@pytest.mark.parametrize(
    "manifest",
    [
        '{"format": 1, "steps": {"x": {"inputs": "", "facts": {}, "files": FILES}}}'.replace(
            "FILES", files
        )
        for files in ('{"\\u0000": "x"}', "5", '{"examples": "0"}', '{"../keep.txt": "0"}')
    ]
    + ["[" * 100_000],
)
def test_a_damaged_manifest_neither_stops_a_build_nor_leads_it_astray(
    copied: tuple[Path, Path], manifest: str
) -> None:
    path, out = copied
    (path.parent / "keep.txt").write_text("keep")
    (out / ".lickwright.json").write_text(manifest)
    text = path.read_text()
    path.write_text(text[: text.index("  - name: Own")], encoding="utf-8")
    assert make(path, out).built == ("01-the-pair", "lesson.pdf", "index.html")
    assert (path.parent / "keep.txt").read_text() == "keep"
    assert (out / "examples" / "01-the-pair.mid").is_file()
    assert not (out / "examples" / "02-own-notes.mid").exists()


@pytest.mark.parametrize("kind", ["relative", "absolute", "link"])
def test_a_manifest_removes_nothing_outside_its_folder(
    copied: tuple[Path, Path], kind: str
) -> None:
    path, out = copied
    keep = path.parent / "keep.txt"
    keep.write_text("keep")
    (out / "up").symlink_to(path.parent)
    name = {"relative": "../keep.txt", "absolute": str(keep), "link": "up/keep.txt"}[kind]
    manifest = json.loads((out / ".lickwright.json").read_text())
    known = hashlib.sha256(b"keep").hexdigest()
    manifest["steps"]["gone"] = {"inputs": known, "facts": {}, "files": {name: known}}
    data = (json.dumps(manifest, ensure_ascii=False, sort_keys=True, indent=1) + "\n").encode()
    (out / ".lickwright.json").write_bytes(data)
    # ... and as a version that bears out its name, which the entry points to.
    version = hashlib.sha256(data).hexdigest()[:16]
    (home,) = (out / "made").iterdir()
    (home / ".steps.json").write_bytes(data)
    home.rename(out / "made" / version)
    page = (out / "index.html").read_text().replace(home.name, version)
    (out / "index.html").write_text(page)
    make(path, out)
    assert keep.read_text() == "keep"
    path.write_text(path.read_text() + "    text: Softly.\n", encoding="utf-8")
    make(path, out)
    path.write_text(path.read_text() + "    notes: Softly.\n", encoding="utf-8")
    make(path, out)
    assert keep.read_text() == "keep"
    assert plain(out).keys() - {"keep.txt"} == {
        file.relative_to(home.parent / v).as_posix().replace(".steps.json", ".lickwright.json")
        for v in [named_version(out)]
        if v is not None
        for file in (home.parent / v).rglob("*")
        if file.is_file()
    }


def test_a_strangers_file_stops_a_build_before_anything_is_made(
    built: tuple[Path, Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from lickwright.publish import building as module

    def never(*_: object) -> None:
        raise AssertionError("nothing needs to be made to know it")

    monkeypatch.setattr(module, "make_example", never)
    (tmp_path / "lesson.pdf").write_text("theirs")
    with pytest.raises(OutputError, match=r"'lesson\.pdf' is in the way: no build wrote it"):
        make(built[0], tmp_path)
    assert content(tmp_path) == {"lesson.pdf": b"theirs"}


def test_a_second_build_of_a_folder_is_refused_and_takes_nothing(
    copied: tuple[Path, Path],
) -> None:
    path, out = copied
    with writing(out):
        (out / ".lickwright-new-first").mkdir()
        (out / ".lickwright-new-first" / "staged").write_text("of the first")
        before = content(out)
        with pytest.raises(BusyError, match=f"process {os.getpid()}, since"):
            make(path, out)
        done = subprocess.run(
            [sys.executable, "-m", "lickwright", "build", str(path), "-o", str(out)],
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 2
        assert "another build is writing this folder" in done.stderr
        assert "Traceback" not in done.stderr
        batch = build_folder(path.parent, out.parent, workers=1)  # lesson.yaml goes into lesson/
        assert batch.exit_code == 0
        assert content(out) == before
    with writing(path.parent / "lesson"):
        batch = build_folder(path.parent, out.parent, workers=1)
    assert batch.exit_code == 2
    assert "another build is writing this folder" in (batch.lessons[0].error or "")


def test_an_unsound_lesson_leaves_a_folder_of_its_own_alone(
    built: tuple[Path, Path], tmp_path: Path
) -> None:
    path = tmp_path / "lesson.yaml"
    path.write_text(built[0].read_text().replace("implies: Bm9", "implies: B7"), encoding="utf-8")
    (tmp_path / "out").mkdir()
    with pytest.raises(UnsoundLessonError):
        make(path, tmp_path / "out")
    assert content(tmp_path / "out") == {}


def test_the_page_in_the_version_stands_alone(copied: tuple[Path, Path]) -> None:
    _, out = copied
    files = dict(current_files(out))
    assert {"lesson.pdf", "index.html", "report.json", "examples/01-the-pair.mid"} <= set(files)
    assert not any(part.startswith(".") for name in files for part in name.split("/"))
    for page, links_into in ((files["index.html"], ""), (out / "index.html", "made/")):
        links = re.findall(r'(?:<a href|<audio [^>]*src)="([^"#]+)"', page.read_text())
        links = [link for link in links if not link.startswith("data:")]
        assert len(links) > 10
        for link in links:
            assert link.startswith(links_into)
            assert (page.parent / link).is_file()


def test_a_folder_that_is_a_file_is_refused(built: tuple[Path, Path], tmp_path: Path) -> None:
    (tmp_path / "out").write_text("a file")
    with pytest.raises(OutputError, match="cannot be written"):
        make(built[0], tmp_path / "out")
    assert (tmp_path / "out").read_text() == "a file"


def test_loudness_is_measured_and_reported(built: tuple[Path, Path]) -> None:
    audio = json.loads((built[1] / "report.json").read_text())["audio"]
    assert {name.rsplit("-", 1)[1] for name in audio} == {
        "slow.wav",
        "target.wav",
        "ladder.wav",
        "loop.wav",
    }
    for measured in audio.values():
        assert measured["loudness_lufs"] == pytest.approx(-16.0, abs=0.5)
        assert measured["true_peak_dbtp"] <= -1.0


def test_stems_add_up_to_the_mix_and_other_kinds_of_files(copied: tuple[Path, Path]) -> None:
    path, out = copied
    text = path.read_text().replace("examples:", "audio: flac\nextras: [stems]\nexamples:")
    path.write_text(text, encoding="utf-8")
    make(path, out)
    names = set(plain(out))
    assert "examples/01-the-pair-slow.flac" in names
    assert not any(name.endswith(".wav") for name in names)
    with zipfile.ZipFile(out / "examples" / "01-the-pair-stems.zip") as archive:
        stems = [soundfile.read(io.BytesIO(archive.read(n)))[0] for n in archive.namelist()]
    mix, _ = soundfile.read(out / "examples" / "01-the-pair-target.flac")
    together = sum(stems)
    assert together.shape == mix.shape
    # The shipped mix is set to its loudness (and may be limited): the same shape, another gain.
    assert np.corrcoef(together.ravel(), mix.ravel())[0, 1] > 0.99


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("The pair", "01-the-pair"),
        ("F♯ over B♭!", "01-f-sharp-over-b-flat"),
        ("../../etc/passwd", "01-etc-passwd"),
        ("Ünïcode & <script>", "01-unicode-script"),
        ("調べ", "01"),
    ],
)
def test_names_become_plain_file_names(name: str, expected: str) -> None:
    assert slug(0, name) == expected
    assert re.fullmatch(r"[a-z0-9-]+", slug(0, name))


def test_script_in_lesson_text_is_text(copied: tuple[Path, Path]) -> None:
    path, out = copied
    evil = '<script>alert(1)</script> #eval("1+1") #import "x"'
    text = path.read_text().replace("lesson: A Small One", f"lesson: '{evil}'")
    path.write_text(text + f"    text: '{evil}'\n    notes: '{evil}'\n", encoding="utf-8")
    make(path, out)
    page = (out / "index.html").read_text()
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert" in page
