"""One lesson of a batch: what is to be built, and what became of it."""

from __future__ import annotations

import traceback
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from lickwright.errors import LessonError, LickwrightError


class BatchStoppedError(LessonError):
    """A batch that cannot go on; what it finished before stays."""


@dataclass(frozen=True, slots=True)
class LessonJob:
    """A lesson to build: its name in the batch, its file, its output folder."""

    name: str
    path: Path
    out: Path


@dataclass(frozen=True, slots=True)
class LessonDone:
    """What became of a lesson.

    Parameters
    ----------
    built, kept : names of the steps that were done, and of those that were up to date.
    warnings : what its checks found, in sentences.
    error : why it could not be built, in one sentence; ``None`` where it was.
    skipped : whether it was finished before, and not asked for again.
    """

    name: str
    path: Path
    out: Path
    built: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    error: str | None = None
    skipped: bool = False

    def as_data(self) -> dict[str, Any]:
        """The same as plain data."""
        return {
            "name": self.name,
            "file": str(self.path),
            "out": str(self.out),
            "built": list(self.built),
            "kept": list(self.kept),
            "warnings": list(self.warnings),
            "error": self.error,
            "skipped": self.skipped,
        }

    def lines(self) -> Iterator[str]:
        """What a person should read of it; nothing where all went well."""
        yield from self.warnings
        if self.error is not None:
            yield self.error


def failed(job: LessonJob, error: str) -> LessonDone:
    """A lesson that could not be built, and why."""
    return LessonDone(job.name, job.path, job.out, error=error)


def build_one(job: LessonJob) -> LessonDone:
    """Build one lesson in this process; whatever goes wrong becomes part of the answer."""
    from lickwright.lesson.file import load_lesson
    from lickwright.publish.building import build

    try:
        report = build(load_lesson(job.path), job.out, workers=1)
    except LickwrightError as error:
        return failed(job, str(error))
    except Exception as error:
        # A fault of our own in one lesson must not cost the others; it is told with its place.
        frame = traceback.extract_tb(error.__traceback__)[-1]
        place = f"{Path(frame.filename).name}:{frame.lineno}"
        what = f"{type(error).__name__} {error}".strip()
        return failed(job, f"{job.path}: Lickwright itself failed ({what}, at {place}).")
    return LessonDone(
        job.name,
        job.path,
        job.out,
        report.built,
        report.kept,
        tuple(str(finding) for finding in report.findings),
    )
