"""Heavy work off the event loop: two processes that wait for orders.

One pulls proofs, so that a page is never kept waiting by a long job; the other does the rest.
Both end with the studio, even where it is killed.
"""

from __future__ import annotations

import asyncio
import gc
import multiprocessing
import os
import threading
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from multiprocessing.connection import wait
from typing import ParamSpec, TypeVar

from lickwright.errors import OutputError

P = ParamSpec("P")
R = TypeVar("R")


def _end_with_parent() -> None:
    parent = multiprocessing.parent_process()
    if parent is not None:
        wait([parent.sentinel])
    os._exit(0)


def _begin() -> None:
    """Runs first in every worker: watch the studio, and load what every proof needs."""
    import signal

    signal.signal(signal.SIGINT, signal.SIG_IGN)  # an interrupt is the studio's to handle
    threading.Thread(target=_end_with_parent, daemon=True).start()
    import verovio  # noqa: F401

    import lickwright.engrave
    import lickwright.engrave.page
    import lickwright.sound.mix
    import lickwright.studio.work.slow  # noqa: F401

    stay()


def stay() -> None:
    """Let the collector pass by whatever is loaded by now: it is here to stay.

    Looking through it all took 40 ms, now and then while a hand waited for its page.
    """
    gc.collect()
    gc.freeze()


class Worker:
    """One process with a queue of orders; a process that dies is replaced."""

    def __init__(self) -> None:
        self._pool = self._new()

    @staticmethod
    def _new() -> ProcessPoolExecutor:
        context = multiprocessing.get_context("spawn")
        pool = ProcessPoolExecutor(1, mp_context=context, initializer=_begin)
        pool.submit(int)  # begin now, not when the first page is waited for
        return pool

    async def do(self, job: Callable[P, R], *args: P.args, **kwargs: P.kwargs) -> R:
        """The result of a job.

        Raises
        ------
        OutputError
            When the worker died on it; the next order finds a new one.
        """
        import functools

        loop = asyncio.get_running_loop()
        try:
            return await loop.run_in_executor(self._pool, functools.partial(job, *args, **kwargs))
        except BrokenProcessPool as error:
            self._pool = self._new()
            raise OutputError(
                "the work broke off", mend="Try again; what you wrote is saved"
            ) from error

    def close(self) -> None:
        self._pool.shutdown(wait=False, cancel_futures=True)


class Newest:
    """Keeps only the newest of a stream of orders; what was overtaken is never begun.

    Parameters
    ----------
    worker : who does them.
    """

    def __init__(self, worker: Worker) -> None:
        self._worker = worker
        self._turn = 0
        self._busy = asyncio.Lock()

    async def do(self, job: Callable[P, R], *args: P.args, **kwargs: P.kwargs) -> R | None:
        """The result of a job, ``None`` where a newer order came meanwhile."""
        self._turn += 1
        turn = self._turn
        async with self._busy:
            if turn != self._turn:
                return None
            result = await self._worker.do(job, *args, **kwargs)
        return result if turn == self._turn else None
