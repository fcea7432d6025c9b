"""Where does edited text rest, so that nothing is lost and nothing good is overwritten?

Text that reads as a lesson goes into the file.  Text that does not, while the file holds a lesson
that does, goes into a draft beside it (``.NAME.draft``); so does any text while another program
has changed the file.  A draft on the disk is always newer than what the file got from here.
"""

from __future__ import annotations

import os
from dataclasses import dataclass
from pathlib import Path

from lickwright.errors import LessonError, Spot
from lickwright.lesson.read import MAX_BYTES, decode_lesson, lesson_bytes
from lickwright.lesson.safe_write import (
    draft_of,
    remove,
    sweep,
    write_beside,
    write_through,
    write_whole,
)

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
    """A file and its draft.

    Attributes
    ----------
    path : the file as it was named; a link is followed when it is written.
    recovered : text of a draft that was there when the file was opened; None where there was
        none, or it has been taken or thrown away.
    saved : whether the file itself holds the text that was stored last.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._file = Path(os.path.realpath(path))
        self._data = lesson_bytes(path)
        self._form = Form.of(self._data)
        self._reads = False
        self.recovered: str | None = None
        self.saved = True
        for name in (self._file, self.draft):
            sweep(name)
        self._find_draft()

    @property
    def draft(self) -> Path:
        """Where text goes that may not go into the file."""
        return draft_of(self._file)

    @property
    def text(self) -> str:
        """What the file held when it was last read or written here."""
        return self._form.text(self._data, self.path)

    def note_whether_it_reads(self, reads: bool) -> None:
        """Say whether the file as it was just read is a lesson: if so, no fault overwrites it."""
        self._reads = reads

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
        self.saved = False
        data = self._form.bytes(text, self.path)
        if self.is_changed_outside():
            self._write_draft(data)
        elif data == self._data:
            self.saved = True
            if self.recovered is None:
                remove(self.draft)
        elif self._reads and not reads:
            self._write_draft(data)
        else:
            self._write(data, reads)

    def is_changed_outside(self) -> bool:
        """Whether the file no longer holds the bytes last read or written here."""
        try:
            return lesson_bytes(self._file) != self._data
        except LessonError:
            return True

    def reread(self) -> str:
        """Take the file as another program left it, or raise a LessonError where it cannot be."""
        data = lesson_bytes(self._file)
        form = Form.of(data)
        text = form.text(data, self.path)
        self._data, self._form = data, form
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
        if not self.is_changed_outside():
            self._write(data, True)
            return None
        try:
            theirs = self._file.read_bytes()
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
        self._write(data, True)
        return beside

    def taken_draft(self) -> str | None:
        """The recovered draft, from now on a text like any other, to be stored next."""
        draft, self.recovered = self.recovered, None
        return draft

    def discard_draft(self) -> None:
        """Throw the recovered draft away."""
        if self.recovered is not None:
            remove(self.draft)
            self.recovered = None

    def moved(self, path: Path) -> None:
        """Follow the file, which was renamed together with its draft."""
        self.path = path
        self._file = Path(os.path.realpath(path))

    def _write(self, data: bytes, reads: bool) -> None:
        if self.recovered is None and os.path.lexists(self.draft):
            write_through(self.draft, self._file, data)
        else:
            write_whole(self._file, data)
        self._data, self._reads, self.saved = data, reads, True

    def _write_draft(self, data: bytes) -> None:
        if self.recovered is not None:
            # Nobody has decided about the older draft: it must not be lost to the new one.
            write_beside(self._file, "draft", self._form.bytes(self.recovered, self.path))
            self.recovered = None
        write_whole(self.draft, data, like=self._file)

    def _find_draft(self) -> None:
        if os.path.islink(self.draft) or not os.path.isfile(self.draft):
            return
        data = lesson_bytes(self.draft)
        if data == self._data:
            remove(self.draft)
        else:
            self.recovered = self._form.text(data, self.draft)
