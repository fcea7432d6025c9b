"""One input under watch: no fault but ours, no hang, a sentence for every refusal."""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

from lickwright.errors import LickwrightError

#: How long one input may take, in seconds, on a machine that does other things too.
HANG_S = 20.0
#: A sentence is not longer than this, whatever the input was.
LONGEST_SENTENCE = 2_000


class HangError(BaseException):
    """An input took too long; no parser may catch this."""


@contextmanager
def time_limit(seconds: float) -> Iterator[None]:
    """Interrupt what takes longer."""

    def stop(_: int, __: FrameType | None) -> None:
        raise HangError

    former = signal.signal(signal.SIGALRM, stop)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0)
        signal.signal(signal.SIGALRM, former)


def accepts(parse: Callable[[str], object], text: str) -> bool:
    """Whether a parser takes an input; a refusal must be one of our errors, in a sentence.

    Raises
    ------
    AssertionError, HangError, or whatever fault the parser has.
    """
    refusal = None
    with time_limit(HANG_S):
        try:
            parse(text)
        except LickwrightError as error:
            refusal = error
    if refusal is None:
        return True
    said = str(refusal)
    assert refusal.what, "a refusal without a word"
    assert said.isprintable(), f"a refusal of more than one line: {said!r}"
    assert len(said) <= LONGEST_SENTENCE, f"a refusal of {len(said)} characters"
    return False
