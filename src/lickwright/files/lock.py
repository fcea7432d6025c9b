"""Who may write an output folder just now?

One build at a time.  Who builds holds a lock of the operating system on a hidden file in the
folder: the system lets it go when the process ends, however it ends, so that a build that was
killed keeps nobody out.  What the file says (who, since when) is for the sentence that the second
one gets; whether the lock is held, the system alone decides.
"""

from __future__ import annotations

import errno
import json
import os
import socket
import stat
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from lickwright.errors import OutputError, Spot
from lickwright.files.safe_write import reason_of
from lickwright.files.system_lock import is_at, lock_file, remove_locked

LOCK_NAME = ".lickwright.lock"
_MOST_WORDS = 1_000


class BusyError(OutputError):
    """An output folder that another build is writing."""


@contextmanager
def writing(folder: Path) -> Iterator[None]:
    """Hold an output folder, made where it is missing; leaves no trace of the lock.

    Raises
    ------
    BusyError
        Where another build holds it; it is told by its process and since when.
    OutputError
        Where the folder cannot be made or locked.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        descriptor = _locked(folder / LOCK_NAME)
    except OSError as error:
        raise OutputError(
            f"the output folder cannot be written ({reason_of(error)})",
            mend="Name a folder that you may write to",
            where=Spot(str(folder)),
        ) from error
    if descriptor is None:  # a folder that may only be read: nothing will be written
        yield
        return
    try:
        with suppress(OSError):  # a full disk: whoever comes second is told less
            os.truncate(descriptor, 0)
            os.write(descriptor, _words())
        yield
    finally:
        remove_locked(folder / LOCK_NAME, descriptor)


def _locked(path: Path) -> int | None:
    """An open file that is locked and is still the one at ``path``."""
    while True:
        descriptor = _opened(path)
        if descriptor is None:
            return None
        try:
            if not stat.S_ISREG(os.fstat(descriptor).st_mode):
                raise OSError(errno.EINVAL, f"{path.name} is not a plain file")
            if not lock_file(descriptor):
                raise BusyError(
                    f"another build is writing this folder ({_who(path)})",
                    mend="Wait until it is done, or name another folder",
                    where=Spot(str(path.parent)),
                )
            if is_at(descriptor, path):
                return descriptor
        except BaseException:
            os.close(descriptor)
            raise
        os.close(descriptor)  # who held it took it away meanwhile: once more


def _opened(path: Path) -> int | None:
    flags = getattr(os, "O_NOFOLLOW", 0) | getattr(os, "O_NONBLOCK", 0)
    try:
        return os.open(path, os.O_RDWR | os.O_CREAT | flags, 0o666)
    except OSError as error:
        if error.errno == errno.EROFS or (
            isinstance(error, PermissionError) and not os.access(path.parent, os.W_OK)
        ):
            return None
        if not isinstance(error, PermissionError):
            raise
    return os.open(path, os.O_RDONLY | flags)  # of another user's build


def _words() -> bytes:
    since = time.strftime("%Y-%m-%d %H:%M:%S")
    said = {"process": os.getpid(), "computer": socket.gethostname(), "since": since}
    return json.dumps(said).encode()


def _who(path: Path) -> str:
    """Who holds the lock, as far as the file says it."""
    try:
        with path.open("rb") as file:
            said = json.loads(file.read(_MOST_WORDS))
        computer, process, since = (str(said[k]) for k in ("computer", "process", "since"))
    except (OSError, ValueError, KeyError, TypeError, RecursionError):
        return "it has only begun"
    if computer != socket.gethostname():
        return f"process {process} on {computer}, since {since}"
    if not _lives(
        process
    ):  # the words of one that was killed; its heir has not yet written its own
        return "it has only begun"
    return f"process {process}, since {since}"


if sys.platform == "win32":

    def _lives(process: str) -> bool:
        return process.isdecimal()  # Windows cannot ask a process without ending it

else:

    def _lives(process: str) -> bool:
        try:
            os.kill(int(process), 0)
        except (ProcessLookupError, ValueError, OverflowError):
            return False
        except PermissionError:  # of another user
            return True
        return True
