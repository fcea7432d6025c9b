"""Building the lessons of a batch on this machine, a process a core."""

from __future__ import annotations

import multiprocessing
import os
import signal
from collections.abc import Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool

from lickwright.lesson.batch_job import LessonDone, LessonJob, build_one, failed

#: What tells the libraries below how many threads to start; they read it when they are loaded.
ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "RAYON_NUM_THREADS")


def build_here(jobs: Sequence[LessonJob], workers: int) -> Iterator[LessonDone]:
    """Build lessons, as many at once as there are workers; results come as they are ready.

    A process that dies takes its fellows with it.  What was not done then is done again, each
    lesson in a process of its own, so that only the lesson that kills its process is lost.
    """
    workers = min(workers, len(jobs))
    if workers < 2:
        yield from map(build_one, jobs)
        return
    undone = []
    with _pool(workers) as pool:
        futures: dict[Future[LessonDone], LessonJob] = {}
        for job in _largest_first(jobs):
            try:
                futures[pool.submit(build_one, job)] = job
            except BrokenProcessPool:  # a process died while others were still being given work
                undone.append(job)
        try:
            for future in as_completed(futures):
                if _broke(future):
                    undone.append(futures[future])
                else:
                    yield future.result()
        except BaseException:
            pool.shutdown(wait=False, cancel_futures=True)
            raise
    for job in undone:
        with _pool(1) as pool:
            alone = pool.submit(build_one, job)
            yield _lost(job) if _broke(alone) else alone.result()


def _pool(workers: int) -> ProcessPoolExecutor:
    # Fresh processes: a copy of one that has threads may hang.
    fresh = multiprocessing.get_context("spawn")
    return ProcessPoolExecutor(workers, mp_context=fresh, initializer=_begin)


def _begin() -> None:
    """Set a worker up before it loads anything."""
    # An interrupt at the keyboard is for the parent, which gives no more lessons.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # There is a process a core already: threads below it would wait for one another.
    os.environ |= dict.fromkeys(ONE_THREAD, "1")


def _largest_first(jobs: Sequence[LessonJob]) -> list[LessonJob]:
    """Long lessons begin early, so that none is left to run alone at the end."""
    return sorted(jobs, key=lambda job: (-_size(job), job.name))


def _size(job: LessonJob) -> int:
    try:
        return job.path.stat().st_size
    except OSError:  # gone since the folder was read: building it will say so
        return 0


def _broke(future: Future[LessonDone]) -> bool:
    return isinstance(future.exception(), BrokenProcessPool)


def _lost(job: LessonJob) -> LessonDone:
    return failed(
        job,
        f"{job.path}: the process that built it was killed. Look whether the memory is full, and"
        " build it alone.",
    )
