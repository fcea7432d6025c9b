"""Building the lessons of a batch on a Dask cluster.

The workers read the lessons and write the output themselves: both folders must be on a disk that
all of them share, and every worker must run this very Lickwright, or the batches would build
against one another.  So each worker is asked first (:mod:`lickwright.publish.batch.worker`), the
ones that join late too, and only one that gave the right answer is given work, a lesson at a time.
"""

from __future__ import annotations

import logging
import queue
import time
from collections import deque
from collections.abc import Callable, Generator, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from lickwright.errors import LessonError
from lickwright.publish.batch.job import BatchStoppedError, LessonDone, LessonJob, failed
from lickwright.publish.batch.worker import (
    SharedFolder,
    answer_of,
    build_in_turn,
    question_for,
    refusal,
    shared_folder,
)

#: Dask says little of its types.
Client = Any
Future = Any

#: How long a scheduler, or its first worker, may take to answer, in seconds.
WAIT_S = 15
#: How often we look who is there, in seconds.
LOOK_S = 1.0
#: A lesson that lost its worker this often is taken to be the cause.
MOST_LOSSES = 2

#: Told what a person should know while the batch runs.
Say = Callable[[str], None]


def build_on_cluster(
    jobs: Sequence[LessonJob], scheduler: str, out: Path, timeout_s: float, say: Say
) -> Generator[LessonDone]:
    """Build lessons on the workers of a scheduler; results come as they are ready.

    Parameters
    ----------
    out : the folder that all of them are built into.
    timeout_s : how long the batch may go on without any lesson being finished.
    say : told when workers are missing, are back, or are given no work.

    Raises
    ------
    LessonError
        When Dask is not installed, no scheduler or worker answers, or the workers cannot do it.
    BatchStoppedError
        When the scheduler goes away, or nothing was finished for so long.
    """
    with _quiet(), _client(scheduler) as client, shared_folder(out) as shared:
        _check_workers(client, jobs[0].path, shared)
        yield from _Dispatch(client, scheduler, jobs, shared, timeout_s, say).results()


@contextmanager
def _quiet() -> Iterator[None]:
    """Dask tells every broken connection at length; what matters of it is told by us."""
    names = [
        name
        for name in logging.root.manager.loggerDict
        if name.split(".")[0] in {"distributed", "tornado", "asyncio"}
    ]
    loggers = [logging.getLogger(name) for name in {*names, "distributed", "tornado", "asyncio"}]
    were = [logger.disabled for logger in loggers]
    for logger in loggers:
        logger.disabled = True
    try:
        yield
    finally:
        for logger, was in zip(loggers, were, strict=True):
            logger.disabled = was


@contextmanager
def _client(scheduler: str) -> Iterator[Client]:
    try:
        import distributed
    except ImportError as error:
        raise LessonError(
            "building on a cluster needs Dask",
            mend="Install it with: pip install 'lickwright[cluster]'",
        ) from error
    connect: Any = distributed.Client
    with _quiet():  # its loggers were made just now
        try:
            client = connect(scheduler, timeout=WAIT_S, set_as_default=False)
        except (OSError, ValueError, TypeError) as error:
            raise LessonError(
                f"no Dask scheduler answers at '{scheduler}'",
                mend="Start one with: dask scheduler, and name its address, such as"
                " tcp://host:8786",
            ) from error
        try:
            yield client
        finally:
            client.close(timeout=2)


def _check_workers(client: Client, lesson: Path, shared: SharedFolder) -> None:
    """Ask all that are there from the start; one that cannot do it ends the batch."""
    try:
        client.wait_for_workers(1, timeout=WAIT_S)
    except TimeoutError as error:
        raise LessonError(
            "the scheduler has no workers", mend="Start some with: dask worker, and its address"
        ) from error
    answers: dict[str, Any] = client.run(answer_of, question_for(lesson, shared), on_error="return")
    for worker, answer in sorted(answers.items()):
        fault = refusal(worker, answer, lesson, shared)
        if fault is not None:
            raise fault


@dataclass
class _Dispatch:
    """Who builds what at this moment."""

    client: Client
    scheduler: str
    jobs: Sequence[LessonJob]
    shared: SharedFolder
    timeout_s: float
    say: Say
    #: Lessons that nobody builds yet.
    waiting: deque[LessonJob] = field(default_factory=deque)
    #: By the address of a worker: what it builds, and what was asked of it.
    building: dict[str, tuple[LessonJob, Future]] = field(default_factory=dict)
    asked: dict[str, Future] = field(default_factory=dict)
    good: set[str] = field(default_factory=set)
    refused: set[str] = field(default_factory=set)
    losses: dict[str, int] = field(default_factory=dict)
    done: int = 0
    is_alone: bool = False

    def results(self) -> Iterator[LessonDone]:
        ready: queue.SimpleQueue[Future] = queue.SimpleQueue()
        self.waiting.extend(self.jobs)
        last = time.monotonic()
        try:
            while self.done < len(self.jobs):
                there = self._workers()
                for lesson in self._lost(there):
                    self.done, last = self.done + 1, time.monotonic()
                    yield lesson
                self._ask_new(there)
                self._hand_out(ready)
                self._tell_waiting()
                for future in self._next(ready):
                    for lesson in self._finished(future):
                        self.done, last = self.done + 1, time.monotonic()
                        yield lesson
                self._hear_answers()
                if time.monotonic() - last > self.timeout_s:
                    raise self._stopped(self._why_silent())
        finally:
            for _, future in self.building.values():
                future.release()

    def _workers(self) -> set[str]:
        """The addresses of who is there now."""
        client = self.client
        try:
            if client.status != "running":
                raise ConnectionError
            return set(client.sync(client.scheduler.ncores, callback_timeout=WAIT_S))
        except (OSError, TimeoutError, AttributeError, ValueError, RuntimeError) as error:
            # Dask raises one or another of these as its connection goes down.
            raise self._stopped(f"the scheduler at '{self.scheduler}' went away") from error

    def _lost(self, there: set[str]) -> Iterator[LessonDone]:
        """Take back what a worker had that is gone; tell of a lesson that costs every worker."""
        self.good &= there
        for worker in set(self.asked) - there:
            self.asked.pop(worker).release()
        for worker in set(self.building) - there:
            job, future = self.building.pop(worker)
            future.cancel()
            yield from self._lost_once(job)

    def _lost_once(self, job: LessonJob) -> Iterator[LessonDone]:
        self.losses[job.name] = self.losses.get(job.name, 0) + 1
        if self.losses[job.name] >= MOST_LOSSES:
            times = "twice" if MOST_LOSSES == 2 else f"{MOST_LOSSES} times"
            yield failed(
                job,
                f"{job.path}: the worker that built it was lost, {times}. Look whether its memory"
                " is full, and build it alone.",
            )
        else:
            self.waiting.appendleft(job)

    def _ask_new(self, there: set[str]) -> None:
        """Ask the workers that joined since we last looked."""
        for worker in sorted(there - self.good - self.refused - set(self.asked)):
            self.asked[worker] = self.client.submit(
                answer_of,
                question_for(self.jobs[0].path, self.shared),
                workers=[worker],
                pure=False,
                priority=1,
            )

    def _hear_answers(self) -> None:
        for worker, future in list(self.asked.items()):
            if not future.done():
                continue
            del self.asked[worker]
            answer = future.result() if future.status == "finished" else _fault(future)
            fault = refusal(worker, answer, self.jobs[0].path, self.shared)
            if fault is None:
                self.good.add(worker)
            else:
                self.refused.add(worker)
                self.say(f"{fault} It is given no work.")

    def _hand_out(self, ready: queue.SimpleQueue[Future]) -> None:
        for worker in sorted(self.good - set(self.building)):
            if not self.waiting:
                return
            job = self.waiting.popleft()
            # At one address only: a lesson is never built by a worker that was not asked.
            future = self.client.submit(
                build_in_turn, job, workers=[worker], allow_other_workers=False, pure=False
            )
            self.building[worker] = (job, future)
            future.add_done_callback(ready.put)

    def _tell_waiting(self) -> None:
        alone = not self.good and not self.building
        if alone and not self.is_alone and not self.asked:
            self.say(
                f"Waiting for workers: none is there, {self.done} of {len(self.jobs)} lessons"
                f" are done; giving up after {self.timeout_s:g} s."
            )
            self.is_alone = True
        elif self.is_alone and self.good:
            self.say("A worker is there again.")
            self.is_alone = False

    def _next(self, ready: queue.SimpleQueue[Future]) -> Iterator[Future]:
        """What was finished within one look."""
        try:
            yield ready.get(timeout=LOOK_S)
            while True:
                yield ready.get_nowait()
        except queue.Empty:
            return

    def _finished(self, future: Future) -> Iterator[LessonDone]:
        for worker, (job, ours) in list(self.building.items()):
            if ours is not future and ours.key != future.key:
                continue
            if future.status == "finished":
                del self.building[worker]
                yield future.result()
            elif future.status == "error":
                del self.building[worker]
                self.good.discard(worker)  # it is asked again, if it is there at all
                if type(_fault(future)).__name__ == "KilledWorker":
                    yield from self._lost_once(job)
                else:
                    reason = type(_fault(future)).__name__
                    yield failed(job, f"{job.path}: its worker could not build it ({reason}).")
            # A cancelled one has lost its scheduler, or its worker: the next look tells which.
            return

    def _why_silent(self) -> str:
        if not self.good:
            return f"no worker was there for {self.timeout_s:g} s"
        return f"no lesson was finished for {self.timeout_s:g} s"

    def _stopped(self, why: str) -> BatchStoppedError:
        left = len(self.jobs) - self.done
        noun = "lesson was" if left == 1 else "lessons were"
        return BatchStoppedError(
            f"{why}; {left} {noun} not built",
            mend="Start it again and run the same with --resume",
        )


def _fault(future: Future) -> Exception:
    """Why a task did not end well."""
    if future.status == "cancelled":
        return ConnectionError()
    fault: Exception = future.exception()
    return fault
