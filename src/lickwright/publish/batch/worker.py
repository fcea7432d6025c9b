"""What a worker of a cluster is asked before it gets work, and the work itself.

A worker must run the same Lickwright with the same libraries, read the same lessons, and write
where we read: it finds what we wrote into the output folder, and we find what it wrote there.
Questions and answers are plain data, so that a worker of another version can still answer.
"""

from __future__ import annotations

import secrets
import shutil
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from lickwright.errors import LessonError, OutputError, Spot
from lickwright.files import read_plain
from lickwright.publish.batch.job import LessonDone, LessonJob, build_one
from lickwright.publish.manifest import digest, engine

#: How long a file on a shared disk may take to be seen from the other side, in seconds.
SEEN_S = 5.0

#: Engraving keeps state of its own process: a worker with several threads builds one at a time.
_ONE_AT_A_TIME = threading.Lock()


@dataclass(frozen=True, slots=True)
class SharedFolder:
    """A folder of this batch's own in the output folder, to see who writes where we read.

    Parameters
    ----------
    token : what our file in it holds.
    """

    folder: Path
    token: str

    @property
    def ours(self) -> Path:
        return self.folder / "batch"


@contextmanager
def shared_folder(out: Path) -> Iterator[SharedFolder]:
    """Write our token; all of it is gone in the end.

    Raises
    ------
    OutputError
        When the output folder cannot be written.
    """
    try:
        out.mkdir(parents=True, exist_ok=True)
        folder = Path(tempfile.mkdtemp(prefix=".lickwright-seen-", dir=out))
        folder.chmod(0o777)  # a worker may run as somebody else
        shared = SharedFolder(folder, secrets.token_hex(16))
        shared.ours.write_text(shared.token, encoding="utf-8")
    except OSError as error:
        raise OutputError(
            f"the output folder cannot be written ({(error.strerror or str(error)).lower()})",
            mend="Name a folder that you may write",
            where=Spot(str(out)),
        ) from error
    try:
        yield shared
    finally:
        shutil.rmtree(folder, ignore_errors=True)  # a worker's file that came late stays, harmless


def question_for(lesson: Path, shared: SharedFolder) -> dict[str, str]:
    """What a worker is asked."""
    return {"lesson": str(lesson), "file": str(shared.ours)}


def answer_of(question: dict[str, str]) -> dict[str, Any]:
    """What a worker says of itself; runs there.

    Returns
    -------
    its engine; the hash of the lesson as it reads it; what our file holds there; what it wrote
    beside that, and the name.  ``None`` for what it could not read or write.
    """
    ours = Path(question["file"])
    token, name = secrets.token_hex(16), f"worker-{secrets.token_hex(8)}"
    seen = _read_soon(ours)
    written: str | None = token
    try:
        (ours.parent / name).write_text(token, encoding="utf-8")
    except OSError:
        written = None
    try:
        lesson: str | None = digest(read_plain(question["lesson"]))
    except OSError:
        lesson = None
    return {"engine": engine(), "lesson": lesson, "seen": seen, "token": written, "name": name}


def refusal(worker: str, answer: Any, lesson: Path, shared: SharedFolder) -> LessonError | None:
    """Why a worker gets no work; ``None`` where it is as it must be."""
    if not isinstance(answer, dict):
        return LessonError(
            f"the worker {worker} cannot run Lickwright ({type(answer).__name__})",
            mend="Install the same there as here",
        )
    if answer.get("engine") != engine():
        return LessonError(
            f"the worker {worker} runs another version of Lickwright or of its libraries",
            mend="Install the same there as here",
        )
    if answer.get("lesson") != _own_digest(lesson):
        return LessonError(
            f"the worker {worker} does not see {lesson} as it is here",
            mend="Put lessons and output on a disk that all workers share",
        )
    out = shared.folder.parent
    if answer.get("seen") != shared.token:
        return LessonError(
            f"the worker {worker} does not see what is written to {out} here",
            mend="Put lessons and output on a disk that all workers share",
        )
    token, name = answer.get("token"), answer.get("name")
    if token is None:
        return LessonError(
            f"the worker {worker} cannot write to {out}",
            mend="Let the user that it runs as write there",
        )
    if not isinstance(name, str) or _read_soon(shared.folder / Path(name).name) != token:
        return LessonError(
            f"what the worker {worker} writes to {out} is not seen here",
            mend="Put lessons and output on a disk that all workers share",
        )
    return None


def _read_soon(path: Path) -> str | None:
    """What a small file holds, once a shared disk shows it."""
    end = time.monotonic() + SEEN_S
    while True:
        try:
            found = read_plain(path, 1000).decode("utf-8", "replace")
        except OSError:
            found = ""
        if found or time.monotonic() > end:
            return found or None
        time.sleep(0.1)


def _own_digest(lesson: Path) -> str | None:
    try:
        return digest(read_plain(lesson))
    except OSError:
        return None


def build_in_turn(job: LessonJob) -> LessonDone:
    """Build one lesson on a worker, after the one that it builds already."""
    with _ONE_AT_A_TIME:
        return build_one(job)
