"""Which lessons of a batch are finished already?

A list in the output folder, a line for each lesson as it is finished: its name, the hash of its
text, the engine that built it, and what its checks said.  A batch that was stopped can then ask
for the rest alone, without reading what it built.  A line that was not written to its end, or says
something else, is no line.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from lickwright.errors import OutputError, Spot
from lickwright.files import TooLargeError, is_plain_file, read_plain
from lickwright.publish.batch.job import LessonDone, LessonJob
from lickwright.publish.manifest import MANIFEST_NAME, digest, engine

LIST_NAME = ".lickwright-batch.jsonl"
#: No list is longer; a longer one is as good as none.
_MOST_BYTES = 64_000_000


def finished(out: Path, jobs: Iterable[LessonJob]) -> Iterator[LessonDone]:
    """The lessons that need not be asked for.

    That is: their text is what it was when they were finished, this very Lickwright built them,
    and their output is still there.
    """
    lines = _lines(out / LIST_NAME)
    for job in jobs:
        line = lines.get(job.name)
        if line is not None and line == _line(job, line["warnings"]) and _has_output(job):
            yield LessonDone(
                job.name, job.path, job.out, warnings=tuple(line["warnings"]), skipped=True
            )


class BatchList:
    """The list of a batch that runs.

    Parameters
    ----------
    out : the folder that it stands in, made where it is missing.
    jobs : the lessons that will be built.
    before : what was finished before, to begin with.

    Raises
    ------
    OutputError
        When it cannot be written; so does :meth:`add`.
    """

    def __init__(
        self, out: Path, jobs: Sequence[LessonJob], before: Sequence[LessonDone] = ()
    ) -> None:
        self._path = out / LIST_NAME
        # What a lesson says is taken down before it is built: edited meanwhile, it is not done.
        self._known = {job.name: _line(job, []) for job in jobs}
        fresh = out / f"{LIST_NAME}.{os.getpid()}"
        with self._told():
            try:
                out.mkdir(parents=True, exist_ok=True)
                fresh.write_bytes(b"".join(map(self._bytes, before)))
                fresh.replace(self._path)
            except OSError:
                fresh.unlink(missing_ok=True)
                raise

    def add(self, lesson: LessonDone) -> None:
        """Write down that a lesson is finished; one that failed is not."""
        with self._told(), self._path.open("ab") as file:
            file.write(self._bytes(lesson))

    def _bytes(self, lesson: LessonDone) -> bytes:
        known = self._known[lesson.name]
        if lesson.error is not None or known["text"] is None:
            return b""
        line = known | {"warnings": list(lesson.warnings)}
        return (json.dumps(line, ensure_ascii=False) + "\n").encode()

    @contextmanager
    def _told(self) -> Iterator[None]:
        try:
            yield
        except OSError as error:
            raise OutputError(
                f"the list of finished lessons cannot be written ({_reason(error)})",
                mend="Name a folder that you may write, on a disk with room",
                where=Spot(str(self._path)),
            ) from error


def drop_list(out: Path) -> None:
    """Take the list away: every lesson is finished."""
    (out / LIST_NAME).unlink(missing_ok=True)


def _lines(path: Path) -> Mapping[str, dict[str, Any]]:
    try:
        data = read_plain(path, _MOST_BYTES)
    except (OSError, TooLargeError):
        return {}
    found: dict[str, dict[str, Any]] = {}
    for line in data.splitlines():
        try:
            said = json.loads(line)
        except (ValueError, RecursionError):  # the last one, where its writer was killed
            continue
        if isinstance(said, dict) and isinstance(said.get("name"), str):
            warnings = said.get("warnings")
            if isinstance(warnings, list) and all(isinstance(each, str) for each in warnings):
                found[said["name"]] = said
    return found


def _line(job: LessonJob, warnings: Sequence[str]) -> dict[str, Any]:
    try:
        text: str | None = digest(read_plain(job.path))
    except OSError:  # building it will say so
        text = None
    return {
        "name": job.name,
        "file": job.path.name,
        "text": text,
        "engine": engine(),
        "warnings": list(warnings),
    }


def _has_output(job: LessonJob) -> bool:
    return is_plain_file(job.out / MANIFEST_NAME)


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()
