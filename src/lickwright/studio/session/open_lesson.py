"""A lesson that is open: one document for every tab that looks at it.

Edits are made in memory, at once; each is then put on the disk by a thread, so that a disk that is
slow keeps nobody waiting.  What goes to the disk goes one job after the other.
"""

from __future__ import annotations

import asyncio
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from typing import Any, Protocol, TypeVar

from lickwright.files import Draft
from lickwright.lesson.edit import LessonDocument
from lickwright.studio.server.folder import Folder
from lickwright.studio.work.disk import at_disk
from lickwright.studio.work.workers import Worker

R = TypeVar("R")

#: The page of a built lesson: it is built once that is there.
PAGE = "index.html"
#: After so long without an answer of the disk, a page says that the text is not on it yet.
_SLOW_S = 0.5


@dataclass(frozen=True, slots=True)
class Workers:
    """The processes that work for every page: previews come first, so they have their own."""

    previews: Worker
    others: Worker


class LookingTab(Protocol):
    """What an open lesson knows of a tab that looks at it."""

    has_missed: bool

    @property
    def is_here(self) -> bool:
        """Whether it is connected."""

    def settle(self) -> None:
        """Look at an example that is there."""

    def draw(self) -> None:
        """Draw what stands above the page."""

    def draw_state(self) -> None:
        """Say where the text stands."""

    def draw_notice(self) -> None:
        """Say what has to be decided."""

    async def show(self, *, room: bool = True) -> None:
        """Put the example up as the file says it now, and draw the room unless told not to."""


@dataclass(eq=False)
class OpenLesson:
    """One lesson file and the tabs that look at it; every change is saved as it is made.

    Attributes
    ----------
    is_built : whether a page of it lies there, as it was when last looked at.
    has_outside_change : whether another program has changed the file, likewise.
    """

    folder: Folder
    name: str
    document: LessonDocument
    workers: Workers
    is_built: bool = False
    tabs: list[LookingTab] = field(default_factory=list)
    has_outside_change: bool = False
    progress: tuple[int, int, str] | None = None

    def __post_init__(self) -> None:
        self._turn = asyncio.Lock()
        # A page that goes may give up waiting for its turn's job, which goes on all the same.
        self._job = threading.Lock()

    @property
    def text(self) -> str:
        """The lesson file as it stands here."""
        return self.document.text

    async def change(self, act: Callable[[LessonDocument], Any]) -> None:
        """Do something to the document, and save what comes of it.

        Raises
        ------
        LickwrightError
            Where the document refuses, or would no longer be a lesson; it is then as it was.
            Also where it cannot be saved; the change then stands in memory.
        """
        with self.document.in_memory():
            if self.document.fault is not None:
                act(self.document)
            else:
                with self.document.only_lessons():
                    act(self.document)
        async with self._turn:
            await self._at_disk(self.document.storing())

    async def put(self, keys: Sequence[str | int], value: Any, *, join: bool = False) -> None:
        """Set one value, ``None`` to take it out; refused where it makes no lesson.

        Raises
        ------
        LickwrightError
            As :meth:`change` does.
        """
        await self.change(lambda document: document.put(tuple(keys), value, join=join))

    async def take_theirs(self) -> None:
        """Go on with what another program wrote."""
        async with self._turn:
            text = await self._at_disk(self.document.read_theirs)
            with self.document.in_memory():
                self.document.go_on_with_theirs(text)
            await self._at_disk(self.document.storing())
            await self._look()

    async def keep_mine(self) -> None:
        """Go on with what is here; what another program wrote is saved beside it."""
        async with self._turn:
            await self._at_disk(self.document.keep_mine)
            await self._look()

    async def take_draft(self, draft: Draft) -> None:
        """Go on with edits that wait beside the file."""
        async with self._turn:
            text = await self._at_disk(lambda: self.document.read_draft(draft))
            with self.document.in_memory():
                self.document.go_on_with(text)
            await self._at_disk(self.document.storing())
            await self._look()

    async def discard_draft(self, draft: Draft) -> None:
        """Throw away edits that were left behind."""
        async with self._turn:
            await self._at_disk(lambda: self.document.discard_draft(draft))

    async def look(self) -> None:
        """Look at what others did to the file and beside it, unless the disk is busy."""
        if not self._turn.locked():
            async with self._turn:
                await self._look()

    async def close(self) -> bool:
        """End editing once all is on the disk; whether nobody came back meanwhile."""
        async with self._turn:
            if self.tabs:
                return False
            self.document.close()
            return True

    async def _look(self) -> None:
        def there() -> tuple[bool, bool]:
            return self.document.look(), self.folder.is_built(self.name, PAGE)

        self.has_outside_change, self.is_built = await self._at_disk(there)

    async def _at_disk(self, job: Callable[[], R]) -> R:
        def work() -> R:
            with self._job:
                return job()

        answer = asyncio.ensure_future(at_disk(work))
        if not (await asyncio.wait({answer}, timeout=_SLOW_S))[0]:
            self.draw_state()
        return await answer

    def draw_state(self) -> None:
        """Say in every tab where the text stands."""
        for tab in self.tabs:
            tab.draw_state()

    async def tell(self, tab: LookingTab, quiet: bool) -> None:
        """Let every tab draw what the file says now, or note that it missed something."""
        for other in self.tabs:
            other.settle()
            other.has_missed = other is not tab and not other.is_here
        here = [other for other in self.tabs if not other.has_missed]
        for other in here:
            other.draw_notice()

        async def heads() -> None:
            for other in here:
                other.draw()

        # The pages are begun first: while the worker engraves, what stands above them is drawn.
        order = [tab, *(each for each in here if each is not tab)]
        await asyncio.gather(
            *(other.show(room=not (quiet and other is tab)) for other in order), heads()
        )

    def state(self) -> str:
        """Where the text stands, in a few words."""
        if self.document.saved:
            return "Saved"
        if self.document.is_kept:
            return "Kept beside the file, until you choose"
        return "Not on the disk yet"


def opened_lesson(folder: Folder, name: str, workers: Workers) -> OpenLesson:
    """A lesson file, opened; this reads the disk.

    Raises
    ------
    LessonError
        When there is no such file in the folder, or it holds no lesson.
    """
    document = LessonDocument.open(folder.found_lesson(name))
    if document.lesson is None and document.fault is not None:
        raise document.fault
    return OpenLesson(folder, name, document, workers, folder.is_built(name, PAGE))
