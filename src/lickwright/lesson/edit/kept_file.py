"""Where does edited text rest, so that nothing is lost and nothing good is overwritten?

Text that reads as a lesson goes into the file.  Text that does not, while the file holds a lesson
that does, goes into a draft beside it (:mod:`~lickwright.files.drafts`); so does any text while
another program has changed the file.  Each open file has a draft of its own: two programs at one
lesson never write or remove each other's, and look at the file and write it in one go.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from lickwright.errors import LessonError, Spot
from lickwright.files import (
    Draft,
    Hold,
    TooLargeError,
    base_of,
    draft_path,
    find_drafts,
    new_writer,
    one_writer,
    read_plain,
    remove,
    sweep,
    take_hold,
    told,
    write_beside,
    write_held,
    write_through,
    write_whole,
)
from lickwright.lesson.file import MAX_BYTES, decode_lesson, lesson_bytes

_BOM = b"\xef\xbb\xbf"


@dataclass(frozen=True, slots=True)
class Form:
    """How text is held in bytes: what an edit must not change either."""

    bom: bool = False
    crlf: bool = False

    @classmethod
    def of(cls, data: bytes) -> Form:
        """The form of a file; one that mixes line breaks keeps each as a part of its text."""
        pairs = data.count(b"\r\n")
        crlf = pairs > 0 and pairs == data.count(b"\n") == data.count(b"\r")
        return cls(data.startswith(_BOM), crlf)

    def text(self, data: bytes, path: Path) -> str:
        """The text, or a LessonError where it is not UTF-8."""
        text = decode_lesson(data, path)
        return text.replace("\r\n", "\n") if self.crlf else text

    def bytes(self, text: str, path: Path) -> bytes:
        """The bytes, or a LessonError where they are no file that could be opened again."""
        try:
            data = (text.replace("\n", "\r\n") if self.crlf else text).encode()
        except UnicodeEncodeError as error:
            line = text[: error.start].count("\n") + 1
            raise LessonError(
                "the text holds half a character", mend="Take it out", where=Spot(str(path), line)
            ) from error
        if len(data) > MAX_BYTES:
            raise LessonError(
                "the text is larger than a lesson can be (1 MB)",
                mend="Split the lesson",
                where=Spot(str(path)),
            )
        return _BOM + data if self.bom else data


class KeptFile:
    """A file and the draft that is written here.

    Attributes
    ----------
    path : the file as it was named; a link is followed when it is written.
    drafts : the drafts of others, left behind or still being written, as they were when last
        looked at; the newest first.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._file = Path(os.path.realpath(path))
        self._data = lesson_bytes(path)
        self._form = Form.of(self._data)
        self._reads = False
        self._writer = new_writer()
        self._base = base_of(self._data)
        self._own: Path | None = None
        self._hold: Hold | None = None
        self._taken: list[tuple[Path, Hold]] = []
        self._in_file: str | None = self.text
        self._in_draft: str | None = None
        self.drafts: tuple[Draft, ...] = ()
        sweep(self._file)
        self._drop_needless()
        self.look()

    @property
    def own_draft(self) -> Path | None:
        """Where text waits that was edited here; None where none does."""
        return self._own

    @property
    def base(self) -> str:
        """What :func:`~lickwright.files.drafts.base_of` says of the file as it is known here."""
        return base_of(self._data)

    @property
    def text(self) -> str:
        """What the file held when it was last read or written here."""
        return self._form.text(self._data, self.path)

    def holds(self, text: str) -> bool:
        """Whether the file itself was given this text last."""
        return self._in_file == text

    def keeps(self, text: str) -> bool:
        """Whether the own draft holds this text."""
        return self._in_draft == text

    def note_whether_it_reads(self, reads: bool) -> None:
        """Say whether the file as it was just read is a lesson: if so, no fault overwrites it."""
        self._reads = reads

    def note_other_base(self) -> None:
        """Say that the text to be stored next does not go on from the file: that is kept beside."""
        self._base = ""

    def check(self, text: str) -> None:
        """Raise a LessonError where text cannot be stored."""
        self._form.bytes(text, self.path)

    def store(self, text: str, *, reads: bool) -> None:
        """Put text on the disk, in the file or in the draft.

        Raises
        ------
        OutputError
            Where it could not be written.
        """
        self._in_file = self._in_draft = None
        data = self._form.bytes(text, self.path)
        is_new = data != self._data or self._own is not None or bool(self._taken)
        if not is_new and not self.is_changed_outside():
            self._in_file, self._base = text, self.base
            return
        with self._alone():
            if self.is_changed_outside():
                self._write_draft(data, text)
            elif data == self._data:
                self._drop_own()
                self._in_file, self._base = text, self.base
            elif self._reads and not reads:
                self._write_draft(data, text)
            else:
                self._write(data, text, reads)
            self._drop_taken()

    def is_changed_outside(self) -> bool:
        """Whether the file no longer holds the bytes last read or written here."""
        try:
            return lesson_bytes(self._file) != self._data
        except LessonError:
            return True

    def look(self) -> None:
        """Look which drafts of others there are now."""
        ours = {self._own, *(path for path, _ in self._taken)}
        self.drafts = tuple(draft for draft in find_drafts(self._file) if draft.path not in ours)

    def reread(self) -> str:
        """Take the file as another program left it, or raise a LessonError where it cannot be."""
        data = lesson_bytes(self._file)
        form = Form.of(data)
        text = form.text(data, self.path)
        self._data, self._form = data, form
        self._base = base_of(data)
        return text

    def overwrite(self, text: str) -> Path | None:
        """Store text that reads, saving beside it what another program left in the file.

        Returns
        -------
        The file that holds their version; None where they left none.

        Raises
        ------
        LessonError
            Where their version cannot be read.
        OutputError
            Where one of the files could not be written; theirs stands.
        """
        data = self._form.bytes(text, self.path)
        with self._alone():
            if not self.is_changed_outside():
                self._write(data, text, True)
                return None
            try:
                theirs = read_plain(self._file)
            except FileNotFoundError:
                beside = None
            except OSError as error:
                raise LessonError(
                    f"the other version cannot be read ({(error.strerror or str(error)).lower()})",
                    mend="Allow reading it, or move it away",
                    where=Spot(str(self.path)),
                ) from error
            else:
                beside = write_beside(self._file, "theirs", theirs)
            self._base = self.base  # what it replaces is safe
            self._write(data, text, True)
            return beside

    def read_draft(self, draft: Draft) -> str:
        """The text of another's draft, from now on a text like any other, to be stored next.

        A draft that was left behind goes once that is done; one that is still being written stays
        with its writer.  Text that waits in the own draft is left behind there.

        Raises
        ------
        LessonError
            Where it is gone or cannot be read.
        """
        with self._decided(draft) as hold:
            data = read_plain(draft.path, MAX_BYTES)
            text = Form.of(data).text(data, draft.path)
            if hold is not None:
                self._taken.append((draft.path, hold))
        self._let_go()
        self._own, self._writer = None, new_writer()
        self._base = draft.base
        return text

    def discard_draft(self, draft: Draft) -> None:
        """Throw away a draft that was left behind.

        Raises
        ------
        LessonError
            Where the program that writes it still runs, or it is gone.
        """
        with self._decided(draft) as hold:
            if hold is None:
                raise LessonError(
                    "these edits belong to a program that still has the lesson open",
                    mend="Finish them there",
                    where=Spot(str(draft.path)),
                )
            draft.path.unlink()
            hold.end()
        self.look()

    def close(self) -> None:
        """Hold nothing any more: what waits in the own draft is left behind there."""
        self._let_go()
        for _, hold in self._taken:
            hold.end()
        self._taken.clear()

    def let_go(self) -> None:
        """Let the own draft be moved with the file; :meth:`moved` holds it again."""
        self._let_go()

    def moved(self, path: Path) -> None:
        """Follow the file, which was renamed together with its draft."""
        self.path = path
        self._file = Path(os.path.realpath(path))
        if self._own is not None:
            tail = self._own.name.rpartition(f".{self._writer}-")[2].removesuffix(".draft")
            self._own = draft_path(self._file, self._writer, tail)
            with told(self._own):
                self._hold = take_hold(self._own)

    @contextmanager
    def _alone(self) -> Iterator[None]:
        with told(self._file), one_writer(self._file):
            yield

    @contextmanager
    def _decided(self, draft: Draft) -> Iterator[Hold | None]:
        """Inside it, the hold on another's draft, None where it is not to be had; errors told."""
        try:
            yield take_hold(draft.path)
        except FileNotFoundError as error:
            self.look()
            raise LessonError(
                "these edits do not wait there any more",
                mend="Look at the lesson: another program may have taken them",
                where=Spot(str(draft.path)),
            ) from error
        except OSError as error:
            raise LessonError(
                f"these edits cannot be reached ({(error.strerror or str(error)).lower()})",
                mend="Allow reading and writing the file that holds them",
                where=Spot(str(draft.path)),
            ) from error

    def _let_go(self) -> None:
        if self._hold is not None:
            self._hold.end()
            self._hold = None

    def _drop_own(self) -> None:
        if self._own is not None:
            remove(self._own)
            self._own = None
        self._let_go()

    def _drop_taken(self) -> None:
        """Take away the drafts whose text is now in the file or in the own draft."""
        while self._taken:
            path, hold = self._taken.pop()
            remove(path)
            hold.end()

    def _write(self, data: bytes, text: str, reads: bool) -> None:
        if self._base != self.base:
            # The text goes on from another version than the one it takes the place of.
            write_beside(self._file, "before", self._data)
        if self._own is not None:
            write_through(self._own, self._file, data)
            self._own = None
            self._let_go()
        else:
            write_whole(self._file, data)
        self._data, self._reads = data, reads
        self._in_file, self._base = text, self.base

    def _write_draft(self, data: bytes, text: str) -> None:
        path = draft_path(self._file, self._writer, self._base)
        hold = write_held(path, data, like=self._file)
        if self._own not in (None, path):
            self._drop_own()
        self._let_go()
        self._own, self._hold, self._in_draft = path, hold, text

    def _drop_needless(self) -> None:
        """Take away drafts left behind that say what the file says."""
        for draft in find_drafts(self._file):
            if draft.is_held:
                continue
            try:
                if read_plain(draft.path, MAX_BYTES) != self._data:
                    continue
                hold = take_hold(draft.path)
            except (OSError, TooLargeError):  # it is offered, and then told why it cannot be read
                continue
            if hold is not None:
                remove(draft.path)
                hold.end()
