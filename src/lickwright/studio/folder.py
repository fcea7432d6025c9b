"""The one folder that the studio reads and writes: lessons in it, built lessons below it."""

from __future__ import annotations

import io
import zipfile
from dataclasses import dataclass
from pathlib import Path

from lickwright.errors import LessonError, Spot
from lickwright.lesson.folder import lesson_path

#: Built lessons lie here, a folder each.
BUILT = "built"


@dataclass(frozen=True, slots=True)
class Folder:
    """A folder and nothing outside it: links that lead out of it are refused too."""

    root: Path

    def lesson(self, name: str) -> Path:
        """The path of a lesson file by its name.

        Raises
        ------
        LessonError
            When the name is not one of a YAML file in this very folder.
        """
        return lesson_path(self.root, name)

    def out(self, name: str) -> Path:
        """Where the lesson file ``name`` is built."""
        return self.root / BUILT / self.lesson(name).stem

    def built_file(self, name: str, inside: str) -> Path:
        """A file of a built lesson.

        Raises
        ------
        LessonError
            When there is none, or the path leads out of the built lesson.
        """
        out = self.out(name).resolve()
        path = (out / inside).resolve()
        hidden = any(part.startswith(".") for part in Path(inside).parts)
        if hidden or not path.is_relative_to(out) or not path.is_file():
            raise LessonError(f"there is no '{inside}' in the built lesson", mend="Build it first")
        return path

    def built_zip(self, name: str) -> bytes:
        """A whole built lesson and its lesson file, in one zip without dates."""
        out = self.out(name)
        if not out.is_dir():
            raise LessonError("the lesson is not built yet", mend="Build it first")
        files = sorted(
            path
            for path in out.rglob("*")
            if path.is_file()
            and not any(part.startswith(".") for part in path.relative_to(out).parts)
        )
        buffer = io.BytesIO()
        with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
            for path, inside in [
                (self.lesson(name), self.lesson(name).name),
                *((path, path.relative_to(out).as_posix()) for path in files),
            ]:
                entry = zipfile.ZipInfo(f"{out.name}/{inside}", (1980, 1, 1, 0, 0, 0))
                entry.compress_type = zipfile.ZIP_DEFLATED
                archive.writestr(entry, path.read_bytes())
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
