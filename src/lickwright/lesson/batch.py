"""Building every lesson of a folder: on all cores, or on a Dask cluster that the caller names.

Each lesson is built into a folder of its own, and remembers there what it was built from, so a
batch that was stopped goes on where it stopped.  A lesson that fails is told at the end and stops
no other.
"""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from lickwright.errors import LessonError, Spot
from lickwright.lesson.batch_job import LessonDone, LessonJob
from lickwright.lesson.build import Progress
from lickwright.lesson.folder import SUFFIXES
from lickwright.paths import is_plain_file


@dataclass(frozen=True, slots=True)
class BatchReport:
    """What became of every lesson, by name."""

    lessons: tuple[LessonDone, ...]

    @property
    def failed(self) -> tuple[LessonDone, ...]:
        return tuple(lesson for lesson in self.lessons if lesson.error is not None)

    @property
    def exit_code(self) -> int:
        """0, or 2 where a lesson could not be built."""
        return 2 if self.failed else 0

    def as_data(self) -> dict[str, Any]:
        """The report as plain data, for ``--json``."""
        return {"lessons": [lesson.as_data() for lesson in self.lessons]}

    def __str__(self) -> str:
        """What a person reads: warnings and faults by lesson, then the count."""
        lines = [line for lesson in self.lessons for line in lesson.lines()]
        fresh = sum(bool(lesson.built) for lesson in self.lessons)
        kept = len(self.lessons) - fresh - len(self.failed)
        counts = [(fresh, "built"), (kept, "unchanged"), (len(self.failed), "failed")]
        said = ", ".join(f"{count} {what}" for count, what in counts if count)
        noun = "lesson" if len(self.lessons) == 1 else "lessons"
        return "\n".join([*lines, f"{len(self.lessons)} {noun}: {said}."])


def build_folder(
    folder: str | os.PathLike[str],
    out: str | os.PathLike[str],
    *,
    scheduler: str | None = None,
    workers: int | None = None,
    progress: Progress | None = None,
) -> BatchReport:
    """Build every lesson of a folder and of the folders in it.

    Parameters
    ----------
    folder : holds lesson files (``*.yaml``, ``*.yml``).
    out : ``2024/tide.yaml`` is built into ``2024/tide`` there.
    scheduler : address of a Dask scheduler, such as ``"tcp://host:8786"``, whose workers see both
        folders under the same names; ``None`` builds on this machine.
    workers : processes at once on this machine; ``None`` for one a core.
    progress : told after each lesson.

    Raises
    ------
    LessonError
        When the folder holds no lessons, or the cluster cannot be used; never for one lesson.
    """
    jobs = plan_batch(folder, out)
    done: dict[str, LessonDone] = {}
    for lesson in _results(jobs, scheduler, workers):
        done[lesson.name] = lesson
        if progress is not None:
            progress(len(done), len(jobs), lesson.name)
    return BatchReport(tuple(done[job.name] for job in jobs))


def _results(
    jobs: Sequence[LessonJob], scheduler: str | None, workers: int | None
) -> Iterator[LessonDone]:
    if scheduler is not None:
        from lickwright.lesson.batch_cluster import build_on_cluster

        return build_on_cluster(jobs, scheduler)
    from lickwright.lesson.batch_local import build_here

    return build_here(jobs, workers or os.cpu_count() or 1)


def plan_batch(folder: str | os.PathLike[str], out: str | os.PathLike[str]) -> list[LessonJob]:
    """What a batch would build, by name.

    Raises
    ------
    LessonError
        When there is no such folder, it holds no lessons, or two of them would be built into one
        place.
    """
    folder, out = Path(folder).resolve(), Path(out).resolve()
    if not folder.is_dir():
        raise LessonError(
            "there is no such folder", mend="Name a folder of lessons", where=Spot(str(folder))
        )
    jobs: dict[str, LessonJob] = {}
    for path in _lesson_files(folder, out):
        name = path.relative_to(folder).with_suffix("").as_posix()
        if name in jobs:
            raise LessonError(
                f"'{jobs[name].path.name}' and '{path.name}' would be built into one folder",
                mend="Rename one of them",
                where=Spot(str(path)),
            )
        jobs[name] = LessonJob(name, path, out / name)
    if not jobs:
        raise LessonError(
            "the folder holds no lessons",
            mend=f"Name a folder with {' or '.join(f'*{suffix}' for suffix in SUFFIXES)} files",
            where=Spot(str(folder)),
        )
    return [jobs[name] for name in sorted(jobs)]


def _lesson_files(folder: Path, out: Path) -> Iterator[Path]:
    """Lesson files in order; hidden ones, links to other folders and the output are passed by.

    So is what is no plain file, such as a pipe; a link that leads nowhere is named, to be told.
    """
    for place, folders, files in os.walk(folder):
        here = Path(place)
        folders[:] = sorted(
            name for name in folders if not name.startswith(".") and here / name != out
        )
        for name in sorted(files):
            path = here / name
            if name.startswith(".") or path.suffix not in SUFFIXES:
                continue
            if is_plain_file(path) or not path.exists():
                yield path
