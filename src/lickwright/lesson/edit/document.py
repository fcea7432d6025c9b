"""A lesson file being edited: every edit kept, undoable, and written without touching the rest.

When an edit returns, its text is on the disk: in the file itself where it reads as a lesson, else
in a draft beside it, so that the file keeps its last good lesson
(:mod:`~lickwright.lesson.edit.kept_file`).  An edit changes the characters it must and no others
(:mod:`~lickwright.lesson.edit.rewrite`); the result is read back, and an edit that would say
anything but what was asked is refused.
"""

from __future__ import annotations

import copy
import os
import time
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import Any, Self

from lickwright.errors import LessonError, LickwrightError, Spot
from lickwright.files import Draft, write_new
from lickwright.lesson.edit.folder import rename_lesson
from lickwright.lesson.edit.history import History
from lickwright.lesson.edit.kept_file import KeptFile
from lickwright.lesson.edit.plain_edits import (
    Keys,
    check_name,
    check_place,
    example_at,
    examples_of,
    free_name,
    key_order,
    rename,
    set_value,
    take_out,
)
from lickwright.lesson.edit.rewrite import in_lines, reordered, rewritten
from lickwright.lesson.edit.yaml_style import list_entry, pair, plain_data
from lickwright.lesson.file import Lesson, ParsedText, parse_text, read_lesson, understand

#: Edits of one key that follow each other within this time become one step, when asked.
JOIN_WITHIN_S = 1.5

_STAND_IN = {"name": "A", "triads": ["C"], "over": "C"}


class ConflictError(LessonError):
    """The file was changed by another program since it was last read or written here."""


class LessonDocument:
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
        self.lesson: Lesson | None = None
        self.fault: LessonError | None = None
        self._clock = clock
        self._only_lessons = self._in_memory = False
        self._file = KeptFile(Path(path))
        self._history = History(self._file.text)
        self._turns: set[frozenset[int]] = set()
        self._parsed: ParsedText | None = None
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
    def text(self) -> str:
        """The present text, with ``\\n`` between its lines."""
        return self._history.text

    @property
    def data(self) -> dict[str, Any] | None:
        """The present text as plain data, a copy; None where it is not YAML."""
        return None if self._parsed is None else copy.deepcopy(self._parsed.data)

    @property
    def can_undo(self) -> bool:
        return self._history.can_undo

    @property
    def can_redo(self) -> bool:
        return self._history.can_redo

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

    # Edits

    def put(self, keys: Keys, value: Any, *, join: bool = False) -> None:
        """Set the value at ``keys``; maps on the way that are missing are made.

        Parameters
        ----------
        keys : from the top, such as ``("examples", 0, "rhythm")``; in a list, the index of an
            entry, or the number of entries to add one.
        value : plain data; None takes the key out, as :meth:`drop` does.
        join : make one step of quick edits of the same key.

        Raises
        ------
        LessonError
            Where the text is not YAML, the place does not exist, or an alias stands in the way;
            nothing has changed.
        OutputError
            Where the text could not be written; the edit stands in memory, unsaved.
        """
        if value is None:
            self.drop(keys)
            return
        new = self._editable()
        with self._told():
            set_value(new, keys, plain_data(value))
        self._rewrite(new, subject=tuple(keys) if join else None)

    def drop(self, keys: Keys) -> None:
        """Take out the key or list entry at ``keys``; a map it leaves empty goes with it.

        Nothing happens where there is no such key.
        """
        new = self._editable()
        take_out(new, keys)
        self._rewrite(new)

    def replace_text(self, text: str, *, join: bool = False) -> None:
        """Set the whole text, whether or not it reads as a lesson."""
        text = text.replace("\r\n", "\n")
        self._file.check(text)
        self._go(text, subject="text" if join else None)

    def add_example(self, entry: Mapping[str, Any], at: int | None = None) -> None:
        """Add an example before example ``at``, or at the end."""
        new = self._editable()
        examples = examples_of(new)
        with self._told():
            at = len(examples) if at is None else at
            check_place(at, len(examples) + 1)
            examples.insert(at, plain_data(entry))
        self._rewrite(new)

    def remove_example(self, i: int) -> None:
        """Take an example out, with the comments that stand directly above it."""
        new = self._editable()
        examples = examples_of(new)
        with self._told():
            check_place(i, len(examples))
        del examples[i]
        self._rewrite(new)

    def move_example(self, i: int, to: int) -> None:
        """Move an example to place ``to``, with the comments that stand directly above it."""
        count = len(examples_of(self._editable()))
        with self._told():
            check_place(i, count)
            check_place(to, count)
        order = list(range(count))
        order.insert(to, order.pop(i))
        if i != to:
            self._go_checked(*self._reordered(order))

    def duplicate_example(self, i: int, name: str | None = None) -> None:
        """Put a copy of an example below it, under ``name`` or the first free one."""
        examples = examples_of(self._editable())
        with self._told():
            name = free_name(examples, i) if name is None else plain_data(name)
            check_name(examples, name)
            example_at(examples, i)
        text, new = self._reordered([*range(i + 1), *range(i, len(examples))])
        parsed = parse_text(text, self.path)
        new["examples"][i + 1]["name"] = name
        self._go_checked(rewritten(text, parsed.root, parsed.data, new, key_order), new)

    def rename_example(self, i: int, name: str) -> None:
        """Rename an example, and wherever it is carried: one step.

        Raises
        ------
        LessonError
            Where the name is empty or another example has it, or as :meth:`put` does.
        """
        new = self._editable()
        with self._told():
            rename(examples_of(new), i, plain_data(name))
        self._rewrite(new)

    def undo(self) -> None:
        """Take the last edit back; nothing happens where there is none."""
        self._step(self._history.back)

    def redo(self) -> None:
        """Make the edit again that was taken back; nothing happens where there is none."""
        self._step(self._history.forth)

    @contextmanager
    def only_lessons(self) -> Iterator[None]:
        """Inside it, an edit after which the text is no lesson is refused with its fault."""
        before, self._only_lessons = self._only_lessons, True
        try:
            yield
        finally:
            self._only_lessons = before

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

    def _spot(self) -> Spot:
        return Spot(str(self.path))

    @contextmanager
    def _told(self) -> Iterator[None]:
        """Adds the file to errors that know none."""
        try:
            yield
        except LickwrightError as error:
            raise error.at(self._spot()) from error

    def _base(self) -> tuple[str, ParsedText]:
        """The text that an edit starts from, its last line whole, and what it says.

        Raises the fault of a text that is not YAML.
        """
        if self._parsed is None:
            raise self.fault or LessonError("the text is not YAML", where=self._spot())
        if self.text.endswith("\n"):
            return self.text, self._parsed
        whole = f"{self.text}\n"
        return whole, parse_text(whole, self.path)

    def _editable(self) -> dict[str, Any]:
        """A copy of what the text says that an edit starts from."""
        return copy.deepcopy(self._base()[1].data)

    def _rewrite(self, new: dict[str, Any], *, subject: Keys | None = None) -> None:
        """Change the text to say ``new``."""
        text, parsed = self._base()
        if new != parsed.data:
            changed = rewritten(text, parsed.root, parsed.data, new, key_order)
            self._go_checked(changed, new, subject=subject)

    def _reordered(self, order: Sequence[int]) -> tuple[str, dict[str, Any]]:
        """The text and what it says with the examples in another order, or one of them twice."""
        text, parsed = self._base()
        new = copy.deepcopy(parsed.data)
        new["examples"] = [copy.deepcopy(new["examples"][i]) for i in order]
        if in_lines(text, parsed.root, ("examples",)):
            return reordered(text, parsed.root, ("examples",), order), new
        return rewritten(text, parsed.root, parsed.data, new, key_order), new

    def _go_checked(self, text: str, new: dict[str, Any], *, subject: Keys | None = None) -> None:
        """Go on to ``text`` if it says ``new``; if not, the edit is refused."""
        self._file.check(text)
        try:
            parsed = parse_text(text, self.path)
        except LessonError as error:
            raise self._refusal() from error
        if parsed.data != new:
            raise self._refusal()
        self._go(text, parsed, subject=subject)

    def _refusal(self) -> LessonError:
        return LessonError(
            "this cannot be changed here without changing other places of the file",
            mend="Change it in the text by hand",
            where=self._spot(),
        )

    def _go(
        self, text: str, parsed: ParsedText | None = None, *, subject: Keys | str | None = None
    ) -> None:
        """Make ``text`` the present one: in the history, read, and on the disk."""
        if text == self.text:
            return
        if self._only_lessons:
            understand(parsed or parse_text(text, self.path), self.path)
        self._history.push(text, subject=subject, at_s=self._clock(), within_s=JOIN_WITHIN_S)
        self._settle(parsed)

    def _turn_to(self, text: str) -> None:
        """Go on with a text that does not come from the present one by edits."""
        self._turns.add(frozenset((hash(self.text), hash(text))))
        self._history.push(text)

    def _step(self, take: Callable[[], bool]) -> None:
        """One step through the history; over a turn, the other text must not go unsaved."""
        before = self.text
        if take():
            if frozenset((hash(before), hash(self.text))) in self._turns:
                self._file.note_other_base()
            self._settle()

    def _settle(self, parsed: ParsedText | None = None) -> None:
        """Read the present text and put it on the disk."""
        self._read(parsed)
        self._store()

    def _store(self) -> None:
        if not self._in_memory:
            self.storing()()

    def _newest_left_behind(self) -> Draft | None:
        return next((draft for draft in self.drafts if not draft.is_held), None)

    def _read(self, parsed: ParsedText | None = None) -> None:
        self._parsed = None
        try:
            self._parsed = parsed or parse_text(self.text, self.path)
            self.lesson = understand(self._parsed, self.path)
            self.fault = None
        except LessonError as error:
            self.fault = error
        except LickwrightError as error:  # of the instrument: a fault of the lesson all the same
            self.fault = LessonError(error.what, mend=error.mend, where=error.where)
