"""A lesson file being edited: every edit kept, undoable, and written without touching the rest.

What an edit promises: when it returns, its text is on the disk.  Text that reads as a lesson is
in the file itself.  Text that does not, or that would overwrite what another program wrote since,
is in a draft beside it (``.NAME.draft``), which :meth:`LessonDocument.open` offers again; so the
file keeps its last good lesson.
"""

from __future__ import annotations

import copy
import hashlib
import os
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Self

from lickwright.errors import LessonError, LickwrightError, Spot
from lickwright.lesson.entries import (
    ExampleEntry,
    GuitarEntry,
    LessonEntry,
    PinEntry,
    TempoEntry,
)
from lickwright.lesson.history import History
from lickwright.lesson.read import (
    MAX_BYTES,
    Lesson,
    ParsedText,
    decode_lesson,
    lesson_bytes,
    parse_text,
    understand,
)
from lickwright.lesson.rewrite import Keys, in_lines, reordered, rewritten
from lickwright.lesson.safe_write import (
    draft_of,
    remove,
    sweep,
    write_beside,
    write_new,
    write_whole,
)
from lickwright.lesson.yaml_style import pair, plain_data
from lickwright.theory.key import parse_key

#: Edits of one key that follow each other faster than this become one step, when asked.
JOIN_WITHIN_S = 1.5

_BOM = b"\xef\xbb\xbf"


class ConflictError(LessonError):
    """The file was changed by another program since it was last read."""


@dataclass(frozen=True, slots=True)
class _Form:
    """How a file's text is held in bytes: what an edit must not change either."""

    bom: bool = False
    crlf: bool = False

    def text(self, data: bytes, path: Path) -> str:
        text = decode_lesson(data, path)
        return text.replace("\r\n", "\n") if self.crlf else text

    def bytes(self, text: str) -> bytes:
        data = (text.replace("\n", "\r\n") if self.crlf else text).encode()
        return _BOM + data if self.bom else data


def _form_of(data: bytes) -> _Form:
    breaks = data.count(b"\r\n")
    only_crlf = breaks > 0 and breaks == data.count(b"\n") == data.count(b"\r")
    return _Form(data.startswith(_BOM), only_crlf)


@dataclass(frozen=True, slots=True)
class _OnDisk:
    """The file as it was last read or written by us."""

    digest: bytes
    stamp: tuple[int, int, int] | None
    reads: bool


class LessonDocument:
    """A lesson file being edited.  Use :meth:`open` or :meth:`create`.

    One document belongs to one thread.

    Attributes
    ----------
    path : the file.
    lesson : the last lesson that the text described; None where it never did.
    fault : why the present text is no lesson; None where it is one.
    recovered_draft : text that was edited but did not get into the file before the last end of
        the program; None where there is none.  :meth:`take_draft` or :meth:`discard_draft`.
    saved : whether the file itself holds the present text.
    """

    def __init__(
        self, path: Path, data: bytes, *, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self.path = path
        self.lesson: Lesson | None = None
        self.fault: LessonError | None = None
        self.recovered_draft: str | None = None
        self.saved = True
        self._file = path.resolve()
        self._clock = clock
        self._form = _form_of(data)
        self._history = History(self._form.text(data, path))
        self._parsed: ParsedText | None = None
        self._read()
        self._disk = self._stamped(data)

    @classmethod
    def open(
        cls, path: str | os.PathLike[str], *, clock: Callable[[], float] = time.monotonic
    ) -> Self:
        """Open a lesson file; its text may have faults.

        Raises
        ------
        LessonError
            Where the file is missing, unreadable, too large or not UTF-8 text.
        """
        path = Path(path)
        document = cls(path, lesson_bytes(path), clock=clock)
        sweep(document._file)
        document._find_draft()
        return document

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
        LickwrightError
            Where the name is taken, the title is empty, or the key cannot be read.
        OutputError
            Where the file cannot be written.
        """
        path = Path(path)
        parse_key(key)
        if not title.strip():
            raise LessonError("a lesson needs a title", mend="Give it one")
        head = [pair("lesson", plain_data(title), 0), pair("key", plain_data(key), 0)]
        text = "\n".join([*head, "", pair("examples", [], 0), ""])
        data = text.encode()
        write_new(path.resolve(), data)
        document = cls(path, data, clock=clock)
        for example in examples:
            document.add_example(example)
        document._history = History(document.text)
        return document

    @property
    def text(self) -> str:
        """The present text, with ``\\n`` between its lines."""
        return self._history.text

    @property
    def data(self) -> dict[str, Any] | None:
        """The present text as plain data; None where it is not YAML.  Yours to change."""
        return None if self._parsed is None else copy.deepcopy(self._parsed.data)

    @property
    def can_undo(self) -> bool:
        return self._history.can_undo

    @property
    def can_redo(self) -> bool:
        return self._history.can_redo

    @property
    def draft_path(self) -> Path:
        """Where text goes that may not go into the file."""
        return draft_of(self._file)

    # -- edits -----------------------------------------------------------------------------

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
            Where the text is not YAML, the place does not exist, or an alias stands in the way.
        OutputError
            Where the text could not be written; the edit stands, unsaved.
        """
        if value is None:
            self.drop(keys)
            return
        new = self._editable()
        _set(new, keys, plain_data(value), self._spot())
        self._rewrite(new, subject=keys if join else None)

    def drop(self, keys: Keys) -> None:
        """Take the key or list entry at ``keys`` out; a map it leaves empty goes with it.

        Nothing happens where there is no such key.
        """
        new = self._editable()
        _unset(new, keys)
        self._rewrite(new)

    def replace_text(self, text: str, *, join: bool = False) -> None:
        """Set the whole text, whether or not it reads as a lesson."""
        text = text.replace("\r\n", "\n") if self._form.crlf else text
        self._go(text, subject="text" if join else None)

    def add_example(self, entry: Mapping[str, Any], at: int | None = None) -> None:
        """Add an example before example ``at``, or at the end."""
        new = self._editable()
        examples = _examples(new)
        at = len(examples) if at is None else at
        self._check_index(at, len(examples) + 1)
        examples.insert(at, plain_data(entry))
        self._rewrite(new)

    def remove_example(self, i: int) -> None:
        """Take an example out, with the comments that stand directly above it."""
        new = self._editable()
        examples = _examples(new)
        self._check_index(i, len(examples))
        del examples[i]
        self._rewrite(new)

    def move_example(self, i: int, to: int) -> None:
        """Move an example to place ``to``, with the comments directly above it."""
        new = self._editable()
        examples = _examples(new)
        self._check_index(i, len(examples))
        self._check_index(to, len(examples))
        order = list(range(len(examples)))
        order.insert(to, order.pop(i))
        self._reorder(new, order)

    def duplicate_example(self, i: int, name: str | None = None) -> None:
        """Put a copy of an example below it, under ``name`` or the first free one."""
        new = self._editable()
        examples = _examples(new)
        self._check_index(i, len(examples))
        if not isinstance(examples[i], dict):
            raise LessonError(f"example {i + 1} has no keys", mend="Give it a name and music")
        names = {str(item.get("name")) for item in examples if isinstance(item, dict)}
        name = _free_name(str(examples[i].get("name", "Example")), names) if name is None else name
        order = [*range(i + 1), *range(i, len(examples))]
        text, copied = self._reordered(new, order)
        parsed = parse_text(text, self.path)
        copied["examples"][i + 1]["name"] = name
        self._go_checked(rewritten(text, parsed.root, parsed.data, copied, _order), copied)

    def rename_example(self, i: int, name: str) -> None:
        """Rename an example, and what carries it: one step."""
        new = self._editable()
        examples = _examples(new)
        self._check_index(i, len(examples))
        if not isinstance(examples[i], dict):
            raise LessonError(f"example {i + 1} has no keys", mend="Give it a name and music")
        old = examples[i].get("name")
        examples[i]["name"] = name
        for example in examples[i + 1 :]:
            if isinstance(example, dict) and old is not None and example.get("lick") == old:
                example["lick"] = name
        self._rewrite(new)

    def undo(self) -> None:
        """Take the last edit back; nothing happens where there is none."""
        if self._history.back():
            self._settle()

    def redo(self) -> None:
        """Make the edit again that was taken back; nothing happens where there is none."""
        if self._history.forth():
            self._settle()

    # -- the file --------------------------------------------------------------------------

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
        if self.outside_change():
            raise ConflictError(
                "the file was changed by another program since it was opened here",
                mend="Take the other version, or keep yours and have the other saved beside it",
                where=self._spot(),
            )
        if self.fault is not None:
            raise self.fault

    def outside_change(self) -> bool:
        """Whether the file's bytes are no longer those last read or written here."""
        stamp = _stamp(self._file)
        if stamp is not None and stamp == self._disk.stamp:
            return False
        try:
            data = lesson_bytes(self._file)
        except LessonError:
            return True
        if hashlib.sha256(data).digest() != self._disk.digest:
            return True
        self._disk = _OnDisk(self._disk.digest, stamp, self._disk.reads)
        return False

    def take_theirs(self) -> None:
        """Go on with what another program wrote; undo brings the own text back.

        Raises
        ------
        LessonError
            Where the file is gone or cannot be read.
        """
        data = lesson_bytes(self._file)
        form = _form_of(data)
        text = form.text(data, self.path)
        self._form = form
        self._history.push(text)
        self._read()
        self._disk = self._stamped(data)
        self._settle()

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
        beside: Path | None = None
        try:
            data = self._file.read_bytes()
        except FileNotFoundError:
            pass
        except OSError as error:
            raise LessonError(
                f"the other version cannot be read ({(error.strerror or '').lower()})",
                mend="Allow reading it, or move it away",
                where=self._spot(),
            ) from error
        else:
            beside = write_beside(self._file, "theirs", data)
        self._write()
        return beside

    def take_draft(self) -> None:
        """Go on with the recovered draft; undo brings the file's text back."""
        if self.recovered_draft is not None:
            draft, self.recovered_draft = self.recovered_draft, None
            self._go(draft)

    def discard_draft(self) -> None:
        """Throw the recovered draft away."""
        if self.recovered_draft is not None:
            remove(self.draft_path)
            self.recovered_draft = None

    # -- inside ----------------------------------------------------------------------------

    def _spot(self) -> Spot:
        return Spot(str(self.path))

    def _check_index(self, i: int, count: int) -> None:
        if not 0 <= i < count:
            raise LessonError(
                f"there is no example {i + 1}",
                mend=f"Name one from 1 to {count}",
                where=self._spot(),
            )

    def _editable(self) -> dict[str, Any]:
        """A copy of the present data, or the fault of a text that is not YAML."""
        if self._parsed is None:
            assert self.fault is not None, "text that does not parse has a fault"
            raise self.fault
        return copy.deepcopy(self._parsed.data)

    def _rewrite(self, new: dict[str, Any], *, subject: Keys | None = None) -> None:
        assert self._parsed is not None, "called with a copy of its data"
        text = rewritten(self.text, self._parsed.root, self._parsed.data, new, _order)
        self._go_checked(text, new, subject=subject)

    def _reordered(self, new: dict[str, Any], order: Sequence[int]) -> tuple[str, dict[str, Any]]:
        assert self._parsed is not None, "called with a copy of its data"
        old = new["examples"]
        new["examples"] = [copy.deepcopy(old[i]) for i in order]
        root = self._parsed.root
        if in_lines(self.text, root, ("examples",)):
            return reordered(self.text, root, ("examples",), order), new
        return rewritten(self.text, root, self._parsed.data, new, _order), new

    def _reorder(self, new: dict[str, Any], order: Sequence[int]) -> None:
        self._go_checked(*self._reordered(new, order))

    def _go_checked(self, text: str, new: dict[str, Any], *, subject: Keys | None = None) -> None:
        """Go on to ``text`` if it says ``new``; if not, the edit is refused."""
        try:
            parsed = parse_text(text, self.path)
        except LessonError:
            parsed = None
        if parsed is None or parsed.data != new:
            raise LessonError(
                "this cannot be changed here without changing other places of the file",
                mend="Change it in the text by hand",
                where=self._spot(),
            )
        self._go(text, parsed, subject=subject)

    def _go(
        self, text: str, parsed: ParsedText | None = None, *, subject: Keys | str | None = None
    ) -> None:
        """Make ``text`` the present one: in the history, read, and on the disk."""
        if text == self.text:
            return
        self._check_storable(text)
        self._history.push(text, subject=subject, at_s=self._clock(), within_s=JOIN_WITHIN_S)
        self._settle(parsed)

    def _check_storable(self, text: str) -> None:
        try:
            size = len(self._form.bytes(text))
        except UnicodeEncodeError as error:
            raise LessonError(
                "the text holds half a character",
                mend="Take it out",
                where=Spot(str(self.path), text[: error.start].count("\n") + 1),
            ) from error
        if size > MAX_BYTES:
            raise LessonError(
                "the text is larger than a lesson can be (1 MB)",
                mend="Split the lesson",
                where=self._spot(),
            )

    def _settle(self, parsed: ParsedText | None = None) -> None:
        """Read the present text and put it on the disk, in the file or in the draft."""
        self._read(parsed)
        self.saved = False
        data = self._form.bytes(self.text)
        if self.outside_change():
            self._write_draft(data)
        elif hashlib.sha256(data).digest() == self._disk.digest:
            self.saved = True
            self._drop_draft()
        elif self.fault is not None and self._disk.reads:
            self._write_draft(data)
        else:
            self._write()

    def _read(self, parsed: ParsedText | None = None) -> None:
        self._parsed = None
        try:
            self._parsed = parsed or parse_text(self.text, self.path)
            self.lesson = understand(self._parsed, self.path)
            self.fault = None
        except LessonError as error:
            self.fault = error
        except LickwrightError as error:
            self.fault = LessonError(error.what, mend=error.mend, where=error.where)

    def _write(self) -> None:
        data = self._form.bytes(self.text)
        write_whole(self._file, data)
        self._disk = self._stamped(data)
        self.saved = True
        self._drop_draft()

    def _write_draft(self, data: bytes) -> None:
        if self.recovered_draft is not None:
            # Nobody has decided about the older draft: it must not be lost to the new one.
            older = self._form.bytes(self.recovered_draft)
            write_beside(self._file, "draft", older)
            self.recovered_draft = None
        write_whole(self.draft_path, data)

    def _drop_draft(self) -> None:
        if self.recovered_draft is None:
            remove(self.draft_path)

    def _find_draft(self) -> None:
        draft = self.draft_path
        if draft.is_symlink() or not draft.is_file():
            return
        with suppress(LessonError):
            text = self._form.text(lesson_bytes(draft), draft)
            if text == self.text:
                remove(draft)
            else:
                self.recovered_draft = text

    def _stamped(self, data: bytes) -> _OnDisk:
        return _OnDisk(hashlib.sha256(data).digest(), _stamp(self._file), self.fault is None)


def _stamp(path: Path) -> tuple[int, int, int] | None:
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_mtime_ns, found.st_size, found.st_ino


_EXAMPLE_KEYS = [*(k for k in ExampleEntry.model_fields if k != "notes"), "notes"]


def _order(keys: Keys) -> Sequence[str]:
    """The order in which the keys of the map at ``keys`` are written."""
    if not keys:
        return list(LessonEntry.model_fields)
    if keys[0] == "examples" and len(keys) == 2:
        return _EXAMPLE_KEYS
    if keys[-1] == "tempo":
        return list(TempoEntry.model_fields)
    if keys == ("guitar",):
        return list(GuitarEntry.model_fields)
    if "pins" in keys:
        return list(PinEntry.model_fields)
    return ()


def _examples(data: dict[str, Any]) -> list[Any]:
    if not isinstance(data.get("examples"), list):
        data["examples"] = []
    examples: list[Any] = data["examples"]
    return examples


def _set(data: dict[str, Any], keys: Keys, value: Any, spot: Spot) -> None:
    if not keys:
        raise LessonError("no key is named", mend="Name one", where=spot)
    at: Any = data
    for key, after in zip(keys, [*keys[1:], None], strict=True):
        last = after is None
        if isinstance(at, list) and isinstance(key, int) and 0 <= key <= len(at):
            if key == len(at):
                at.append(value if last else {})
            elif last:
                at[key] = value
        elif isinstance(at, dict):
            if last:
                at[key] = value
            elif not isinstance(at.get(key), dict | list):
                at[key] = {}
        else:
            name = ", ".join(map(str, keys))
            raise LessonError(f"there is no place for {name}", mend="Name another", where=spot)
        at = at[key]


def _unset(data: dict[str, Any], keys: Keys) -> None:
    trail: list[tuple[Any, Any]] = []
    at: Any = data
    for key in keys:
        inside = (
            key in at
            if isinstance(at, dict)
            else (isinstance(at, list) and isinstance(key, int) and 0 <= key < len(at))
        )
        if not inside:
            return
        trail.append((at, key))
        at = at[key]
    for depth, (holder, key) in enumerate(reversed(trail)):
        del holder[key]
        if holder or depth == len(trail) - 1 or isinstance(holder, list):
            return
        above, _ = trail[len(trail) - 2 - depth]
        if isinstance(above, list):
            return


def _free_name(name: str, taken: set[str]) -> str:
    number = 2
    while f"{name} ({number})" in taken:
        number += 1
    return f"{name} ({number})"
