"""A batch that was stopped asks only for the rest."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from lickwright.errors import OutputError
from lickwright.publish import manifest
from lickwright.publish.batch import local as batch_local
from lickwright.publish.batch.finished import LIST_NAME, BatchList
from lickwright.publish.batch.job import LessonDone, LessonJob, failed
from lickwright.publish.batch.plan import BatchReport, build_folder
from lickwright.publish.manifest import MANIFEST_NAME


@pytest.fixture
def built(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Lessons that were asked for; building one only leaves its manifest."""
    asked: list[str] = []

    def build_one(job: LessonJob) -> LessonDone:
        asked.append(job.name)
        if "broken" in job.path.read_text():
            return failed(job, f"{job.path}: it is broken.")
        job.out.mkdir(parents=True, exist_ok=True)
        (job.out / MANIFEST_NAME).write_text("{}")
        return LessonDone(job.name, job.path, job.out, ("01",), warnings=(f"mind {job.name}",))

    monkeypatch.setattr(batch_local, "build_one", build_one)
    return asked


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    place = tmp_path / "lessons"
    place.mkdir()
    for name in "abc":
        (place / f"{name}.yaml").write_text(f"lesson: {name}")
    (place / "d.yaml").write_text("broken")
    return place


def go(folder: Path, *, resume: bool = True) -> BatchReport:
    return build_folder(folder, folder.parent / "out", workers=1, resume=resume)


def test_resume_asks_for_the_rest_and_says_what_it_left_out(folder: Path, built: list[str]) -> None:
    go(folder, resume=False)
    assert built == ["a", "b", "c", "d"]
    built.clear()
    told: list[tuple[int, int, str]] = []
    report = build_folder(
        folder,
        folder.parent / "out",
        workers=1,
        resume=True,
        progress=lambda *step: told.append(step),
    )
    assert built == ["d"]
    assert told == [(4, 4, "d")]
    lines = str(report).splitlines()
    assert lines[-1] == "4 lessons: 3 skipped (finished before), 1 failed."
    # What their checks had found is said again.
    assert lines[:3] == ["mind a", "mind b", "mind c"]
    assert [lesson["skipped"] for lesson in report.as_data()["lessons"]] == [True] * 3 + [False]
    built.clear()
    go(folder, resume=False)
    assert built == ["a", "b", "c", "d"]


def test_what_is_no_longer_so_is_asked_for_again(
    folder: Path, built: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    go(folder)
    out = folder.parent / "out"
    (folder / "a.yaml").write_text("lesson: another")
    shutil.rmtree(out / "b")
    built.clear()
    go(folder)
    assert built == ["a", "b", "d"]
    built.clear()
    monkeypatch.setattr("lickwright.publish.batch.finished.engine", lambda: "another")
    go(folder)
    assert built == ["a", "b", "c", "d"]
    assert manifest.engine() != "another"


def test_a_batch_that_is_finished_leaves_no_list(folder: Path, built: list[str]) -> None:
    (folder / "d.yaml").unlink()
    go(folder)
    assert not list((folder.parent / "out").glob(f"{LIST_NAME}*"))
    built.clear()
    go(folder)
    assert built == ["a", "b", "c"]


@pytest.mark.parametrize(
    "damage",
    [
        lambda data: b"",
        lambda data: b"\xff\xfe" + data[:20],
        lambda data: b"[1]\n5\nnull\n" + b"[" * 100_000,
        lambda data: data.replace(b'"warnings": [', b'"warnings": [5, '),
        lambda data: data.replace(b'"text"', b'"words"'),
    ],
)
def test_a_damaged_list_is_as_good_as_none(folder: Path, built: list[str], damage: object) -> None:
    go(folder)
    path = folder.parent / "out" / LIST_NAME
    path.write_bytes(damage(path.read_bytes()))  # type: ignore[operator]
    built.clear()
    go(folder)
    assert built == ["a", "b", "c", "d"]


def test_a_line_that_was_cut_costs_its_own_lesson_alone(folder: Path, built: list[str]) -> None:
    go(folder)
    path = folder.parent / "out" / LIST_NAME
    path.write_bytes(path.read_bytes()[:-9])
    built.clear()
    go(folder)
    assert built == ["c", "d"]


def test_a_lesson_that_is_edited_while_it_is_built_is_not_done(
    folder: Path, tmp_path: Path
) -> None:
    job = LessonJob("a", folder / "a.yaml", tmp_path / "out" / "a")
    kept = BatchList(tmp_path / "out", [job])
    job.path.write_text("lesson: edited")
    kept.add(LessonDone("a", job.path, job.out))
    (line,) = (tmp_path / "out" / LIST_NAME).read_text().splitlines()
    assert json.loads(line)["text"] == manifest.digest(b"lesson: a")


def test_a_list_that_cannot_be_written_is_told(folder: Path, built: list[str]) -> None:
    (folder.parent / "out").write_text("a file stands here")
    with pytest.raises(OutputError, match="list of finished lessons cannot be written"):
        go(folder)
    assert built == []
