"""One input under watch: no fault but ours, no hang, no gigabyte, a sentence for every refusal."""

from __future__ import annotations

import resource
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from types import FrameType

from lickwright.errors import LickwrightError

#: How long one input may keep the processor, in seconds, in a trial of its own; what others do
#: meanwhile is not counted.
HANG_S = 5.0
#: The same beside other tests on a machine of any kind: what takes longer hangs anywhere.
HANG_ANYWHERE_S = 20.0
#: How long one input may wait for anything else, on a machine that does other things too.
BLOCKED_S = 300.0
#: What one process may take beyond what it had, in bytes.
MEMORY_BYTES = 1_000_000_000
#: A sentence is not longer than this, whatever the input was.
LONGEST_SENTENCE = 2_000


class HangError(BaseException):
    """An input took too long; no parser may catch this."""


@contextmanager
def time_limit(seconds: float, blocked_s: float = BLOCKED_S) -> Iterator[None]:
    """Interrupt what keeps the processor, or only waits, for longer."""

    def stop(_: int, __: FrameType | None) -> None:
        raise HangError

    timers = (
        (signal.ITIMER_PROF, signal.SIGPROF, seconds),
        (signal.ITIMER_REAL, signal.SIGALRM, blocked_s),
    )
    former = [(number, signal.signal(number, stop)) for _, number, _ in timers]
    for timer, _, limit in timers:
        signal.setitimer(timer, limit)
    try:
        yield
    finally:
        for timer, _, _ in timers:
            signal.setitimer(timer, 0)
        for number, handler in former:
            signal.signal(number, handler)


@contextmanager
def memory_limit(size: int = MEMORY_BYTES) -> Iterator[None]:
    """Let the process take so many bytes more and no others."""
    pages = int(Path("/proc/self/statm").read_text().split()[0])
    soft, hard = resource.getrlimit(resource.RLIMIT_AS)
    limit = pages * resource.getpagesize() + size
    resource.setrlimit(resource.RLIMIT_AS, (limit, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_AS, (soft, hard))


def accepts(parse: Callable[[str], object], text: str, hang_s: float = HANG_ANYWHERE_S) -> bool:
    """Whether a parser takes an input.

    A refusal must be one of our errors: one short line, and how to mend it.

    Raises
    ------
    AssertionError, or whatever fault the parser has.
    """
    refusal = None
    try:
        with time_limit(hang_s):
            parse(text)
    except LickwrightError as error:
        refusal = error
    except HangError as error:
        raise AssertionError(
            f"more than {hang_s:g} s of the processor, or {BLOCKED_S:g} s in all, for one input"
        ) from error
    if refusal is None:
        return True
    check_sentence(refusal)
    return False


def check_sentence(refusal: LickwrightError) -> None:
    """One short line that says what is wrong, and how to mend it."""
    said = str(refusal)
    assert refusal.what, "a refusal without a word"
    assert said.isprintable(), f"a refusal of more than one line: {said!r}"
    assert len(said) <= LONGEST_SENTENCE, f"a refusal of {len(said)} characters"
    assert refusal.mend, f"a refusal that does not say how to mend it: {said!r}"
