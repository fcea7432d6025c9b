"""A lesson file being edited: every edit kept, undoable, and written without touching the rest.

When an edit returns, its text is on the disk: in the file itself where it reads as a lesson, else
in a draft beside it, so that the file keeps its last good lesson
(:mod:`~lickwright.lesson.edit.kept_file`).  An edit changes the characters it must and no others
(:mod:`~lickwright.lesson.edit.rewrite`); the result is read back, and an edit that would say
anything but what was asked is refused.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any, Self

from lickwright.errors import LessonError
from lickwright.files import Draft, write_new
from lickwright.lesson.edit.edited_text import EditedText
from lickwright.lesson.edit.folder import rename_lesson
from lickwright.lesson.edit.kept_file import KeptFile
from lickwright.lesson.edit.yaml_style import list_entry, pair, plain_data
from lickwright.lesson.file import read_lesson

_STAND_IN = {"name": "A", "triads": ["C"], "over": "C"}


class ConflictError(LessonError):
    """The file was changed by another program since it was last read or written here."""


class LessonDocument(EditedText):
    """A lesson file being edited.  One document belongs to one thread, and one file to it.

    Parameters
    ----------
    path : a YAML file; its text may have faults.
    clock : gives seconds, to tell quick edits from slow ones.

    Attributes
    ----------
    lesson : the last lesson that the text described; None where it never did.
    fault : why the present text is no lesson; None where it is one.

    Raises
    ------
    LessonError
        Where the file is missing, unreadable, too large or not UTF-8 text.
    """

    def __init__(
        self, path: str | os.PathLike[str], *, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._in_memory = False
        self._file = KeptFile(Path(path))
        super().__init__(self._file.text, clock)
        self._read()
        self._file.note_whether_it_reads(self.fault is None)

    @classmethod
    def open(
        cls, path: str | os.PathLike[str], *, clock: Callable[[], float] = time.monotonic
    ) -> Self:
        """Open a lesson file, as the class itself does."""
        return cls(path, clock=clock)

    @classmethod
    def create(
        cls,
        path: str | os.PathLike[str],
        *,
        title: str,
        key: str,
        examples: Sequence[Mapping[str, Any]] = (),
        clock: Callable[[], float] = time.monotonic,
    ) -> Self:
        """Write a new lesson file and open it; a file that is there already is left alone.

        Raises
        ------
        LessonError
            Where the name is taken, or the title, the key or an example cannot be read.
        OutputError
            Where the file cannot be written.
        """
        path = Path(path)
        head = [pair("lesson", plain_data(title), 0), pair("key", plain_data(key), 0)]
        start = "\n".join([*head, "", "examples:"])
        body = "\n\n".join(list_entry(plain_data(example), 2) for example in examples)
        # Read before anything is written, with an example to stand in where there is none yet.
        read_lesson(f"{start}\n{body or list_entry(_STAND_IN, 2)}\n", path)
        text = f"{start}\n{body}\n" if body else f"{start} []\n"
        write_new(path, text.encode())
        return cls(path, clock=clock)

    @property
    def path(self) -> Path:
        """The file."""
        return self._file.path

    @property
    def saved(self) -> bool:
        """Whether the file itself holds the present text; if not, the draft does."""
        return self._file.holds(self.text)

    @property
    def is_kept(self) -> bool:
        """Whether the own draft holds the present text."""
        return self._file.keeps(self.text)

    @property
    def own_draft(self) -> Path | None:
        """Where text waits that was edited here and is not in the file; None where none does."""
        return self._file.own_draft

    @property
    def drafts(self) -> tuple[Draft, ...]:
        """Edits of others that wait beside the file, as :meth:`look` last found them.

        Those that were left behind when a program ended can be taken (:meth:`take_draft`) or
        thrown away (:meth:`discard_draft`); those of a program that still runs can be copied.
        """
        return self._file.drafts

    def goes_on_from_here(self, draft: Draft) -> bool:
        """Whether the edits of a draft go on from the file as it is known here."""
        return draft.base == self._file.base

    # The file

    def save(self) -> None:
        """Make sure that the file itself holds the present text.

        Raises
        ------
        ConflictError
            Where another program changed the file; the text is kept in the draft.
        LessonError
            The fault of a text that would overwrite a lesson that reads well.
        OutputError
            Where the file cannot be written.
        """
        self._settle()
        if self.saved:
            return
        if self.fault is not None and not self.outside_change():
            raise self.fault
        raise ConflictError(
            "the file was changed by another program since it was opened here",
            mend="Take the other version, or keep yours and have the other saved beside it",
            where=self._spot(),
        )

    def outside_change(self) -> bool:
        """Whether the file no longer holds the bytes last read or written here."""
        return self._file.is_changed_outside()

    def look(self) -> bool:
        """Look at the disk: which drafts of others there are, and whether the file was changed.

        Returns
        -------
        What :meth:`outside_change` does.
        """
        self._file.look()
        return self.outside_change()

    def take_theirs(self) -> None:
        """Go on with what another program wrote; undo brings the own text back.

        Raises
        ------
        LessonError
            Where the file is gone or cannot be read.
        """
        self.go_on_with_theirs(self.read_theirs())

    def read_theirs(self) -> str:
        """What another program wrote: :meth:`go_on_with_theirs` comes next.

        The two are apart for whoever waits for the disk elsewhere than where edits are made.
        """
        return self._file.reread()

    def go_on_with_theirs(self, text: str) -> None:
        """The rest of :meth:`take_theirs`."""
        self._turn_to(text)
        self._read()
        self._file.note_whether_it_reads(self.fault is None)
        self._store()

    def keep_mine(self) -> Path | None:
        """Write the own text over what another program wrote, which is saved beside it first.

        Returns
        -------
        The file that now holds their version; None where they left none.

        Raises
        ------
        LessonError
            The fault of the own text: only a lesson that reads well takes the place of theirs.
        OutputError
            Where one of the files cannot be written; theirs stands.
        """
        if self.fault is not None:
            raise self.fault
        return self._file.overwrite(self.text)

    def take_draft(self, draft: Draft | None = None) -> None:
        """Go on with a draft; undo brings the file's text back.

        Where the file is not what the draft's edits went on from, it is saved beside
        (``NAME.before.yaml``) before they take its place.

        Parameters
        ----------
        draft : one of :attr:`drafts`; the newest that was left behind where none is given.

        Raises
        ------
        LessonError
            Where it is gone or cannot be read.
        """
        draft = draft or self._newest_left_behind()
        if draft is not None:
            self.go_on_with(self.read_draft(draft))
            self._file.look()

    def read_draft(self, draft: Draft) -> str:
        """The text of a draft: :meth:`go_on_with` comes next, as for :meth:`read_theirs`."""
        return self._file.read_draft(draft)

    def go_on_with(self, text: str) -> None:
        """The rest of :meth:`take_draft`."""
        self._turn_to(text)
        self._settle()

    def discard_draft(self, draft: Draft | None = None) -> None:
        """Throw a draft away that was left behind, the newest where none is given.

        Raises
        ------
        LessonError
            Where the program that writes it still runs, or it is gone.
        """
        draft = draft or self._newest_left_behind()
        if draft is not None:
            self._file.discard_draft(draft)

    def close(self) -> None:
        """End editing: what is not in the file is left behind in a draft, for anyone to take."""
        self._file.close()

    @contextmanager
    def in_memory(self) -> Iterator[None]:
        """Inside it, edits are made in memory alone; :meth:`storing` puts them on the disk."""
        before, self._in_memory = self._in_memory, True
        try:
            yield
        finally:
            self._in_memory = before

    def storing(self) -> Callable[[], None]:
        """What puts the present text on the disk, to be called once, on any thread.

        Of several, and of all else here that goes to the disk, one is at work at a time; edits in
        memory may go on meanwhile.  It raises what an edit does where it cannot write.
        """
        return partial(self._file.store, self.text, reads=self.fault is None)

    def rename_file(self, name: str) -> None:
        """Give the file another name in its folder, its draft with it; undo keeps working.

        Raises
        ------
        LessonError, OutputError
            As :func:`~lickwright.lesson.edit.folder.rename_lesson` does.
        """
        path = self.path
        self._file.let_go()
        try:
            path = rename_lesson(path.parent, path.name, name)
        finally:
            self._file.moved(path)
        self._read()

    # Inside

    def _check(self, text: str) -> None:
        self._file.check(text)

    def _note_other_base(self) -> None:
        self._file.note_other_base()

    def _store(self) -> None:
        if not self._in_memory:
            self.storing()()

    def _newest_left_behind(self) -> Draft | None:
        return next((draft for draft in self.drafts if not draft.is_held), None)
