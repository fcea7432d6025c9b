"""Heavy work in fresh processes, none of which outlives its parent.

* :func:`done_apart`: many jobs, one process a core (a build, a batch).
* :class:`WorkerPool`: processes that stay and wait for jobs (the studio).
* :func:`told_apart`: one long job in a process of its own that tells how far it is.
"""

from __future__ import annotations

import os
import pickle
import signal
import tempfile
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any, Concatenate, ParamSpec, TypeVar

J = TypeVar("J")
R = TypeVar("R")
P = ParamSpec("P")

#: What tells the libraries below how many threads to start; they read it when they are loaded.
ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "RAYON_NUM_THREADS")


def nothing() -> None:
    """What a process loads that loads nothing beforehand."""


@dataclass(frozen=True, slots=True)
class Setting:
    """How a process is set up before its first job.

    Parameters
    ----------
    environment : variables, set before any library is loaded.
    scratch : a folder for its temporary files that the parent clears away; empty for the usual.
    load : called once, so that the first job finds loaded what it needs.
    """

    environment: Mapping[str, str] | None = None
    scratch: str = ""
    load: Callable[[], object] = nothing


class WorkerPool:
    """Processes that wait for jobs, until they are let go or forgotten or their parent ends.

    Parameters
    ----------
    workers : how many.
    setting : how each is set up.
    """

    def __init__(self, workers: int, setting: Setting) -> None:
        # Started anew: a copy of a process that has threads, as the typesetter's, may hang.
        context = get_context("spawn")
        self._watched, self._held = context.Pipe(duplex=False)
        self._executor = ProcessPoolExecutor(
            workers, context, initializer=_begin, initargs=(self._watched, setting)
        )

    def submit(self, job: Callable[P, R], *args: P.args, **kwargs: P.kwargs) -> Future[R]:
        """Begin a job, a function that can be pickled, as soon as a process is free.

        Raises
        ------
        BrokenProcessPool
            Where a process of the pool was killed.
        """
        return self._executor.submit(job, *args, **kwargs)

    def finish(self) -> None:
        """Wait for what was begun, then let the processes go."""
        self._executor.shutdown(cancel_futures=True)
        self._close()

    def stop(self, *, waits: bool = True) -> None:
        """End the processes where they are.

        Parameters
        ----------
        waits : until they have ended.
        """
        self._held.close()
        self._executor.shutdown(wait=waits, cancel_futures=True)
        if waits:
            self._close()

    def _close(self) -> None:
        self._held.close()
        self._watched.close()


def done_apart(
    work: Callable[[J], R], jobs: Sequence[J], workers: int, *, finish_begun: bool = False
) -> Iterator[tuple[J, Future[R]]]:
    """Do jobs in processes of their own; each comes with its finished future as it is ready.

    A process that dies takes its fellows with it.  What was not done then is done again, each job
    in a process of its own, so that only the job that kills its process is :func:`lost`.

    Parameters
    ----------
    work : a function that can be pickled, as its jobs and results.
    jobs : the longest first, so that none is left to run alone at the end.
    finish_begun : when the caller goes away, as at an interrupt, let jobs come to their end that
        were begun; else they are stopped where they are.
    """
    with tempfile.TemporaryDirectory(prefix="lickwright-") as scratch:
        # There is a process a core already: threads below it would wait for one another.
        setting = Setting(dict.fromkeys(ONE_THREAD, "1"), scratch)
        # Handed over as files, not through the pool's pipe: a process that dies while a long job
        # is being written to it would leave the writer waiting for ever.
        orders = [Path(scratch, f"{number}.order") for number in range(len(jobs))]
        for order, job in zip(orders, jobs, strict=True):
            order.write_bytes(pickle.dumps((work, job)))
        undone = []
        with _pool(min(workers, len(jobs)), setting, finish_begun) as pool:
            futures: dict[Future[R], int] = {}
            for number, order in enumerate(orders):
                try:
                    futures[pool.submit(_follow, order)] = number
                except BrokenProcessPool:  # a process died while others were being given work
                    undone.append(number)
            for future in as_completed(list(futures)):
                number = futures.pop(future)
                if lost(future):
                    undone.append(number)
                else:
                    yield jobs[number], future
        for number in undone:
            with _pool(1, setting, finish_begun) as pool:
                alone: Future[R] = pool.submit(_follow, orders[number])
                wait([alone])
            yield jobs[number], alone


def _follow(order: Path) -> Any:
    work, job = pickle.loads(order.read_bytes())
    return work(job)


def lost(future: Future[R]) -> bool:
    """Was the process killed that did this job?"""
    return isinstance(future.exception(), BrokenProcessPool)


@contextmanager
def _pool(workers: int, setting: Setting, finish_begun: bool) -> Iterator[WorkerPool]:
    pool = WorkerPool(workers, setting)
    try:
        yield pool
    except BaseException:
        if finish_begun:
            pool.finish()
        else:
            pool.stop()
        raise
    pool.finish()


@contextmanager
def told_apart(
    work: Callable[Concatenate[Callable[[object], None], P], object],
    *args: P.args,
    **kwargs: P.kwargs,
) -> Iterator[Connection]:
    """A job in a process of its own, and the end of a pipe at which what it tells arrives.

    The pipe is at its end (``EOFError``) when the job is.  Whoever leaves the ``with`` before
    stops the job where it is.

    Parameters
    ----------
    work : a function that can be pickled; its first argument is called with what it tells.
    """
    context = get_context("spawn")
    watched, held = context.Pipe(duplex=False)
    ours, theirs = context.Pipe(duplex=False)
    process = context.Process(target=_tell, args=(watched, theirs, work, args, kwargs))
    with ours:
        with held:
            with watched, theirs:
                process.start()
            yield ours
        process.join()


def _tell(
    parent: Connection,
    line: Connection,
    work: Callable[..., object],
    args: tuple[Any, ...],
    kwargs: dict[str, Any],
) -> None:
    _begin(parent, Setting())
    work(line.send, *args, **kwargs)


def _begin(parent: Connection, setting: Setting) -> None:
    """Set a process up before it loads anything.

    Parameters
    ----------
    parent : comes to its end when the parent lets the process go, or is killed.
    """
    # An interrupt at the keyboard is for the parent, which gives no more work.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    os.environ |= setting.environment or {}
    if setting.scratch:
        tempfile.tempdir = setting.scratch
    threading.Thread(target=_end_with, args=(parent,), daemon=True).start()
    setting.load()


def _end_with(parent: Connection) -> None:
    parent.poll(None)  # nothing is ever sent: this returns at the end of the pipe
    os._exit(1)
