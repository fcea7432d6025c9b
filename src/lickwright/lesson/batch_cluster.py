"""Building the lessons of a batch on a Dask cluster.

The workers read the lessons and write the output themselves: both folders must be on a disk that
all of them share, and every worker must run this very Lickwright, or the batches would build
against one another.
"""

from __future__ import annotations

import threading
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from lickwright.errors import LessonError
from lickwright.lesson.batch_job import LessonDone, LessonJob, build_one, failed
from lickwright.lesson.manifest import engine

#: Dask says little of its types.
Client = Any

#: How long a scheduler, or its first worker, may take to answer, in seconds.
WAIT_S = 15

#: Engraving keeps state of its own process: a worker with several threads builds one at a time.
_ONE_AT_A_TIME = threading.Lock()


def build_on_cluster(jobs: Sequence[LessonJob], scheduler: str) -> Iterator[LessonDone]:
    """Build lessons on the workers of a scheduler; results come as they are ready.

    Raises
    ------
    LessonError
        When Dask is not installed, no scheduler or worker answers, or the workers cannot do it.
    """
    with _client(scheduler) as client:
        _check_workers(client, jobs[0].path.parent)
        yield from _results(client, jobs)


def _client(scheduler: str) -> Client:
    try:
        import distributed
    except ImportError as error:
        raise LessonError(
            "building on a cluster needs Dask",
            mend="Install it with: pip install 'lickwright[cluster]'",
        ) from error
    try:
        connect: Any = distributed.Client
        return connect(scheduler, timeout=WAIT_S, set_as_default=False)
    except (OSError, ValueError, TypeError) as error:
        raise LessonError(
            f"no Dask scheduler answers at '{scheduler}'",
            mend="Start one with: dask scheduler, and name its address, such as tcp://host:8786",
        ) from error


def _check_workers(client: Client, folder: Path) -> None:
    try:
        client.wait_for_workers(1, timeout=WAIT_S)
    except TimeoutError as error:
        raise LessonError(
            "the scheduler has no workers", mend="Start some with: dask worker, and its address"
        ) from error
    answers: dict[str, Any] = client.run(_answer, str(folder), on_error="return")
    for worker, answer in sorted(answers.items()):
        if not isinstance(answer, tuple):
            raise LessonError(
                f"the worker {worker} cannot run Lickwright ({type(answer).__name__})",
                mend="Install it there with what it needs",
            )
        version, sees_folder = answer
        if version != engine():
            raise LessonError(
                f"the worker {worker} runs another version of Lickwright or of its libraries",
                mend="Install the same there as here",
            )
        if not sees_folder:
            raise LessonError(
                f"the worker {worker} does not see {folder}",
                mend="Put lessons and output on a disk that all workers share",
            )


def _answer(folder: str) -> tuple[str, bool]:
    """What a worker says of itself: its version, and whether it sees the lessons."""
    return engine(), Path(folder).is_dir()


def _results(client: Client, jobs: Sequence[LessonJob]) -> Iterator[LessonDone]:
    import distributed

    completed: Any = distributed.as_completed
    futures = {client.submit(build_in_turn, job, pure=False): job for job in jobs}
    for future in completed(futures, loop=client.loop):
        job = futures[future]
        if future.status == "finished":
            yield future.result()
        else:
            reason = type(future.exception()).__name__ if future.status == "error" else "cancelled"
            yield failed(job, f"{job.path}: the worker that built it was lost ({reason}).")


def build_in_turn(job: LessonJob) -> LessonDone:
    """Build one lesson on a worker, after the one that it builds already."""
    with _ONE_AT_A_TIME:
        return build_one(job)
