"""Building a lesson in a process of its own, told of step by step."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from lickwright.errors import LickwrightError, OutputError
from lickwright.processes import told_apart


@dataclass(frozen=True, slots=True)
class BuildResult:
    """What came of a build: the lesson's files, or what stood in the way."""

    files: tuple[str, ...]
    said: tuple[str, ...]
    failed: bool


def _build(tell: Callable[[object], None], text: str, path: Path, out: Path) -> None:
    from lickwright.lesson.file import read_lesson
    from lickwright.publish import UnsoundLessonError, build

    try:
        report = build(
            read_lesson(text, path),
            out,
            progress=lambda done, total, name: tell((done, total, name)),
        )
    except UnsoundLessonError as error:
        said = [f"{f.example}: {f.what}. {f.mend}." for f in error.findings]
        tell(BuildResult((), tuple(said), True))
    except LickwrightError as error:
        tell(BuildResult((), (str(error),), True))
    else:
        warned = tuple(f"{f.example}: {f.what}. {f.mend}." for f in report.findings)
        tell(BuildResult(report.files, warned, False))


async def build_lesson(
    text: str, path: Path, out: Path, progress: Callable[[int, int, str], None]
) -> BuildResult:
    """Build the text of a lesson file into a folder.

    Parameters
    ----------
    progress : told after each step, on the event loop: steps done, steps in all, what was done.

    Raises
    ------
    OutputError
        When the builder ended without a word.
    """
    with told_apart(_build, text, path, out) as line:
        while True:
            try:
                told = await asyncio.to_thread(line.recv)
            except EOFError as error:
                raise OutputError(
                    "the build broke off", mend="Build again; nothing half-made was published"
                ) from error
            if isinstance(told, BuildResult):
                return told
            progress(*told)
