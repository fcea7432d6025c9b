"""Where does the studio wait for the disk?

Never on the event loop: a network disk that does not answer would keep every page waiting.  Each
job has a thread of its own for as long as it takes; the threads end with the studio, whether or
not the disk ever answers.
"""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable
from contextlib import suppress
from typing import TypeVar

from lickwright.errors import OutputError

R = TypeVar("R")

#: So many jobs may wait at once; with a disk that answers there are one or two.
MOST = 64
#: How long a page waits for what it cannot be drawn without.
PAGE_S = 10.0

_waiting = threading.BoundedSemaphore(MOST)


async def at_disk(job: Callable[[], R], *, within_s: float | None = None) -> R:
    """What a job that reads or writes files comes to.

    Parameters
    ----------
    within_s : how long to wait for it; it goes on afterwards, but nobody is told.

    Raises
    ------
    OutputError
        Where the disk has not answered in time, or has left too many others waiting.
    """
    if not _waiting.acquire(blocking=False):
        raise _silent()
    loop = asyncio.get_running_loop()
    answer: asyncio.Future[R] = loop.create_future()

    def work() -> None:
        try:
            result = job()
        except BaseException as error:
            tell(answer.set_exception, error)
        else:
            tell(answer.set_result, result)
        finally:
            _waiting.release()

    def tell(how: Callable[..., None], what: object) -> None:
        with suppress(RuntimeError):  # the studio was closed meanwhile: nobody waits any more
            loop.call_soon_threadsafe(lambda: None if answer.done() else how(what))

    threading.Thread(target=work, name="disk", daemon=True).start()
    try:
        return await asyncio.wait_for(answer, within_s)
    except TimeoutError as error:
        raise _silent() from error


def _silent() -> OutputError:
    return OutputError("the disk does not answer", mend="Wait until it does, then try again")
