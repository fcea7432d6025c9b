"""The one folder that the studio reads and writes: lessons in it, built lessons below it."""

from __future__ import annotations

import io
import os
import zipfile
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from lickwright.errors import LessonError, Spot
from lickwright.files import inside, is_inside, is_plain_file, read_plain
from lickwright.lesson.edit import SUFFIXES, lesson_path
from lickwright.publish import current_files

#: Built lessons lie here, a folder each.
BUILT = "built"


class NoLessonError(LessonError):
    """There is no lesson file of this name in the folder."""


@dataclass(frozen=True, slots=True)
class Folder:
    """A folder and nothing outside it: links that lead out of it are refused too."""

    root: Path

    def lesson(self, name: str) -> Path:
        """The path of a lesson file by its name, whether or not it is there.

        Raises
        ------
        NoLessonError
            When the name is not one of a YAML file in this very folder.
        """
        try:
            return lesson_path(self.root, name)
        except LessonError as error:
            raise NoLessonError(error.what, mend=error.mend, where=error.where) from error

    def found_lesson(self, name: str) -> Path:
        """The path of a lesson file that is there.

        Raises
        ------
        NoLessonError
            Where there is none, or what has its name is no plain file.
        """
        path = self.lesson(name)
        if not is_plain_file(path):
            raise NoLessonError(
                "there is no such lesson", mend="Check the name", where=Spot(str(path))
            )
        return path

    def out(self, name: str) -> Path:
        """Where the lesson file ``name`` is built: no two names have one place.

        It is the name without ``.yaml``; a name that would end like a lesson's without it, and a
        name that ends otherwise, is taken whole.  So ``small.yaml`` is built in ``built/small``,
        ``small.yml`` in ``built/small.yml`` and ``small.yml.yaml`` in ``built/small.yml.yaml``.
        """
        path = self.lesson(name)
        is_short = path.suffix == SUFFIXES[0] and not path.stem.endswith(SUFFIXES)
        return self.root / BUILT / (path.stem if is_short else path.name)

    def build_place(self, name: str) -> Path:
        """Where the lesson file ``name`` may be built: a place that no link leads out of.

        Raises
        ------
        LessonError
            Where it is a link, or lies below one.
        """
        out = self.out(name)
        if not is_inside(self.root, self._within(out)):
            raise LessonError(
                f"a link stands where '{name}' would be built",
                mend="Move the link away",
                where=Spot(str(out)),
            )
        return out

    def is_built(self, name: str, page: str) -> bool:
        """Whether the page of a built lesson is there to be looked at."""
        out = self.out(name)
        return is_inside(self.root, f"{self._within(out)}/{page}") and is_plain_file(out / page)

    def _within(self, path: Path) -> str:
        return path.relative_to(self.root).as_posix()

    def built_file(self, name: str, within: str) -> Path:
        """A file of a built lesson; no link on the way to it is followed.

        Raises
        ------
        LickwrightError
            When there is none, or the path leads anywhere else.
        """
        path = inside(self.root, f"{self._within(self.out(name))}/{within}")
        if _is_hidden(within) or not is_plain_file(path):
            raise LessonError("there is no such file in the built lesson", mend="Build it first")
        return path

    def built_zip(self, name: str) -> bytes:
        """A whole built lesson and its lesson file, in one zip without dates.

        Raises
        ------
        LickwrightError
            When the lesson is not built.
        """
        lesson = self.found_lesson(name)
        out = self.out(name)
        if not is_inside(self.root, self._within(out)) or not out.is_dir():
            raise LessonError("the lesson is not built yet", mend="Build it first")
        # One version, whole; a folder that no build of today filled has none.
        files = current_files(out) or plain_files(out)
        return packed(out.name, [(lesson.name, lesson), *files])


def plain_files(out: Path) -> Sequence[tuple[str, Path]]:
    """The files below a folder by name; links, hidden ones and what is no plain file left out."""
    found = []
    for place, folders, files in os.walk(out):
        folders[:] = [name for name in folders if not name.startswith(".")]
        here = Path(place)
        found += [
            ((here / name).relative_to(out).as_posix(), here / name)
            for name in files
            if not name.startswith(".") and not (here / name).is_symlink()
        ]
    return sorted((name, path) for name, path in found if is_plain_file(path))


def packed(folder: str, files: Iterable[tuple[str, Path]]) -> bytes:
    """Files in one zip, below one folder, without dates.

    Parameters
    ----------
    folder : the folder's name in the zip.
    files : the name of each in that folder, and where it is.
    """
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, path in files:
            entry = zipfile.ZipInfo(f"{folder}/{name}", (1980, 1, 1, 0, 0, 0))
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, read_plain(path))
    return buffer.getvalue()


def open_folder(path: Path) -> Folder:
    """The folder that the studio works in, made where it is missing.

    Raises
    ------
    LessonError
        When it cannot be made or is not a folder.
    """
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise LessonError(
            f"the folder cannot be used ({(error.strerror or str(error)).lower()})",
            mend="Name a folder that you may write to",
            where=Spot(str(path)),
        ) from error
    return Folder(path.resolve())


def _is_hidden(name: str) -> bool:
    return any(part.startswith(".") for part in name.split("/"))
