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

from lickwright.processes import ONE_THREAD, done_apart, lost

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
        env={**os.environ, "TMPDIR": str(tmp_path / "scratch"), "PYTHONPATH": str(tmp_path)},
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
