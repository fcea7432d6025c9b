"""Writing an output folder so that it is never half-written.

New files are first written whole under temporary names in the same folder, then renamed into
place one by one; the manifest comes last.  Whatever interrupts a build, every file that stands in
the folder is whole, and the next build knows which are old.
"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path, PurePosixPath

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
            where=Spot(str(error.filename or folder)),
        ) from error


def prepare(folder: Path) -> None:
    """Make the folder, learn early whether it can be written, clear what a killed build left.

    Raises
    ------
    OutputError
        Where it cannot.
    """
    with _told(folder):
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=folder):
            pass
        for leftover in folder.glob(f"{_FRESH}*"):
            shutil.rmtree(leftover, ignore_errors=True)


def put(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write files (relative name to content) so that each appears whole or not at all.

    Raises
    ------
    OutputError
        Where a file cannot be written; the files that stood before still stand.
    """
    for name in files:
        if PurePosixPath(name).is_absolute() or ".." in PurePosixPath(name).parts:
            raise OutputError(f"'{name}' would be written outside the output folder")
    with _told(folder):
        fresh = Path(tempfile.mkdtemp(prefix=_FRESH, dir=folder))
        try:
            for name, data in files.items():
                target = fresh / name
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(data)
            for name in files:
                (folder / name).parent.mkdir(parents=True, exist_ok=True)
                (fresh / name).replace(folder / name)
        finally:
            shutil.rmtree(fresh, ignore_errors=True)


def remove(folder: Path, names: list[str]) -> None:
    """Take away files that an earlier build wrote and that this one no longer makes."""
    with _told(folder):
        for name in names:
            (folder / name).unlink(missing_ok=True)
        for parent in {(folder / name).parent for name in names}:
            if parent != folder and parent.is_dir() and not any(parent.iterdir()):
                parent.rmdir()
