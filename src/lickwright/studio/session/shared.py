"""What do all pages share?  The folder, the open lessons, the workers, the sounds."""

from __future__ import annotations

import secrets
from collections import OrderedDict

from lickwright.studio.server.folder import Folder
from lickwright.studio.session.open_lesson import LookingTab, OpenLesson, Workers, opened_lesson
from lickwright.studio.work.disk import PAGE_S, at_disk
from lickwright.studio.work.sounding import RenderedSound
from lickwright.studio.work.workers import Worker

#: Sounds are kept for the browser to fetch, the newest so many.
KEPT_SOUNDS = 12


class Studio:
    """What every page shares: the folder, the open lessons, the workers, the sounds."""

    def __init__(self, folder: Folder) -> None:
        self.folder = folder
        self.open_lessons: dict[str, OpenLesson] = {}
        self.sounds: OrderedDict[str, RenderedSound] = OrderedDict()
        self._workers: Workers | None = None

    @property
    def workers(self) -> Workers:
        """The processes that work for every page, begun when they are first asked for."""
        if self._workers is None:
            self._workers = Workers(Worker(), Worker())
        return self._workers

    def close(self) -> None:
        """End the processes."""
        if self._workers is not None:
            self._workers.previews.close()
            self._workers.others.close()

    async def open(self, name: str) -> OpenLesson:
        """A lesson file, opened for the first tab and left by the last.

        Raises
        ------
        LessonError
            When there is no such file in the folder, or it holds no lesson.
        OutputError
            When the disk does not answer.
        """
        if name not in self.open_lessons:
            workers = self.workers
            made = await at_disk(lambda: opened_lesson(self.folder, name, workers), within_s=PAGE_S)
            if self.open_lessons.setdefault(name, made) is not made:
                made.document.close()  # another tab was quicker
        return self.open_lessons[name]

    def is_open(self, name: str) -> bool:
        """Whether a tab looks at a lesson file now; one that was left may still be open here."""
        return name in self.open_lessons and any(
            tab.is_here for tab in self.open_lessons[name].tabs
        )

    async def leave(self, lesson: OpenLesson, tab: LookingTab) -> None:
        """A tab is gone from a lesson; the last one closes it."""
        if tab in lesson.tabs:
            lesson.tabs.remove(tab)
        if (
            not lesson.tabs
            and await lesson.close()
            and self.open_lessons.get(lesson.name) is lesson
        ):
            del self.open_lessons[lesson.name]

    def keep(self, sound: RenderedSound) -> str:
        """The address below which the browser finds a sound."""
        token = secrets.token_urlsafe(12)
        self.sounds[token] = sound
        while len(self.sounds) > KEPT_SOUNDS:
            self.sounds.popitem(last=False)
        return f"/sound/{token}/"
