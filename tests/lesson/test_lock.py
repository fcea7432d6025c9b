"""One build at a time in a folder, and a true sentence for whoever comes second."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from lickwright.errors import OutputError
from lickwright.files.lock import LOCK_NAME, BusyError, writing

HOLD = """
import sys, time
from pathlib import Path
from lickwright.files.lock import writing
with writing(Path(sys.argv[1])):
    print("held", flush=True)
    time.sleep(600)
"""


def holder(folder: Path) -> subprocess.Popen[str]:
    process = subprocess.Popen(
        [sys.executable, "-c", HOLD, str(folder)], stdout=subprocess.PIPE, text=True
    )
    assert process.stdout is not None
    assert process.stdout.readline() == "held\n"
    return process


def test_the_second_is_told_who_and_since_when_and_a_kill_lets_go(tmp_path: Path) -> None:
    process = holder(tmp_path)
    try:
        with pytest.raises(BusyError) as caught, writing(tmp_path):
            pass
        said = re.fullmatch(
            rf"{re.escape(str(tmp_path))}: another build is writing this folder \(process"
            rf" {process.pid}, since (\d{{4}}-\d\d-\d\d \d\d:\d\d:\d\d)\)\. Wait until it is done,"
            r" or name another folder\.",
            str(caught.value),
        )
        assert said is not None, str(caught.value)
        since = time.mktime(time.strptime(said[1], "%Y-%m-%d %H:%M:%S"))
        assert abs(time.time() - since) < 600
    finally:
        process.send_signal(signal.SIGKILL)
        process.wait()
    assert (tmp_path / LOCK_NAME).exists()  # its words are left, its lock is not
    with writing(tmp_path):
        pass
    assert list(tmp_path.iterdir()) == []


def test_two_in_one_process_shut_each_other_out(tmp_path: Path) -> None:
    with writing(tmp_path):
        with pytest.raises(BusyError, match=f"process {os.getpid()}"), writing(tmp_path):
            pass
        # Being refused took nothing from the first.
        with pytest.raises(BusyError), writing(tmp_path):
            pass
    with writing(tmp_path):
        pass


def test_the_words_of_a_killed_build_are_told_of_nobody(tmp_path: Path) -> None:
    with writing(tmp_path):
        for words in (
            b'{"process": 4194304999, "computer": "%s", "since": "long ago"}'
            % os.uname().nodename.encode(),
            b"",
            b"[" * 900,
            b"\xff",
            b"5",
        ):
            (tmp_path / LOCK_NAME).write_bytes(words)
            with pytest.raises(BusyError, match="it has only begun"), writing(tmp_path):
                pass


def test_a_lock_taken_away_by_hand_harms_nobody(tmp_path: Path) -> None:
    with writing(tmp_path):
        (tmp_path / LOCK_NAME).unlink()
        with writing(tmp_path):
            (tmp_path / "mine").touch()
    assert [path.name for path in tmp_path.iterdir()] == ["mine"]


@pytest.mark.parametrize("kind", ["folder", "link", "pipe"])
def test_whatever_else_lies_at_the_name_of_the_lock(tmp_path: Path, kind: str) -> None:
    out = tmp_path / "out"
    out.mkdir()
    if kind == "folder":
        (out / LOCK_NAME).mkdir()
    elif kind == "link":
        (out / LOCK_NAME).symlink_to(tmp_path / "theirs")
    else:
        os.mkfifo(out / LOCK_NAME)
    with pytest.raises(OutputError, match="cannot be written"), writing(out):
        pass
    assert not (tmp_path / "theirs").exists()
    assert os.path.lexists(out / LOCK_NAME)
