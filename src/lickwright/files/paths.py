"""What lies inside a folder, and what is a plain file?

Every room that reads, writes, removes, serves or packs a file whose name came from outside (a
manifest, an address, an archive, a listing) asks here, and nowhere else.  A name is inside a folder
when it is relative, climbs nowhere, and no link on its way leads out; a plain file is a regular
one: a pipe or a device could keep its reader waiting for ever, or never end.

Links are looked at when the question is asked.  Who may plant links in the folder while we work may
write there anyway; what this keeps from happening is that a file of ours, or a request of theirs,
names something elsewhere.
"""

from __future__ import annotations

import errno
import os
import stat
from pathlib import Path, PurePosixPath, PureWindowsPath

from lickwright.errors import LickwrightError, Spot

#: The longest name that common file systems take, and the longest path, in bytes.
MAX_NAME, MAX_PATH = 255, 4_000


class OutsideError(LickwrightError):
    """A name that leads out of the folder it was given for, or names no file at all."""


class TooLargeError(LickwrightError):
    """A file that holds more than its reader takes."""


def inside(folder: str | os.PathLike[str], name: str, *, links: bool = False) -> Path:
    """The path of ``name`` in ``folder``, whether or not there is such a file.

    Parameters
    ----------
    folder : the folder, itself allowed to be a link.
    name : a relative path with ``/`` between its parts.
    links : whether links on the way are followed as long as they stay in the folder; without it
        none is, wherever it leads.

    Returns
    -------
    ``folder / name``; where ``links`` is given, with its links followed.

    Raises
    ------
    OutsideError
        Where the name is empty, absolute, climbs with ``..``, holds what no file system takes, or
        meets a link that it may not follow.

    Examples
    --------
    >>> inside("out", "01-the-pair/lead.mid").as_posix()
    'out/01-the-pair/lead.mid'
    >>> inside("out", "../keep.txt")
    Traceback (most recent call last):
    lickwright.files.paths.OutsideError: out: '../keep.txt' is not inside this folder.
    """
    folder = Path(folder)
    if not may_lie_inside(name):
        raise _outside(folder, name)
    path = folder / PurePosixPath(name)
    try:
        root, real = os.path.realpath(folder), os.path.realpath(path)
    except (OSError, ValueError) as error:
        raise _outside(folder, name) from error
    if links:
        if not Path(real).is_relative_to(root):
            raise _outside(folder, name)
        return Path(real)
    if real != os.path.join(root, *PurePosixPath(name).parts):
        raise _outside(folder, name)
    return path


def is_inside(folder: str | os.PathLike[str], name: str, *, links: bool = False) -> bool:
    """Whether :func:`inside` would give a path."""
    try:
        inside(folder, name, links=links)
    except OutsideError:
        return False
    return True


def may_lie_inside(name: str) -> bool:
    """Whether a name is relative and goes only down, on any system; no disk is asked.

    Examples
    --------
    >>> may_lie_inside("a/b"), may_lie_inside("a/../b"), may_lie_inside("C:/b")
    (True, False, False)
    """
    if not name or "\0" in name or "\\" in name:
        return False
    try:
        if len(name.encode()) > MAX_PATH:
            return False
    except UnicodeEncodeError:  # half of a surrogate pair
        return False
    parts = name.split("/")
    return (
        not any(part in {"", ".", ".."} or len(part.encode()) > MAX_NAME for part in parts)
        and not PurePosixPath(name).is_absolute()
        and not PureWindowsPath(name).drive
    )


def read_plain(path: str | os.PathLike[str], most: int | None = None) -> bytes:
    """The bytes of a regular file; nothing that could block is opened for reading.

    Parameters
    ----------
    path : the file.
    most : the most bytes that it may hold.

    Raises
    ------
    OSError
        Where it cannot be read; ``EINVAL`` where it is no regular file.
    TooLargeError
        Where it holds more than ``most`` bytes.
    """
    descriptor = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | _BINARY)
    with os.fdopen(descriptor, "rb") as file:
        if not stat.S_ISREG(os.fstat(descriptor).st_mode):
            raise OSError(errno.EINVAL, "it is not a plain file", os.fspath(path))
        if most is None:
            return file.read()
        data = file.read(most + 1)
    if len(data) > most:
        raise TooLargeError(
            f"the file holds more than {most:,} bytes",
            mend="Name a smaller one",
            where=Spot(os.fspath(path)),
        )
    return data


def is_plain_file(path: str | os.PathLike[str]) -> bool:
    """Whether there is a regular file at ``path``, links followed; never blocks, never raises."""
    try:
        return stat.S_ISREG(os.stat(path).st_mode)
    except (OSError, ValueError):
        return False


_BINARY = getattr(os, "O_BINARY", 0)


def _outside(folder: Path, name: str) -> OutsideError:
    return OutsideError(f"'{name}' is not inside this folder", where=Spot(str(folder)))
