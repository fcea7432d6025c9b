"""Writing an output folder so that it is never half-written.

New files are first written whole into a hidden folder beside the old ones; only when all of them
stand are they renamed into place, one by one.  Whatever interrupts a build, every file in the
folder is whole, either old or new, and the manifest (renamed last) tells the next build which.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path, PurePosixPath
from types import TracebackType
from typing import Self

from lickwright.errors import OutputError, Spot

_FRESH = ".lickwright-new-"


@contextmanager
def _told(folder: Path) -> Iterator[None]:
    """Turns the system's word on a failed write into one sentence."""
    try:
        yield
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise OutputError(
            f"the output folder cannot be written ({reason})",
            mend="Name a folder that you may write to, on a disk with room",
            where=Spot(str(folder)),
        ) from error


class Staging:
    """The new files of one build, out of sight until :meth:`publish`.

    Entering makes the output folder and learns early whether it can be written; leaving without
    publishing takes every trace of the new files away.

    Raises
    ------
    OutputError
        Where the folder cannot be written; the files that stood before still stand.
    """

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._names: list[str] = []
        self._fresh: Path | None = None

    def __enter__(self) -> Self:
        with _told(self.folder):
            self.folder.mkdir(parents=True, exist_ok=True)
            for leftover in self.folder.glob(f"{_FRESH}*"):  # of a build that was killed
                shutil.rmtree(leftover, ignore_errors=True)
            self._fresh = Path(tempfile.mkdtemp(prefix=_FRESH, dir=self.folder))
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._fresh is not None:
            shutil.rmtree(self._fresh, ignore_errors=True)

    def add(self, name: str, data: bytes) -> None:
        """Write one file, named relative to the output folder."""
        parts = PurePosixPath(name).parts
        if not parts or PurePosixPath(name).is_absolute() or ".." in parts:
            raise OutputError(f"'{name}' would be written outside the output folder")
        assert self._fresh is not None, "entered"
        with _told(self.folder):
            target = self._fresh / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)
        self._names.append(name)

    def publish(self, gone: list[str]) -> None:
        """Rename the new files into place in the order they came; then remove ``gone``."""
        assert self._fresh is not None, "entered"
        with _told(self.folder):
            for name in self._names:
                (self.folder / name).parent.mkdir(parents=True, exist_ok=True)
                (self._fresh / name).replace(self.folder / name)
            for name in gone:
                (self.folder / name).unlink(missing_ok=True)
            for parent in {(self.folder / name).parent for name in gone}:
                if parent != self.folder and parent.is_dir() and not any(parent.iterdir()):
                    parent.rmdir()
