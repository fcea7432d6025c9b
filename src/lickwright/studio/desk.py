"""A lesson that is open: one document for every tab that looks at it."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from lickwright.lesson.document import LessonDocument
from lickwright.studio.folder import Folder
from lickwright.studio.workers import Worker

if TYPE_CHECKING:
    from lickwright.studio.visit import Visit


@dataclass(frozen=True, slots=True)
class Workers:
    """The processes that work for every desk: proofs come first, so they have their own."""

    proofs: Worker
    errands: Worker


@dataclass(eq=False)
class Desk:
    """One lesson file and the tabs that look at it; every change is saved as it is made."""

    folder: Folder
    name: str
    document: LessonDocument
    workers: Workers
    visits: list[Visit] = field(default_factory=list)
    has_outside_change: bool = False
    progress: tuple[int, int, str] | None = None

    @property
    def text(self) -> str:
        """The lesson file as it stands here."""
        return self.document.text

    def change(self, act: Callable[[LessonDocument], Any]) -> None:
        """Do something to the document, which saves it as it goes.

        Raises
        ------
        LickwrightError
            Where the document refuses, or would no longer be a lesson; it is then as it was.
        """
        if self.document.fault is not None:
            act(self.document)
            return
        with self.document.only_lessons():
            act(self.document)

    def put(self, keys: Sequence[str | int], value: Any, *, join: bool = False) -> None:
        """Set one value, ``None`` to take it out; refused where it makes no lesson.

        Raises
        ------
        LickwrightError
            With what is wrong; the document is as it was.
        """
        self.change(lambda document: document.put(tuple(keys), value, join=join))

    async def tell(self, visit: Visit, quiet: bool) -> None:
        """Let every tab draw what the file says now, or note that it missed something."""
        for other in self.visits:
            other.settle()
            other.has_missed = other is not visit and not other.is_here
        here = [other for other in self.visits if not other.has_missed]
        for other in here:
            other.draw_notice()

        async def heads() -> None:
            for other in here:
                other.draw()

        # The pages are begun first: while the worker engraves, what stands above them is drawn.
        order = [visit, *(each for each in here if each is not visit)]
        await asyncio.gather(
            *(other.show(room=not (quiet and other is visit)) for other in order), heads()
        )

    def state(self) -> str:
        """Where the text stands, in a few words."""
        if self.document.saved:
            return "Saved"
        return "Kept beside the file, until you choose"

    def look_outside(self) -> bool:
        """Whether it is news that another program changed the file."""
        changed = self.document.outside_change()
        news = changed != self.has_outside_change
        self.has_outside_change = changed
        return news
