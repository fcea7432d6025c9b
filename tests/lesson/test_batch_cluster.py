"""A cluster that loses its workers, its scheduler, or gains a worker that is not as it must be.

Scheduler and workers are processes of their own on the loopback, as they are in earnest.
"""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from lickwright.publish.batch.finished import LIST_NAME
from lickwright.publish.batch.plan import BatchReport, build_folder
from lickwright.publish.batch.worker import answer_of, question_for, refusal, shared_folder

pytest.importorskip("distributed", reason="Dask is not installed")

START_S = 90.0

#: In a worker: a lesson is built by waiting for a file that lets it go.
PRELOAD = """
import os, time
from pathlib import Path
import lickwright.publish.batch.worker as worker
from lickwright.publish.batch.job import LessonDone
from lickwright.publish.manifest import MANIFEST_NAME

def build_one(job):
    gate = Path(os.environ["GATE"])
    (gate / f"begun-{job.name}-{os.getpid()}").touch()
    while not (gate / job.name).exists():
        time.sleep(0.05)
    job.out.mkdir(parents=True, exist_ok=True)
    (job.out / MANIFEST_NAME).write_text("{}")
    return LessonDone(job.name, job.path, job.out, (os.environ["NAME"],))

worker.build_one = build_one
if os.environ["NAME"].startswith("another"):
    worker.engine = lambda: "another"
"""


class Cluster:
    """A scheduler and workers that a test starts and kills."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.gate = folder / "gate"
        self.gate.mkdir()
        self.lessons = folder / "lessons"
        self.lessons.mkdir()
        self.out = folder / "out"
        for name in "abc":
            (self.lessons / f"{name}.yaml").write_text(f"lesson: {name}")
        (folder / "preload.py").write_text(PRELOAD)
        self.processes: list[subprocess.Popen[bytes]] = []
        self.said: list[str] = []
        self.report: BatchReport | None = None
        self.scheduler = self.start("distributed.cli.dask_scheduler", "--port", "0")
        self.until((folder / "scheduler.json").exists)

    def start(self, module: str, *words: str, name: str = "") -> subprocess.Popen[bytes]:
        place = ["--scheduler-file", str(self.folder / "scheduler.json"), "--no-dashboard"]
        process = subprocess.Popen(
            [sys.executable, "-m", module, *words, *place, "--host", "127.0.0.1"],
            env=os.environ | {"GATE": str(self.gate), "NAME": name},
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        self.processes.append(process)
        return process

    def worker(self, name: str) -> subprocess.Popen[bytes]:
        words = ["--nthreads", "1", "--no-nanny", "--preload", str(self.folder / "preload.py")]
        return self.start("distributed.cli.dask_worker", *words, name=name)

    def begun(self, name: str) -> bool:
        return any(self.gate.glob(f"begun-{name}-*"))

    def let_go(self, *names: str) -> None:
        for name in names:
            (self.gate / name).touch()

    def go(self, *, resume: bool = False, timeout_s: float = START_S) -> threading.Thread:
        def run() -> None:
            self.report = build_folder(
                self.lessons,
                self.out,
                scheduler=self.address,
                resume=resume,
                timeout_s=timeout_s,
                say=self.said.append,
            )

        thread = threading.Thread(target=run)
        thread.start()
        return thread

    @property
    def address(self) -> str:
        import json

        return str(json.loads((self.folder / "scheduler.json").read_text())["address"])

    def until(self, holds: Callable[[], bool]) -> None:
        end = time.monotonic() + START_S
        while not holds():
            assert time.monotonic() < end, self.said
            time.sleep(0.05)

    def end(self, process: subprocess.Popen[bytes]) -> None:
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()


@pytest.fixture
def cluster(tmp_path: Path) -> Iterator[Cluster]:
    made = Cluster(tmp_path)
    yield made
    for process in made.processes:
        if process.poll() is None:
            made.end(process)


def test_workers_come_and_go(cluster: Cluster) -> None:
    """All are lost: it is said; one of another version gets nothing; a good one ends the batch."""
    first = cluster.worker("first")
    running = cluster.go()
    cluster.until(lambda: cluster.begun("a"))
    cluster.let_go("a")
    cluster.until(lambda: cluster.begun("b"))
    cluster.end(first)
    cluster.until(lambda: any("Waiting for workers" in said for said in cluster.said))
    assert "1 of 3 lessons are done; giving up after 90 s." in cluster.said[0]
    cluster.let_go("b", "c")
    cluster.worker("another")
    cluster.until(lambda: len(cluster.said) > 1)
    assert "runs another version of Lickwright" in cluster.said[1]
    assert "It is given no work." in cluster.said[1]
    cluster.worker("good")
    running.join(START_S)
    assert not running.is_alive()
    assert cluster.said[2:] == ["A worker is there again."]
    assert cluster.report is not None
    assert cluster.report.exit_code == 0
    assert [lesson.built for lesson in cluster.report.lessons] == [("first",), ("good",), ("good",)]
    assert sorted(path.name for path in cluster.out.iterdir()) == ["a", "b", "c"]


def test_with_all_workers_gone_it_gives_up_and_goes_on_later(cluster: Cluster) -> None:
    worker = cluster.worker("first")
    cluster.let_go("a")
    running = cluster.go(timeout_s=4)
    cluster.until(lambda: cluster.begun("b"))
    cluster.end(worker)
    running.join(START_S)
    assert not running.is_alive()
    assert cluster.report is not None
    assert cluster.report.exit_code == 2
    assert cluster.report.stopped == (
        "no worker was there for 4 s; 2 lessons were not built."
        " Start it again and run the same with --resume."
    )
    assert [lesson.name for lesson in cluster.report.lessons] == ["a"]
    assert str(cluster.report).splitlines() == [cluster.report.stopped, "1 lesson: 1 built."]
    cluster.worker("second")
    cluster.let_go("b", "c")
    cluster.go(resume=True).join(START_S)
    assert str(cluster.report) == "3 lessons: 2 built, 1 skipped (finished before)."
    assert not (cluster.out / LIST_NAME).exists()


def test_with_the_scheduler_gone_one_sentence_says_so(cluster: Cluster) -> None:
    """As a person sees it: one line, and no word of the library's."""
    cluster.worker("first")
    cluster.let_go("a")
    process = subprocess.Popen(
        [
            sys.executable,
            "-m",
            "lickwright",
            "build",
            "--all",
            str(cluster.lessons),
            "-o",
            str(cluster.out),
            "--scheduler",
            cluster.address,
        ],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )
    cluster.until(lambda: cluster.begun("b"))
    cluster.end(cluster.scheduler)
    out, err = process.communicate(timeout=START_S)
    assert err == ""
    assert process.returncode == 2
    assert out.splitlines() == [
        f"the scheduler at '{cluster.address}' went away; 2 lessons were not built."
        " Start it again and run the same with --resume.",
        "1 lesson: 1 built.",
    ]
    assert (cluster.out / LIST_NAME).read_text().count("\n") == 1


def test_a_lesson_that_costs_every_worker_is_told(cluster: Cluster) -> None:
    cluster.let_go("b", "c")
    running = cluster.go()
    for name in ("first", "second"):
        worker = cluster.worker(name)
        cluster.until(lambda: cluster.begun("a"))
        cluster.end(worker)
        for path in cluster.gate.glob("begun-*"):
            path.unlink()
    cluster.worker("third")
    running.join(START_S)
    assert cluster.report is not None
    faults = {lesson.name: lesson.error for lesson in cluster.report.lessons if lesson.error}
    assert set(faults) == {"a"}
    assert "the worker that built it was lost, twice" in str(faults["a"])


# --- what a worker is asked ----------------------------------------------------------------------


def test_a_worker_beside_us_gives_the_right_answer(tmp_path: Path) -> None:
    lesson = tmp_path / "a.yaml"
    lesson.write_text("lesson: a")
    with shared_folder(tmp_path / "out") as shared:
        answer = answer_of(question_for(lesson, shared))
        assert refusal("w", answer, lesson, shared) is None
    assert list((tmp_path / "out").iterdir()) == []


def test_a_worker_with_another_disk_is_refused(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same names, other files: each way is looked at by itself."""
    monkeypatch.setattr("lickwright.publish.batch.worker.SEEN_S", 0.2)
    lesson = tmp_path / "a.yaml"
    lesson.write_text("lesson: a")
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    with shared_folder(tmp_path / "out") as shared:
        question = question_for(lesson, shared)
        there = answer_of(question | {"file": str(elsewhere / "batch")})
        assert "does not see what is written" in str(refusal("w", there, lesson, shared))
        # It reads what we write, but what it writes stays with it.
        (elsewhere / "batch").write_text(shared.token)
        there = answer_of(question | {"file": str(elsewhere / "batch")})
        assert "is not seen here" in str(refusal("w", there, lesson, shared))
        there = answer_of(question) | {"token": None}
        assert "cannot write" in str(refusal("w", there, lesson, shared))
        (elsewhere / "a.yaml").write_text("lesson: an older one")
        there = answer_of(question | {"lesson": str(elsewhere / "a.yaml")})
        assert "as it is here" in str(refusal("w", there, lesson, shared))
        there = answer_of(question | {"lesson": str(elsewhere / "missing.yaml")})
        assert "as it is here" in str(refusal("w", there, lesson, shared))
