"""A lesson's text being edited in memory: each edit changes what it must, and can be undone.

An edit changes the characters it must and no others (:mod:`~lickwright.lesson.edit.rewrite`); the
result is read back, and an edit that would say anything but what was asked is refused.
"""

from __future__ import annotations

import copy
from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from lickwright.errors import LessonError, LickwrightError, Spot
from lickwright.lesson.edit.history import History
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
from lickwright.lesson.edit.yaml_style import plain_data
from lickwright.lesson.file import Lesson, ParsedText, parse_text, understand

#: Edits of one key that follow each other within this time become one step, when asked.
JOIN_WITHIN_S = 1.5


class EditedText(ABC):
    """The text of a lesson, its edits and their history; where it rests is told below.

    Parameters
    ----------
    text : what it is at first; it may have faults.
    clock : gives seconds, to tell quick edits from slow ones.

    Attributes
    ----------
    lesson : the last lesson that the text described; None where it never did.
    fault : why the present text is no lesson; None where it is one.
    """

    def __init__(self, text: str, clock: Callable[[], float]) -> None:
        self.lesson: Lesson | None = None
        self.fault: LessonError | None = None
        self._clock = clock
        self._only_lessons = False
        self._history = History(text)
        self._turns: set[frozenset[int]] = set()
        self._parsed: ParsedText | None = None

    @property
    @abstractmethod
    def path(self) -> Path:
        """The file that errors name."""

    @abstractmethod
    def _check(self, text: str) -> None:
        """Refuse a text that could not be kept."""

    @abstractmethod
    def _store(self) -> None:
        """Put the present text where it rests."""

    @abstractmethod
    def _note_other_base(self) -> None:
        """Another text has come by undo or redo, which must not go unsaved."""

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
        self._check(text)
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
        self._check(text)
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
                self._note_other_base()
            self._settle()

    def _settle(self, parsed: ParsedText | None = None) -> None:
        """Read the present text and put it on the disk."""
        self._read(parsed)
        self._store()

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
