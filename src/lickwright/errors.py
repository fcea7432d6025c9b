"""What can go wrong, said once: what, where, how to mend it.

Every error a caller can meet is a :class:`LickwrightError`.  A *finding* is the same statement
about a lesson that was read whole: an ``error`` stops the build, a ``warning`` goes on the
margin report.
"""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

#: A sentence quotes what was written; more of it than this helps nobody.
LONGEST_QUOTE = 400


def _one_line(text: str) -> str:
    """A sentence as one line of bounded length.

    What is quoted in it may hold anything: line ends, signs that steer a terminal, a whole book.
    """
    if len(text) > LONGEST_QUOTE:
        text = f"{text[: LONGEST_QUOTE - 150]} … {text[-140:]}"
    if not text.isprintable():
        signs = (sign if sign.isprintable() else repr(sign)[1:-1] for sign in text)
        text = "".join(signs)[: 2 * LONGEST_QUOTE]
    return text


@dataclass(frozen=True, slots=True)
class Spot:
    """A place in a file; ``line`` counts from 1, ``None`` where there is no such line."""

    file: str | None = None
    line: int | None = None

    def __str__(self) -> str:
        if self.file is None:
            return f"line {self.line}" if self.line is not None else ""
        return self.file if self.line is None else f"{self.file}:{self.line}"


class LickwrightError(Exception):
    """The base of every error that a caller can meet.

    Parameters
    ----------
    what : one sentence without its full stop: what is wrong.
    mend : one sentence, imperative: how to mend it.
    where : the place in a file, where there is one.
    """

    def __init__(self, what: str, *, mend: str = "", where: Spot | None = None) -> None:
        self.what = _one_line(what.rstrip("."))
        self.mend = _one_line(mend.rstrip("."))
        self.where = where
        super().__init__(str(self))

    def __str__(self) -> str:
        place = f"{self.where}: " if self.where is not None and str(self.where) else ""
        stop = "" if self.mend.endswith("?") else "."
        return f"{place}{self.what}." + (f" {self.mend}{stop}" if self.mend else "")

    def at(self, where: Spot) -> LickwrightError:
        """The same error at a place that the raiser could not know; a known place stays."""
        if self.where is not None:
            return self
        return type(self)(self.what, mend=self.mend, where=where)


class TheoryError(LickwrightError):
    """A note, triad, chord, key or scale that cannot be read."""


class NeckError(LickwrightError):
    """A string, fret, tuning or shape that the instrument does not have."""


class HandError(LickwrightError):
    """Something that hands cannot do: a reach, a fingering, a stroke."""


class RhythmError(LickwrightError):
    """Durations, bars or tuplets that do not add up, or cannot be read."""


class ContourError(LickwrightError):
    """A contour that cannot be read, or asks for notes that a shape does not have."""


class TabError(LickwrightError):
    """A tab block that cannot be read."""


class LessonError(LickwrightError):
    """A lesson file that cannot be read or built."""


class OutputError(LickwrightError):
    """Something that could not be written, engraved, typeset or sounded."""


#: ``"meant"``: found, and the teacher says that it is meant so.
Severity = Literal["error", "warning", "meant"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing a check found in a lesson."""

    severity: Severity
    what: str
    mend: str
    where: Spot
    example: str | None = None

    def __str__(self) -> str:
        what, mend = (_one_line(text.rstrip(".")) for text in (self.what, self.mend))
        return f"{self.where}: {self.severity}: {what}. {mend}."

    def as_data(self) -> dict[str, str | int | None]:
        """The finding as plain data, for ``--json`` and the build report."""
        return {
            "severity": self.severity,
            "file": self.where.file,
            "line": self.where.line,
            "example": self.example,
            "what": self.what,
            "mend": self.mend,
        }


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """``"Did you mean 'x'?"`` for the nearest known word, or ``""`` where none is near."""
    near = difflib.get_close_matches(word, list(known), n=1, cutoff=0.6)
    return f"Did you mean '{near[0]}'?" if near else ""
