"""Progress of long work on stderr: shown on a terminal, quiet elsewhere."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager


@contextmanager
def shown() -> Iterator[Callable[[int, int, str], None] | None]:
    """A callback ``(done, total, what)`` that draws a bar, or ``None`` away from a terminal."""
    if not sys.stderr.isatty():
        yield None
        return
    from rich.console import Console
    from rich.progress import BarColumn, Progress, TextColumn

    columns = (TextColumn("{task.description}"), BarColumn(), TextColumn("{task.completed:.0f}"))
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task("Starting", total=None)

        def tell(done: int, total: int, what: str) -> None:
            bar.update(task, completed=done, total=total, description=what)

        yield tell
