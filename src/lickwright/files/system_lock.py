"""Locks of the operating system on open files: one holder, until it lets go or ends.

The system frees a lock when the descriptor is closed or its process ends, however that comes.
Two descriptors of one process shut each other out, too.
"""

from __future__ import annotations

import errno
import os
import sys
from contextlib import suppress
from pathlib import Path

#: Windows locks bytes of a file and then lets nobody read them: one far behind the words.
_LOCKED_BYTE = 1 << 30

if sys.platform == "win32":
    import msvcrt

    def lock_file(descriptor: int) -> bool:
        """Take the lock on an open file; false where another has it.

        Raises
        ------
        OSError
            Where the disk knows no locks.
        """
        os.lseek(descriptor, _LOCKED_BYTE, os.SEEK_SET)
        try:
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        except OSError as error:
            if error.errno in (errno.EACCES, errno.EDEADLK):
                return False
            raise
        finally:
            os.lseek(descriptor, 0, os.SEEK_SET)
        return True

    def is_locked(descriptor: int) -> bool:
        """Whether another has the lock on an open file; the own descriptor may hold none.

        Raises
        ------
        OSError
            Where the disk knows no locks.
        """
        if not lock_file(descriptor):
            return True
        os.lseek(descriptor, _LOCKED_BYTE, os.SEEK_SET)
        msvcrt.locking(descriptor, msvcrt.LK_UNLCK, 1)
        return False

    def remove_locked(path: Path, descriptor: int) -> None:
        """Let go of a file, and take it away unless another has it by now."""
        os.close(descriptor)
        with suppress(OSError):  # open in another process, which then holds it
            path.unlink()

else:
    import fcntl

    def lock_file(descriptor: int) -> bool:
        """Take the lock on an open file; false where another has it.

        Raises
        ------
        OSError
            Where the disk knows no locks.
        """
        return _flock(descriptor, fcntl.LOCK_EX)

    def is_locked(descriptor: int) -> bool:
        """Whether another has the lock on an open file; the own descriptor may hold none.

        It asks for a share, so that two who look do not take each other for the holder.

        Raises
        ------
        OSError
            Where the disk knows no locks.
        """
        return not _flock(descriptor, fcntl.LOCK_SH)

    def _flock(descriptor: int, kind: int) -> bool:
        try:
            fcntl.flock(descriptor, kind | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True

    def remove_locked(path: Path, descriptor: int) -> None:
        """Let go of a file, and take it away unless another has put its own there by now."""
        with suppress(OSError):  # taken away by hand, or the folder may no longer be written
            if is_at(descriptor, path):
                path.unlink()
        os.close(descriptor)


def is_at(descriptor: int, path: Path) -> bool:
    """Whether a path still names the file that is open."""
    try:
        return os.path.samestat(os.fstat(descriptor), os.stat(path, follow_symlinks=False))
    except FileNotFoundError:
        return False
