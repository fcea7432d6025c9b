"""Building every lesson of a folder: on all cores, or on a Dask cluster that the caller names.

Each lesson is built into a folder of its own, and remembers there what it was built from, so a
batch that was stopped goes on where it stopped.  A lesson that fails is told at the end and stops
no other.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Generator, Iterator, Sequence
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from lickwright.errors import LessonError, Spot
from lickwright.files import is_plain_file
from lickwright.lesson.edit import SUFFIXES
from lickwright.publish.batch.finished import BatchList, drop_list, finished
from lickwright.publish.batch.job import BatchStoppedError, LessonDone, LessonJob
from lickwright.publish.building import Progress

#: How long a batch on a cluster goes on without any lesson being finished, in seconds.
TIMEOUT_S = 600.0


def _unheard(_: str) -> None:
    """Who tells nobody."""


@dataclass(frozen=True, slots=True)
class BatchReport:
    """What became of every lesson, by name.

    Parameters
    ----------
    stopped : why the batch did not come to its end, in one sentence; ``None`` where it did.
    """

    lessons: tuple[LessonDone, ...]
    stopped: str | None = None

    @property
    def failed(self) -> tuple[LessonDone, ...]:
        return tuple(lesson for lesson in self.lessons if lesson.error is not None)

    @property
    def exit_code(self) -> int:
        """0, or 2 where a lesson could not be built."""
        return 2 if self.failed or self.stopped else 0

    def as_data(self) -> dict[str, Any]:
        """The report as plain data, for ``--json``."""
        lessons = [lesson.as_data() for lesson in self.lessons]
        return {"lessons": lessons, "stopped": self.stopped}

    def __str__(self) -> str:
        """What a person reads: warnings and faults by lesson, then the count."""
        lines = [line for lesson in self.lessons for line in lesson.lines()]
        if self.stopped is not None:
            lines.append(self.stopped)
        fresh = sum(bool(lesson.built) for lesson in self.lessons)
        skipped = sum(lesson.skipped for lesson in self.lessons)
        kept = len(self.lessons) - fresh - skipped - len(self.failed)
        counts = [
            (fresh, "built"),
            (kept, "unchanged"),
            (skipped, "skipped (finished before)"),
            (len(self.failed), "failed"),
        ]
        said = ", ".join(f"{count} {what}" for count, what in counts if count)
        noun = "lesson" if len(self.lessons) == 1 else "lessons"
        return "\n".join([*lines, f"{len(self.lessons)} {noun}: {said or 'nothing done'}."])


def build_folder(
    folder: str | os.PathLike[str],
    out: str | os.PathLike[str],
    *,
    scheduler: str | None = None,
    workers: int | None = None,
    progress: Progress | None = None,
    resume: bool = False,
    timeout_s: float = TIMEOUT_S,
    say: Callable[[str], None] = _unheard,
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
    resume : leave out what a batch that was stopped had finished, by the list that it kept in
        ``out``; without it every output is looked at, and only what changed is built.
    timeout_s : on a cluster, how long nothing may be finished before the batch gives up.
    say : on a cluster, told when workers are missing or are given no work.

    Returns
    -------
    What became of each lesson; where the cluster went away, of those that were finished, and why.

    Raises
    ------
    LessonError
        When the folder holds no lessons, or the cluster cannot be used; never for one lesson.
    """
    jobs, place = plan_batch(folder, out), Path(out).resolve()
    before = list(finished(place, jobs)) if resume else []
    done = {lesson.name: lesson for lesson in before}
    asked = [job for job in jobs if job.name not in done]
    stopped: str | None = None
    if asked:
        cluster = None if scheduler is None else _Cluster(scheduler, place, timeout_s, say)
        kept = BatchList(place, jobs, before)
        with closing(_results(asked, cluster, workers)) as results:
            try:
                for lesson in results:
                    done[lesson.name] = lesson
                    kept.add(lesson)
                    if progress is not None:
                        progress(len(done), len(jobs), lesson.name)
            except BatchStoppedError as error:
                stopped = str(error)
    report = BatchReport(tuple(done[job.name] for job in jobs if job.name in done), stopped)
    if not report.exit_code:
        drop_list(place)
    return report


@dataclass(frozen=True, slots=True)
class _Cluster:
    """What a cluster is given beside the lessons."""

    scheduler: str
    out: Path
    timeout_s: float
    say: Callable[[str], None]


def _results(
    jobs: Sequence[LessonJob], cluster: _Cluster | None, workers: int | None
) -> Generator[LessonDone]:
    if cluster is not None:
        from lickwright.publish.batch.cluster import build_on_cluster

        return build_on_cluster(
            jobs, cluster.scheduler, cluster.out, cluster.timeout_s, cluster.say
        )
    from lickwright.publish.batch.local import build_here

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
