"""Whose are the edits that wait beside a lesson file?

A draft is a hidden file, ``.NAME.WRITER-BASE.draft``.  WRITER is the process that writes it and a
number of its own; BASE is the beginning of the SHA-256 of the file that the edits go on from.  As
long as its writer lives it holds a lock of the system on the draft (freed however the writer
ends), and no other program changes or removes it.  A draft that nobody holds was left
behind: whoever decides about it takes the lock first.

Where the disk knows no such locks, every draft counts as left behind.
"""

from __future__ import annotations

import hashlib
import os
import re
import secrets
import time
import weakref
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from lickwright.errors import OutputError, Spot
from lickwright.files.system_lock import is_at, is_locked, lock_file

_NAME = re.compile(r"\.(?P<file>.+?)(?:\.\d+-[0-9a-f]{8}-(?P<base>[0-9a-f]{8}))?\.draft", re.DOTALL)
#: So long a write waits for one of another program, and a decision for a look at its draft.
_WAIT_S, _GLANCE_S = 10.0, 0.2
_STEP_S = 0.005
_NONBLOCK, _NOFOLLOW = getattr(os, "O_NONBLOCK", 0), getattr(os, "O_NOFOLLOW", 0)


@dataclass(frozen=True, slots=True)
class Draft:
    """Edits that wait beside a lesson file.

    Attributes
    ----------
    path : the hidden file that holds them.
    written_s : when it was last written, in seconds since 1970.
    is_held : whether the program that writes it still runs.
    base : what the edits go on from, as :func:`base_of` tells; empty where that is not known.
    """

    path: Path
    written_s: float
    is_held: bool
    base: str


class Hold:
    """A lock on an open file, until it is ended or forgotten."""

    def __init__(self, descriptor: int) -> None:
        self._end = weakref.finalize(self, os.close, descriptor)

    def end(self) -> None:
        self._end()


def new_writer() -> str:
    """A name for who writes drafts: this process, and a number that no other has."""
    return f"{os.getpid()}-{secrets.token_hex(4)}"


def base_of(data: bytes) -> str:
    """A short name for the bytes of a file."""
    return hashlib.sha256(data).hexdigest()[:8]


def draft_path(file: Path, writer: str, base: str) -> Path:
    """Where a writer keeps what may not go into the file, which goes on from ``base``."""
    return file.with_name(f".{file.name}.{writer}-{base or '0' * 8}.draft")


def drafted_file(entry: os.DirEntry[str]) -> str | None:
    """The name of the lesson file that a file is a draft of; None where it is no draft."""
    name = _NAME.fullmatch(entry.name)
    return name["file"] if name is not None and entry.is_file(follow_symlinks=False) else None


def find_drafts(file: Path) -> tuple[Draft, ...]:
    """The drafts beside a lesson file, the newest first; links are none.

    There are none where the folder cannot be read: whoever reads the file itself is told that.
    """
    found = []
    try:
        with os.scandir(file.parent) as entries:
            for entry in entries:
                name = _NAME.fullmatch(entry.name)
                if name is None or name["file"] != file.name:
                    continue
                if not entry.is_file(follow_symlinks=False):
                    continue
                path = file.with_name(entry.name)
                written_s = entry.stat(follow_symlinks=False).st_mtime
                found.append(Draft(path, written_s, is_held(path), name["base"] or ""))
    except OSError:
        return ()
    return tuple(sorted(found, key=lambda draft: (-draft.written_s, draft.path.name)))


def keep_hold(descriptor: int) -> Hold:
    """Hold a file that this process has open, also after it closes the descriptor."""
    own = os.dup(descriptor)
    _lock(own)
    return Hold(own)


def take_hold(path: Path) -> Hold | None:
    """Hold a draft that was left behind; None where its writer, or another taker, holds it.

    Raises
    ------
    OSError
        Where there is none any more, or it may not be opened.
    """
    descriptor = os.open(path, os.O_RDWR | _NONBLOCK | _NOFOLLOW)
    until = time.monotonic() + _GLANCE_S
    while not _lock(descriptor):
        if time.monotonic() > until:
            os.close(descriptor)
            return None
        time.sleep(_STEP_S)  # somebody may only be looking whether it is held
    if not is_at(descriptor, path):
        os.close(descriptor)
        raise FileNotFoundError(path)
    return Hold(descriptor)


def is_held(path: Path) -> bool:
    """Whether the writer of a draft still runs."""
    try:
        descriptor = os.open(path, os.O_RDONLY | _NONBLOCK | _NOFOLLOW)
    except OSError:  # gone, or not ours to read: nothing that we know of holds it
        return False
    try:
        return is_locked(descriptor)
    except OSError:  # a disk without locks
        return False
    finally:
        os.close(descriptor)


@contextmanager
def one_writer(file: Path) -> Iterator[None]:
    """Inside it, no other program that asks likewise writes this lesson file.

    To look at a file and then write it is two steps; two programs that took them in turns would
    lose what one of them wrote.

    Raises
    ------
    OSError
        Where the folder cannot be written.
    OutputError
        Where another program has been writing for ten seconds.
    """
    path = file.with_name(f".{file.name}.lock")
    until = time.monotonic() + _WAIT_S
    while True:
        descriptor = os.open(path, os.O_RDWR | os.O_CREAT | _NONBLOCK | _NOFOLLOW, 0o666)
        # Whoever had it before us has taken the name away: a lock on what had it holds nothing.
        if (is_ours := _lock(descriptor)) and is_at(descriptor, path):
            break
        os.close(descriptor)
        if time.monotonic() > until:
            raise OutputError(
                "another program has been writing this lesson for ten seconds",
                mend="Close it there, then try again",
                where=Spot(str(file)),
            )
        if not is_ours:
            time.sleep(_STEP_S)
    try:
        yield
    finally:
        path.unlink(missing_ok=True)
        os.close(descriptor)


def _lock(descriptor: int) -> bool:
    """Whether a file is now ours alone; also where its disk knows no locks."""
    try:
        return lock_file(descriptor)
    except OSError:  # its files are written as they were before there were locks
        return True
