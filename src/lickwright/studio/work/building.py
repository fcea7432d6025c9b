"""Building a lesson in a process of its own, told of step by step."""

from __future__ import annotations

import asyncio
import multiprocessing
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path

from lickwright.errors import LickwrightError, OutputError


@dataclass(frozen=True, slots=True)
class Built:
    """What came of a build: the lesson's files, or what stood in the way."""

    files: tuple[str, ...]
    said: tuple[str, ...]
    failed: bool


def _work(text: str, path: str, out: str, line: Connection) -> None:
    from lickwright.lesson.file import read_lesson
    from lickwright.publish import UnsoundLessonError, build

    try:
        report = build(
            read_lesson(text, Path(path)),
            out,
            progress=lambda done, total, name: line.send((done, total, name)),
        )
    except UnsoundLessonError as error:
        said = [f"{f.example}: {f.what}. {f.mend}." for f in error.findings]
        line.send(Built((), tuple(said), True))
    except LickwrightError as error:
        line.send(Built((), (str(error),), True))
    else:
        warned = tuple(f"{f.example}: {f.what}. {f.mend}." for f in report.findings)
        line.send(Built(report.files, warned, False))


async def build_lesson(
    text: str, path: Path, out: Path, progress: Callable[[int, int, str], None]
) -> Built:
    """Build the text of a lesson file into a folder.

    Parameters
    ----------
    progress : told after each step, on the event loop: steps done, steps in all, what was done.

    Raises
    ------
    OutputError
        When the builder ended without a word.
    """
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe(duplex=False)
    builder = context.Process(target=_work, args=(text, str(path), str(out), theirs))
    builder.start()
    theirs.close()
    try:
        while True:
            try:
                told = await asyncio.to_thread(ours.recv)
            except EOFError as error:
                raise OutputError(
                    "the build broke off", mend="Build again; nothing half-made was published"
                ) from error
            if isinstance(told, Built):
                return told
            progress(*told)
    finally:
        ours.close()
        await asyncio.to_thread(builder.join)
