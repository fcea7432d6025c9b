"""A batch: every lesson of a folder, whatever becomes of one of them."""

from __future__ import annotations

import importlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from lickwright.errors import LessonError
from lickwright.publish.batch import local as batch_local
from lickwright.publish.batch.job import LessonDone
from lickwright.publish.batch.plan import BatchReport, build_folder, plan_batch
from lickwright.publish.manifest import MANIFEST_NAME

TINY = """\
lesson: Tiny {number}
key: D dorian
tempo: {{slow: 200, target: 200}}
backing: none
examples:
  - name: One bar
    triads: [F]
    over: D
    frets: {number}-9
    rhythm: 8ths
"""
BROKEN = "lesson: Broken\nkey: D dorian\nexamples: 7\n"
UNSOUND = TINY.format(number=5).replace("over: D", "over: D\n    implies: Dmaj7")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    place = tmp_path / "lessons"
    (place / "2023").mkdir(parents=True)
    (place / "2023" / "tide.yaml").write_text(TINY.format(number=5), encoding="utf-8")
    (place / "broken.yml").write_text(BROKEN, encoding="utf-8")
    (place / "unsound.yaml").write_text(UNSOUND, encoding="utf-8")
    (place / "readme.txt").write_text("not a lesson")
    (place / ".draft.yaml").write_text("not to be read")
    return place


def written(out: Path) -> dict[str, int]:
    """When each lesson's manifest was written; what is still being written does not count."""
    return {
        path.parent.relative_to(out).as_posix(): path.stat().st_mtime_ns
        for path in out.rglob(MANIFEST_NAME)
        if not path.parent.name.startswith(".")
    }


def test_one_failure_does_not_stop_the_rest(folder: Path, tmp_path: Path) -> None:
    told: list[tuple[int, int, str]] = []
    report = build_folder(
        folder, tmp_path / "out", workers=1, progress=lambda *step: told.append(step)
    )
    assert [lesson.name for lesson in report.lessons] == ["2023/tide", "broken", "unsound"]
    assert [lesson.name for lesson in report.failed] == ["broken", "unsound"]
    assert report.exit_code == 2
    assert told == [(1, 3, "2023/tide"), (2, 3, "broken"), (3, 3, "unsound")]
    assert (tmp_path / "out" / "2023" / "tide" / "lesson.pdf").is_file()
    assert not (tmp_path / "out" / "unsound").exists()
    lines = str(report).splitlines()
    assert lines[-1] == "3 lessons: 1 built, 2 failed."
    assert "broken.yml:3" in lines[0]
    # Once more: what was built is kept, what failed is tried again.
    before = written(tmp_path / "out")
    again = build_folder(folder, tmp_path / "out", workers=1)
    assert str(again).splitlines()[-1] == "3 lessons: 1 unchanged, 2 failed."
    assert written(tmp_path / "out") == before


def test_output_inside_the_folder_is_not_read_as_lessons(folder: Path) -> None:
    (folder / "out").mkdir()
    (folder / "out" / "old.yaml").write_text("something that a build left")
    names = [job.name for job in plan_batch(folder, folder / "out")]
    assert names == ["2023/tide", "broken", "unsound"]


def test_two_lessons_for_one_place_are_refused(folder: Path, tmp_path: Path) -> None:
    (folder / "unsound.yml").write_text("x")
    with pytest.raises(LessonError, match=r"unsound.yaml' and 'unsound.yml'"):
        plan_batch(folder, tmp_path / "out")


@pytest.mark.parametrize("place", ["empty", "missing"])
def test_a_folder_without_lessons_is_refused(place: str, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    with pytest.raises(LessonError, match="folder"):
        build_folder(tmp_path / place, tmp_path / "out")


def test_a_fault_of_our_own_is_told_and_stops_no_other(
    folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from lickwright.publish import building as build_module

    def fail(*_: object, **__: object) -> None:
        raise ZeroDivisionError("by nought")

    monkeypatch.setattr(build_module, "build", fail)
    report = build_folder(folder, tmp_path / "out", workers=1)
    faults = [lesson.error or "" for lesson in report.lessons]
    assert "Lickwright itself failed (ZeroDivisionError by nought" in faults[0]
    assert "broken.yml:3" in faults[1]
    assert all("\n" not in fault for fault in faults)


@pytest.fixture
def two_tiny(tmp_path: Path) -> Path:
    place = tmp_path / "tiny"
    place.mkdir()
    for number in (5, 6):
        text = TINY.format(number=number)
        (place / f"{number}.yaml").write_text(text, encoding="utf-8")
    return place


#: Builds as the batch does, but kills its own process at one of the lessons.
DYING = """
import os, signal
from lickwright.publish.batch.job import build_one

def build_or_die(job):
    if job.path.stem == "5":
        os.kill(os.getpid(), signal.SIGKILL)
    return build_one(job)
"""


def test_a_killed_process_costs_the_lesson_that_kills_it_alone(
    two_tiny: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "dying.py").write_text(DYING, encoding="utf-8")
    monkeypatch.syspath_prepend(tmp_path)
    dying = importlib.import_module("dying")
    monkeypatch.setattr(batch_local, "build_one", dying.build_or_die)
    report = build_folder(two_tiny, tmp_path / "out", workers=2)
    faults = {lesson.path.stem: lesson.error for lesson in report.lessons if lesson.error}
    assert set(faults) == {"5"}
    assert "was killed" in faults["5"]
    assert [lesson.path.stem for lesson in report.lessons if lesson.built] == ["6"]


def test_a_batch_that_was_killed_goes_on_where_it_stopped(two_tiny: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    code = "import sys; from lickwright.publish.batch import build_folder as go; go(*sys.argv[1:3]"
    command = [sys.executable, "-c", f"{code}, workers=1)", str(two_tiny), str(out)]
    process = subprocess.Popen(command, start_new_session=True)
    end = time.monotonic() + 120
    while not written(out) and time.monotonic() < end:
        time.sleep(0.02)
    os.killpg(process.pid, signal.SIGKILL)
    process.wait()
    done = written(out)
    assert done
    report = build_folder(two_tiny, out, workers=1, resume=True)
    assert report.exit_code == 0
    assert {lesson.name for lesson in report.lessons if lesson.skipped} <= set(done)
    after = written(out)
    assert set(after) == {"5", "6"}
    assert {name: after[name] for name in done} == done


def test_an_interrupt_ends_a_batch_quietly(two_tiny: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    code = (
        "import sys; from lickwright.publish.batch.plan import build_folder\n"
        "if __name__ == '__main__':\n"
        "    try: build_folder(*sys.argv[1:], workers=2)\n"
        "    except KeyboardInterrupt: sys.exit(130)\n"
    )
    process = subprocess.Popen(
        [sys.executable, "-c", code, str(two_tiny), str(out)],
        start_new_session=True,
        stderr=subprocess.PIPE,
        text=True,
    )
    end = time.monotonic() + 120
    while not list(out.glob("*/.lickwright-new-*")) and time.monotonic() < end:
        time.sleep(0.02)
    os.killpg(process.pid, signal.SIGINT)
    _, said = process.communicate(timeout=120)
    assert (process.returncode, said) == (130, "")
    # The lessons that were begun were finished.
    assert set(written(out)) <= {"5", "6"}
    assert written(out)


def test_without_dask_one_sentence_says_what_to_install(
    two_tiny: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(LessonError, match=r"needs Dask.*lickwright\[cluster\]"):
        build_folder(two_tiny, tmp_path / "out", scheduler="tcp://127.0.0.1:1")


class TestCluster:
    """On a Dask cluster inside this process."""

    @pytest.fixture
    def cluster(self) -> Iterator[object]:
        distributed = pytest.importorskip("distributed", reason="Dask is not installed")
        with distributed.LocalCluster(
            n_workers=1, threads_per_worker=2, processes=False, dashboard_address=None
        ) as cluster:
            yield cluster

    def test_a_cluster_builds_what_this_machine_builds(
        self, folder: Path, tmp_path: Path, cluster: object
    ) -> None:
        address = cluster.scheduler_address  # type: ignore[attr-defined]
        report = build_folder(folder, tmp_path / "out", scheduler=address)
        assert [(lesson.name, lesson.error is None) for lesson in report.lessons] == [
            ("2023/tide", True),
            ("broken", False),
            ("unsound", False),
        ]
        here = build_folder(folder, tmp_path / "out", workers=1)
        assert here.lessons[0].built == ()
        assert here.lessons[0].kept == report.lessons[0].built

    def test_workers_that_cannot_do_it_are_told(
        self, two_tiny: Path, tmp_path: Path, cluster: object, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        from lickwright.publish.batch import cluster as batch_cluster

        address = cluster.scheduler_address  # type: ignore[attr-defined]
        for answer, said in (({"engine": "another"}, "another version"), (None, "cannot run")):
            monkeypatch.setattr(batch_cluster, "answer_of", lambda _, answer=answer: answer)
            with pytest.raises(LessonError, match=said):
                build_folder(two_tiny, tmp_path / "out", scheduler=address)

    def test_no_scheduler_and_no_workers_are_told(
        self, two_tiny: Path, tmp_path: Path, cluster: object, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        from lickwright.publish.batch import cluster as batch_cluster

        monkeypatch.setattr(batch_cluster, "WAIT_S", 1)
        for address in ("tcp://127.0.0.1:9", "nonsense://x", ""):
            with pytest.raises(LessonError, match="no Dask scheduler answers"):
                build_folder(two_tiny, tmp_path / "out", scheduler=address)
        cluster.scale(0)  # type: ignore[attr-defined]
        address = cluster.scheduler_address  # type: ignore[attr-defined]
        while cluster.workers:  # type: ignore[attr-defined]
            time.sleep(0.05)
        with pytest.raises(LessonError, match="has no workers"):
            build_folder(two_tiny, tmp_path / "out", scheduler=address)


def test_a_report_counts_and_says_what_matters() -> None:
    place = Path("x")
    report = BatchReport(
        (
            LessonDone("a", place, place, built=("01",), warnings=("a.yaml:3: warning: mind it.",)),
            LessonDone("b", place, place, kept=("01",)),
        )
    )
    assert str(report).splitlines() == [
        "a.yaml:3: warning: mind it.",
        "2 lessons: 1 built, 1 unchanged.",
    ]
    assert report.exit_code == 0
    assert report.as_data()["lessons"][1]["kept"] == ["01"]


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs pipes with names")
def test_a_pipe_is_no_lesson(folder: Path, tmp_path: Path) -> None:
    os.mkfifo(folder / "pipe.yaml")
    (folder / "nowhere.yaml").symlink_to("nothing.yaml")
    names = [job.name for job in plan_batch(folder, tmp_path / "out")]
    assert names == ["2023/tide", "broken", "nowhere", "unsound"]
