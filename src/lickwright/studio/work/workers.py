"""Heavy work off the event loop: two processes that wait for jobs.

One makes previews, so that a page is never kept waiting by a long job; the other does the rest.
Both end with the studio, even where it is killed.
"""

from __future__ import annotations

import asyncio
import gc
from collections.abc import Callable
from concurrent.futures.process import BrokenProcessPool
from typing import ParamSpec, TypeVar

from lickwright.errors import OutputError
from lickwright.processes import Setting, WorkerPool

P = ParamSpec("P")
R = TypeVar("R")


def _load() -> None:
    """Load what every page needs, before the first is asked for."""
    import verovio  # noqa: F401

    import lickwright.engrave
    import lickwright.engrave.page
    import lickwright.sound.mix
    import lickwright.studio.work.tab_edits  # noqa: F401

    stay()


def stay() -> None:
    """Let the collector pass by whatever is loaded by now: it is here to stay.

    Looking through it all took 40 ms, now and then while a hand waited for its page.
    """
    gc.collect()
    gc.freeze()


class Worker:
    """One process with a queue of jobs; a process that dies is replaced."""

    def __init__(self) -> None:
        self._pool = self._new()

    @staticmethod
    def _new() -> WorkerPool:
        pool = WorkerPool(1, Setting(load=_load))
        pool.submit(int)  # begin now, not when the first page is waited for
        return pool

    async def do(self, job: Callable[P, R], *args: P.args, **kwargs: P.kwargs) -> R:
        """The result of a job.

        Raises
        ------
        OutputError
            When the worker died on it; the next request finds a new one.
        """
        pool = self._pool
        try:
            return await asyncio.wrap_future(pool.submit(job, *args, **kwargs))
        except BrokenProcessPool as error:
            if self._pool is pool:  # of several that waited, the first has a new one begun
                self._pool = self._new()
                pool.stop(waits=False)
            raise OutputError(
                "the work broke off", mend="Try again; what you wrote is saved"
            ) from error

    def close(self) -> None:
        self._pool.stop(waits=False)


class Newest:
    """Keeps only the newest of a stream of jobs; what was overtaken is never begun.

    Parameters
    ----------
    worker : who does them.
    """

    def __init__(self, worker: Worker) -> None:
        self._worker = worker
        self._turn = 0
        self._busy = asyncio.Lock()

    async def do(self, job: Callable[P, R], *args: P.args, **kwargs: P.kwargs) -> R | None:
        """The result of a job, ``None`` where a newer request came meanwhile."""
        self._turn += 1
        turn = self._turn
        async with self._busy:
            if turn != self._turn:
                return None
            result = await self._worker.do(job, *args, **kwargs)
        return result if turn == self._turn else None
