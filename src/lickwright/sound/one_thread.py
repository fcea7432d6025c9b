"""Why does the same lesson give the same samples on one core and on many?

A matrix product adds up in another order when it is shared among threads, and the last bit of a
sample follows the order.  Which processor it is decides whether that shows.  So whatever makes
samples does its linear algebra in one thread, whoever calls it; a build uses its cores by making
several examples at once.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import lru_cache, wraps
from typing import ParamSpec, TypeVar

from threadpoolctl import ThreadpoolController

P = ParamSpec("P")
R = TypeVar("R")


@lru_cache(maxsize=1)
def _threads() -> ThreadpoolController:
    import numpy as np  # noqa: F401  its threads must be there to be found

    return ThreadpoolController()


def in_one_thread(work: Callable[P, R]) -> Callable[P, R]:
    """A function that does its linear algebra in one thread, and leaves others as they were."""

    @wraps(work)
    def alone(*args: P.args, **kwargs: P.kwargs) -> R:
        with _threads().limit(limits=1, user_api="blas"):
            return work(*args, **kwargs)

    return alone
