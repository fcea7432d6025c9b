"""How is a file written so that it is never half-written and never lost?

The new bytes go whole into a hidden file in the same folder, are pushed to the disk, and only
then take the name of the old file, in one step of the file system.  Whatever interrupts it, the
name stands for the old bytes or the new ones.
"""

from __future__ import annotations

import errno
import glob
import os
import stat
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from lickwright.errors import LessonError, OutputError, Spot
from lickwright.files.drafts import Hold, find_drafts, keep_hold

_SUFFIX = ".saving"
#: Hidden files older than this were left by a program that was killed while it saved.
_LEFT_BEHIND_S = 60.0


def reason_of(error: OSError) -> str:
    """What the system said, for the middle of a sentence."""
    return (error.strerror or str(error)).lower()


@contextmanager
def told(path: Path) -> Iterator[None]:
    """Turns the system's word on a failed write into one sentence."""
    try:
        yield
    except OSError as error:
        raise OutputError(
            f"the file cannot be saved ({reason_of(error)})",
            mend="Make room on the disk or allow writing in this folder, then save again",
            where=Spot(str(path)),
        ) from error


def write_whole(path: Path, data: bytes, *, like: Path | None = None) -> None:
    """Give the file ``path`` new bytes; its mode and owner stay.

    ``like`` is the file whose mode and owner a new file takes.

    Raises
    ------
    OutputError
        Where the file or its folder cannot be written, or the disk is full; the old file stands.
    """
    write_held(path, data, like=like).end()


def write_held(path: Path, data: bytes, *, like: Path | None = None) -> Hold:
    """Give a file new bytes, as :func:`write_whole` does, and hold it from its first moment on.

    Raises
    ------
    OutputError
        Where the file or its folder cannot be written, or the disk is full; the old file stands.
    """
    with told(path):
        descriptor, name = tempfile.mkstemp(
            prefix=f".{path.name[:100]}.", suffix=_SUFFIX, dir=path.parent
        )
        try:
            with os.fdopen(descriptor, "wb") as file:
                file.write(data)
                file.flush()
                os.fsync(file.fileno())
                hold = keep_hold(file.fileno())
            _make_like(name, like or path)
            os.replace(name, path)
        except BaseException:
            with suppress(FileNotFoundError):
                os.unlink(name)
            raise
        sync_folder(path.parent)
    return hold


def write_through(draft: Path, path: Path, data: bytes) -> None:
    """Give ``path`` new bytes and take its draft away, in one step.

    The bytes become the draft first, and the draft then becomes the file: at no moment does an
    older draft stand beside a newer file.

    Raises
    ------
    OutputError
        As :func:`write_whole` does.
    """
    hold = write_held(draft, data, like=path)
    with told(path):
        os.replace(draft, path)
        sync_folder(path.parent)
    hold.end()


def write_new(path: Path, data: bytes) -> None:
    """Write a file that must not exist yet.

    Raises
    ------
    LessonError
        Where there is one of this name; it stays as it is.
    OutputError
        As :func:`write_whole` does.
    """
    reserve(path)
    try:
        write_whole(path, data)
    except OutputError:
        with suppress(OSError):
            path.unlink()
        raise


def reserve(path: Path) -> None:
    """Take a name with an empty file, or raise a LessonError where it is taken.

    Drafts that a file of this name left behind, which is gone since, are set aside; one that its
    writer still holds stays with it.
    """
    with told(path):
        try:
            os.close(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o666))
        except FileExistsError as error:
            raise LessonError(
                "there is a file of this name already",
                mend="Choose another name",
                where=Spot(str(path)),
            ) from error
        for draft in find_drafts(path):
            if not draft.is_held:
                os.replace(draft.path, _free_name_beside(path, "draft"))


def write_beside(path: Path, label: str, data: bytes) -> Path:
    """Write a new file beside ``path`` under the first free name: ``NAME.label-2.yaml``."""
    beside = _free_name_beside(path, label)
    write_whole(beside, data)
    return beside


def _free_name_beside(path: Path, label: str) -> Path:
    """A name beside ``path`` that was free and is now taken by an empty file."""
    number = 1
    while True:
        tail = label if number == 1 else f"{label}-{number}"
        beside = path.with_name(f"{path.stem}.{tail}{path.suffix}")
        if not os.path.lexists(beside):
            with suppress(LessonError):  # taken in the meantime: the next name
                reserve(beside)
                return beside
        number += 1


def remove(path: Path) -> None:
    """Take a file away, if it is there."""
    with told(path):
        path.unlink(missing_ok=True)


def sweep(path: Path) -> None:
    """Take away what a program that was killed while it saved ``path`` or a draft left behind."""
    with suppress(OSError):
        for start in (path.name[:100], f".{path.name}"[:100]):
            for left in path.parent.glob(f".{glob.escape(start)}.*{_SUFFIX}"):
                if time.time() - left.lstat().st_mtime > _LEFT_BEHIND_S:
                    left.unlink()


def _make_like(name: str, model: Path) -> None:
    """Give a new file the mode and owner of ``model``, or what the umask leaves of 0666."""
    try:
        found = model.stat()
    except FileNotFoundError:
        mask = os.umask(0)
        os.umask(mask)
        os.chmod(name, 0o666 & ~mask)
        return
    if not os.access(model, os.W_OK):
        raise PermissionError(errno.EACCES, "the file is write-protected")
    os.chmod(name, stat.S_IMODE(found.st_mode))
    if hasattr(os, "chown") and (found.st_uid, found.st_gid) != (os.geteuid(), os.getegid()):
        with suppress(PermissionError):  # only root may give files away
            os.chown(name, found.st_uid, found.st_gid)


def sync_folder(folder: Path) -> None:
    """Push the new name to the disk; some systems cannot open a folder, and need not."""
    try:
        descriptor = os.open(folder, os.O_RDONLY)
    except (PermissionError, IsADirectoryError):
        return
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)
