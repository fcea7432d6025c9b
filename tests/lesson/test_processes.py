"""Work in processes that die, hang and are left."""

from __future__ import annotations

import importlib
import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest

from lickwright.processes import ONE_THREAD, Setting, WorkerPool, done_apart, lost, told_apart

WORK = """
import os, pathlib, signal, tempfile, time

def settings(job):
    return [os.environ.get(name) for name in job], tempfile.gettempdir()

def turned(job):
    if job == "die":
        os.kill(os.getpid(), signal.SIGKILL)
    if job == "fail":
        raise ValueError("no such turn")
    return job[::-1]

def count(tell, job):
    for number in range(job):
        tell(number)

def sleep_told(tell, job):
    tell(os.getpid())
    sleep(job)

def load():
    os.environ["TURNED"] = "loaded"

def sleep(job):
    pathlib.Path(job).write_text(str(os.getpid()))
    pathlib.Path(tempfile.mkdtemp(), "half").write_text("a film, half written")
    time.sleep(600)
"""


@pytest.fixture
def work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> ModuleType:
    (tmp_path / "turning.py").write_text(WORK, encoding="utf-8")
    monkeypatch.syspath_prepend(tmp_path)
    return importlib.import_module("turning")


def test_a_worker_has_one_thread_and_a_folder_that_goes_with_it(work: ModuleType) -> None:
    for _, future in done_apart(work.settings, [ONE_THREAD, ONE_THREAD], 2):
        threads, scratch = future.result()
        assert threads == ["1"] * len(ONE_THREAD)
        assert Path(scratch).is_dir()
    assert not Path(scratch).exists()


def test_only_the_job_that_kills_its_process_is_lost(work: ModuleType) -> None:
    long = "ab" * 200_000  # more than a pipe holds: nobody may be left waiting to write it
    jobs = [long, "die", *(f"{long}{n}" for n in range(6)), "fail"]
    ended = dict(done_apart(work.turned, jobs, 2))
    assert [job for job in jobs if lost(ended[job])] == ["die"]
    assert isinstance(ended["fail"].exception(), ValueError)
    assert all(ended[job].result() == job[::-1] for job in jobs if job not in ("die", "fail"))


@pytest.mark.parametrize("end", [signal.SIGINT, signal.SIGKILL], ids=["interrupt", "kill"])
def test_no_process_outlives_the_one_that_started_it(tmp_path: Path, end: signal.Signals) -> None:
    (tmp_path / "turning.py").write_text(WORK, encoding="utf-8")
    (tmp_path / "scratch").mkdir()
    code = (
        "import sys, turning; from lickwright.processes import done_apart\n"
        "if __name__ == '__main__':\n"
        "    try: list(done_apart(turning.sleep, sys.argv[1:], 2))\n"
        "    except KeyboardInterrupt: sys.exit(130)\n"
    )
    begun = [tmp_path / "a", tmp_path / "b"]
    process = subprocess.Popen(
        [sys.executable, "-c", code, *map(str, begun)],
        cwd=tmp_path,
        env={**os.environ, "TMPDIR": str(tmp_path / "scratch"), "PYTHONPATH": _path(tmp_path)},
        stderr=subprocess.PIPE,
        text=True,
    )
    _wait_until(lambda: len(list((tmp_path / "scratch").glob("*/*/half"))) == 2)
    workers = [int(path.read_text()) for path in begun]
    process.send_signal(end)
    _, said = process.communicate(timeout=60)
    _wait_until(lambda: not any(map(_lives, workers)))
    if end == signal.SIGINT:
        assert (process.returncode, said) == (130, "")
        assert not list((tmp_path / "scratch").iterdir())


@pytest.mark.parametrize(
    "start",
    [
        "pool = apart.WorkerPool(1, apart.Setting());"
        " pool.submit(turning.sleep, sys.argv[1]).result()",
        "with apart.told_apart(turning.sleep_told, sys.argv[1]) as line: line.recv(), line.recv()",
    ],
    ids=["a pool that stays", "a job that tells"],
)
def test_what_waits_or_tells_does_not_outlive_it_either(tmp_path: Path, start: str) -> None:
    (tmp_path / "turning.py").write_text(WORK, encoding="utf-8")
    imports = "import sys, turning; from lickwright import processes as apart"
    code = f"{imports}\nif __name__ == '__main__':\n    {start}"
    begun = tmp_path / "begun"
    process = subprocess.Popen(
        [sys.executable, "-c", code, str(begun)],
        cwd=tmp_path,
        env={**os.environ, "TMPDIR": str(tmp_path), "PYTHONPATH": _path(tmp_path)},
    )
    _wait_until(lambda: begun.is_file() and begun.read_text() != "")
    process.kill()
    process.wait()
    _wait_until(lambda: not _lives(int(begun.read_text())))


def test_a_job_tells_until_its_end(work: ModuleType) -> None:
    with told_apart(work.count, 3) as line:
        assert [line.recv() for _ in range(3)] == [0, 1, 2]
        with pytest.raises(EOFError):
            line.recv()


def test_a_job_that_is_left_is_stopped(work: ModuleType, tmp_path: Path) -> None:
    with told_apart(work.sleep_told, str(tmp_path / "begun")) as line:
        process = line.recv()
        assert _lives(process)
    assert not _lives(process)


def test_a_pool_is_loaded_before_its_first_job(work: ModuleType, tmp_path: Path) -> None:
    pool = WorkerPool(1, Setting({"SET": "before"}, str(tmp_path), work.load))
    told, scratch = pool.submit(work.settings, ["SET", "TURNED"]).result()
    pool.finish()
    assert (told, scratch) == (["before", "loaded"], str(tmp_path))


def _path(folder: Path) -> str:
    return os.pathsep.join([str(folder), os.environ.get("PYTHONPATH", "")])


def _lives(process: int) -> bool:
    """Is it there, and more than the entry of one that ended?"""
    try:
        state = Path(f"/proc/{process}/stat").read_text(encoding="ascii").rpartition(")")[2].split()
    except FileNotFoundError:
        return False
    return state[0] != "Z"


def _wait_until(true: Callable[[], bool]) -> None:
    end = time.monotonic() + 60
    while not true():
        assert time.monotonic() < end, "waited in vain"
        time.sleep(0.02)
