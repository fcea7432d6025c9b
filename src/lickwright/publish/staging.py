"""Publishing a build: at every moment the output folder holds the former lesson or the new one.

What holds, whatever interrupts a build:

- New files are first written whole into a hidden folder; files that did not change are second
  names of the former version's.  Only when all of them stand, and are on the disk, do they become a
  version (:mod:`lickwright.publish.versions`), by one renaming of their folder.
- Renaming the new entry, ``index.html``, over the old one is the switch.  Before it every link of
  the entry leads into the former version, after it into the new one; both are whole.
- The plain names beside the entry are renewed after the switch.  A build that was killed before
  they all were is brought to its end by the next one, also where nothing else changed.
- Nothing is written over, and nothing removed, that no build wrote: a stranger's file or link
  under a name that the lesson needs stops the build before anything is published.  A file that is
  no longer of the lesson goes only while it is byte for byte what a build wrote.  A manifest's name
  is reserved: what is there and is no plain file is set aside.
- The same bytes in, the same version out; a version that is there already and was damaged is mended
  file by file with the very bytes that its name stands for.

One build at a time writes in a folder (:mod:`lickwright.files.lock`); what lies there of a build
that was killed is swept away by the next.
"""

from __future__ import annotations

import os
import shutil
import stat
import tempfile
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path, PurePosixPath
from types import TracebackType
from typing import Self

from lickwright.errors import OutputError, Spot
from lickwright.files import OutsideError, inside, is_inside, read_plain, reason_of, sync_folder
from lickwright.publish.manifest import (
    MANIFEST_NAME,
    BuildStep,
    digest,
    files_of,
    holds,
    manifest_bytes,
)
from lickwright.publish.versions import (
    ENTRY,
    MADE,
    STEPS,
    Standing,
    entry_page,
    named_version,
    version_of,
    version_path,
    version_steps,
    versions,
)

_FRESH = ".lickwright-new-"


@contextmanager
def _told(folder: Path) -> Iterator[None]:
    """Turns the system's word on a failed write into one sentence."""
    try:
        yield
    except OSError as error:
        raise OutputError(
            f"the output folder cannot be written ({reason_of(error)})",
            mend="Name a folder that you may write to, on a disk with room",
            where=Spot(str(folder)),
        ) from error


def refuse_strangers(folder: Path, names: Iterable[str], stands: Standing) -> None:
    """Stop where a name that a build needs is taken by what no build wrote.

    Raises
    ------
    OutputError
        It names the first file, folder or link in the way.
    """
    for name in (MADE, *names):
        *above, _ = PurePosixPath(name).parents
        for place in (*(str(parent) for parent in reversed(above)), name):
            if not _is_ours(folder, place, stands, folder_wanted=place == MADE or place != name):
                raise OutputError(
                    f"'{place}' is in the way: no build wrote it, and it stays as it is",
                    mend="Move it away, or name another folder",
                    where=Spot(str(folder)),
                )


def _is_ours(folder: Path, name: str, stands: Standing, *, folder_wanted: bool) -> bool:
    """Whether a build may write at a name: it is free, or a build wrote what is there."""
    if not is_inside(folder, name):
        return False
    try:
        mode = os.lstat(folder / name).st_mode
    except FileNotFoundError:
        return True
    if folder_wanted:
        return stat.S_ISDIR(mode)
    if not stat.S_ISREG(mode):
        return False
    return (
        name in stands.ours
        or (name == ENTRY and named_version(folder) is not None)
        or any(holds(folder, name, known) for known in stands.hashes.get(name, ()))
        or _is_in_a_version(folder, name)
    )


def _is_in_a_version(folder: Path, name: str) -> bool:
    """Whether a version holds the same bytes by this name: its manifest may be the damaged part."""
    try:
        known = digest(read_plain(inside(folder, name)))
    except OSError:
        return False
    return any(holds(folder, f"{version_path(v)}/{name}", known) for v in versions(folder))


def unsettled(folder: Path, steps: Mapping[str, BuildStep]) -> list[str]:
    """Plain names that do not stand for these steps' version, which is whole itself."""
    version = version_of(steps)
    home = folder / version_path(version)
    names = [
        name
        for name, known in files_of(steps).items()
        if name != ENTRY and not _stands_for(folder, home, name, known)
    ]
    entry = entry_page(read_plain(home / ENTRY), version)
    if not holds(folder, ENTRY, digest(entry)):
        names.append(ENTRY)
    if not holds(folder, MANIFEST_NAME, digest(manifest_bytes(steps))):
        names.append(MANIFEST_NAME)
    return sorted(names)


def _stands_for(folder: Path, home: Path, name: str, known: str) -> bool:
    """Whether a plain name is the version's file, or a copy of it."""
    try:
        path = inside(folder, name)
        if os.path.samestat(os.lstat(path), os.lstat(home / name)):
            return True
    except (OSError, OutsideError):
        return False
    return holds(folder, name, known)


class Staging:
    """The new files of one build, out of sight until :meth:`publish`.

    Parameters
    ----------
    folder : the output folder, there and held by this build.
    stands : what stands in it.

    Leaving without publishing takes every trace of the new files away.

    Raises
    ------
    OutputError
        Where the folder cannot be written; the files that stood before still stand.
    """

    def __init__(self, folder: Path, stands: Standing) -> None:
        self.folder = folder
        self.stands = stands
        self._fresh = folder
        self._new: set[str] = set()

    def __enter__(self) -> Self:
        with _told(self.folder):
            for leftover in self.folder.glob(f"{_FRESH}*"):  # of a build that was killed
                shutil.rmtree(leftover, ignore_errors=True)
            self._fresh = Path(tempfile.mkdtemp(prefix=_FRESH, dir=self.folder))
            self._lesson.mkdir()  # made with the modes of any folder, unlike the one around it
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        if self._fresh != self.folder:
            shutil.rmtree(self._fresh, ignore_errors=True)

    @property
    def _lesson(self) -> Path:
        return self._fresh / "lesson"

    @property
    def _spare(self) -> Path:
        """Where one file is written before it takes its place."""
        return self._fresh / "spare"

    def add(self, name: str, data: bytes) -> None:
        """Write one file, named relative to the output folder."""
        with _told(self.folder):
            target = inside(self._lesson, name)
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)
        self._new.add(name)

    def publish(self, steps: Mapping[str, BuildStep]) -> None:
        """Make all files of the steps the lesson that the folder holds.

        Parameters
        ----------
        steps : every step; their files were added, or are the standing version's.

        Raises
        ------
        OutputError
            Where the folder cannot be written, or a stranger's file is in the way.
        """
        files = files_of(steps)
        refuse_strangers(self.folder, (ENTRY, *sorted(files)), self.stands)
        version, former = version_of(steps), named_version(self.folder)
        with _told(self.folder):
            self._take_kept(files)
            self.add(STEPS, manifest_bytes(steps))
            self._sync()
            home = self._place(version, {**files, STEPS: digest(manifest_bytes(steps))})
            self._switch(home, version)
            self._renew(home, files)
            self._record(manifest_bytes(steps))
            if former != version:
                _tidy(self.folder, {version, former})

    def _take_kept(self, files: Mapping[str, str]) -> None:
        """Bring the files that did not change in from the version that stands."""
        kept = sorted(files.keys() - self._new)
        for name in kept:
            source = inside(self.folder, f"{version_path(self.stands.version or '')}/{name}")
            target = inside(self._lesson, name)
            target.parent.mkdir(parents=True, exist_ok=True)
            if not _second_name(source, target):
                self._new.add(name)

    def _sync(self) -> None:
        """Push all that is new to the disk."""
        for name in sorted(self._new):
            with (self._lesson / name).open("r+b") as file:
                os.fsync(file.fileno())
        for place, _, _ in os.walk(self._lesson):
            sync_folder(Path(place))

    def _place(self, version: str, files: Mapping[str, str]) -> Path:
        """Make the staged folder a version, or mend the one of its name."""
        home = inside(self.folder, version_path(version))
        if not os.path.lexists(home):
            home.parent.mkdir(exist_ok=True)
            os.rename(self._lesson, home)
            sync_folder(home.parent)
            sync_folder(self.folder)
            return home
        for name, known in sorted(files.items()):
            if not holds(home, name, known):
                target = inside(home, name)
                target.parent.mkdir(parents=True, exist_ok=True)
                os.replace(self._lesson / name, target)
                sync_folder(target.parent)
        return home

    def _switch(self, home: Path, version: str) -> None:
        page = entry_page(read_plain(home / ENTRY), version)
        if not holds(self.folder, ENTRY, digest(page)):
            self._replace(ENTRY, page)
            sync_folder(self.folder)

    def _renew(self, home: Path, files: Mapping[str, str]) -> None:
        """Let the plain names stand for the version; take away those that it has not."""
        for name, known in sorted(files.items()):
            if name == ENTRY or _stands_for(self.folder, home, name, known):
                continue
            target = inside(self.folder, name)
            target.parent.mkdir(parents=True, exist_ok=True)
            _second_name(home / name, self._spare)
            os.replace(self._spare, target)
        for name in sorted(self.stands.hashes.keys() - files.keys()):
            if any(holds(self.folder, name, known) for known in self.stands.hashes[name]):
                _remove(self.folder, name)

    def _record(self, manifest: bytes) -> None:
        """Write down what the plain names stand for, when they all do."""
        if holds(self.folder, MANIFEST_NAME, digest(manifest)):
            return
        path = self.folder / MANIFEST_NAME
        if os.path.lexists(path) and not stat.S_ISREG(os.lstat(path).st_mode):
            number = 1
            while os.path.lexists(aside := self.folder / f"{MANIFEST_NAME}.aside-{number}"):
                number += 1
            os.rename(path, aside)
        self._replace(MANIFEST_NAME, manifest)

    def _replace(self, name: str, data: bytes) -> None:
        with self._spare.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        os.replace(self._spare, self.folder / name)


def _second_name(source: Path, target: Path) -> bool:
    """Give a file a second name; where the file system has none, copy it and say ``False``."""
    try:
        os.link(source, target)
    except OSError:
        target.write_bytes(read_plain(source))
        return False
    return True


def _remove(folder: Path, name: str) -> None:
    """Take a file away, and the folders that held nothing else."""
    inside(folder, name).unlink(missing_ok=True)
    for parent in list(PurePosixPath(name).parents)[:-1]:
        with suppress(OSError):  # not empty: it holds files that are not ours
            (folder / parent).rmdir()


def _tidy(folder: Path, keep: set[str | None]) -> None:
    """Take away the versions that nobody can be reading any more, and nothing else in them."""
    for version in versions(folder):
        if version in keep:
            continue
        home = inside(folder, version_path(version))
        for name in (*sorted(files_of(version_steps(folder, version) or {})), STEPS):
            if name == STEPS and version_steps(folder, version) is None:
                continue  # whatever this is, it is not a manifest of ours
            if is_inside(home, name):
                _remove(home, name)
        with suppress(OSError):
            home.rmdir()
