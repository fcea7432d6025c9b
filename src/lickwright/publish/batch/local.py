"""Building the lessons of a batch on this machine, a process a core."""

from __future__ import annotations

from collections.abc import Generator, Sequence

from lickwright.processes import done_apart, lost
from lickwright.publish.batch.job import LessonDone, LessonJob, build_one, failed


def build_here(jobs: Sequence[LessonJob], workers: int) -> Generator[LessonDone]:
    """Build lessons, as many at once as there are workers; results come as they are ready."""
    if min(workers, len(jobs)) < 2:
        yield from map(build_one, jobs)
        return
    # A lesson that was begun is finished: its folder has nothing to be cleared of then.
    results = done_apart(build_one, _largest_first(jobs), workers, finish_begun=True)
    for job, future in results:
        yield _killed(job) if lost(future) else future.result()


def _largest_first(jobs: Sequence[LessonJob]) -> list[LessonJob]:
    return sorted(jobs, key=lambda job: (-_size(job), job.name))


def _size(job: LessonJob) -> int:
    try:
        return job.path.stat().st_size
    except OSError:  # gone since the folder was read: building it will say so
        return 0


def _killed(job: LessonJob) -> LessonDone:
    return failed(
        job,
        f"{job.path}: the process that built it was killed. Look whether the memory is full, and"
        " build it alone.",
    )
