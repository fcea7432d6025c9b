"""Heavy work in fresh processes, one a core, none of which outlives its parent."""

from __future__ import annotations

import os
import pickle
import signal
import tempfile
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from multiprocessing import get_context
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any, TypeVar

J = TypeVar("J")
R = TypeVar("R")

#: What tells the libraries below how many threads to start; they read it when they are loaded.
ONE_THREAD = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "RAYON_NUM_THREADS")


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
        # Handed over as files, not through the pool's pipe: a process that dies while a long job
        # is being written to it would leave the writer waiting for ever.
        orders = [Path(scratch, f"{number}.order") for number in range(len(jobs))]
        for order, job in zip(orders, jobs, strict=True):
            order.write_bytes(pickle.dumps((work, job)))
        undone = []
        with _pool(min(workers, len(jobs)), scratch, finish_begun) as pool:
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
            with _pool(1, scratch, finish_begun) as pool:
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
def _pool(workers: int, scratch: str, finish_begun: bool) -> Iterator[ProcessPoolExecutor]:
    # Started anew: a copy of a process that has threads, as the typesetter's, may hang.
    context = get_context("spawn")
    watched, held = context.Pipe(duplex=False)
    with watched, held:
        pool = ProcessPoolExecutor(
            workers, context, initializer=_begin, initargs=(watched, scratch)
        )
        try:
            yield pool
        except BaseException:
            if not finish_begun:
                held.close()
            pool.shutdown(cancel_futures=True)
            raise
        pool.shutdown()


def _begin(parent: Connection, scratch: str) -> None:
    """Set a worker up before it loads anything.

    Parameters
    ----------
    parent : comes to its end when the parent lets the worker go, or is killed.
    scratch : a folder that the parent clears away, for files that a stopped worker cannot.
    """
    # An interrupt at the keyboard is for the parent, which gives no more work.
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    # There is a process a core already: threads below it would wait for one another.
    os.environ |= dict.fromkeys(ONE_THREAD, "1")
    tempfile.tempdir = scratch
    threading.Thread(target=_end_with, args=(parent,), daemon=True).start()


def _end_with(parent: Connection) -> None:
    parent.poll(None)  # nothing is ever sent: this returns at the end of the pipe
    os._exit(1)
