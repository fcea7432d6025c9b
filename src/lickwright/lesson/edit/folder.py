"""Which lessons does a folder hold, and how is one renamed or copied without leaving it?

Names are plain file names: nothing here reads or writes outside the folder it is given, not
through ``..``, not through a link.
"""

from __future__ import annotations

import os
import re
from dataclasses import dataclass
from pathlib import Path

from lickwright.errors import LessonError, OutputError, Spot
from lickwright.files import (
    TooLargeError,
    drafted_file,
    find_drafts,
    is_inside,
    is_plain_file,
    read_plain,
    reserve,
    write_new,
)
from lickwright.lesson.file import MAX_BYTES, lesson_bytes

SUFFIXES = (".yaml", ".yml")
#: A folder with more lessons than this is listed no further.
MAX_LESSONS = 2_000
_MAX_NAME_BYTES = 120
#: What some file system does not allow in a name, and what a name may not begin or end with.
_BAD_NAME = re.compile(r'[/\\:*?"<>|\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]|^[.\s-]|\s$')
_TITLE = re.compile(rb"^lesson:[^\n]*", re.MULTILINE)


@dataclass(frozen=True, slots=True)
class LessonFile:
    """A lesson file in a folder.

    Attributes
    ----------
    name : its plain name.
    path : where it is.
    title : what its ``lesson:`` line says; None where it has none that can be read.
    changed_s : when it was last changed, in seconds since 1970.
    has_draft : whether an edit waits beside it.
    """

    name: str
    path: Path
    title: str | None
    changed_s: float
    has_draft: bool


def lesson_path(folder: str | os.PathLike[str], name: str) -> Path:
    """The path of a lesson in a folder, whether or not it is there.

    Raises
    ------
    LessonError
        Where the name is no plain name of a YAML file, or leads out of the folder by a link.
    """
    folder = Path(folder)
    spot = Spot(str(folder))
    if _BAD_NAME.search(name) or not name or len(name.encode()) > _MAX_NAME_BYTES:
        raise LessonError(
            "this is not a name for a lesson file",
            mend="Use letters, digits, spaces and dashes, up to 120 characters",
            where=spot,
        )
    path = folder / name
    if path.suffix not in SUFFIXES:
        raise LessonError(
            f"'{name}' does not end with .yaml", mend="Give it the ending .yaml", where=spot
        )
    if not is_inside(folder, name, links=True) or not _is_directly_in(folder, path):
        raise LessonError(
            f"'{name}' is a link that leads out of the folder",
            mend="Copy the file itself into the folder",
            where=spot,
        )
    return path


def list_lessons(folder: str | os.PathLike[str]) -> list[LessonFile]:
    """The lessons in a folder, by name; hidden files, links out of it and huge files left out.

    Raises
    ------
    LessonError
        Where the folder cannot be read or holds more lessons than anyone could scroll through.
    """
    folder = Path(folder)
    try:
        with os.scandir(folder) as entries:
            found = list(entries)
        names = sorted(entry.name for entry in found if _may_be_lesson(entry))
        drafted = {drafted_file(entry) for entry in found}
    except OSError as error:
        raise LessonError(
            f"the folder cannot be read ({(error.strerror or str(error)).lower()})",
            mend="Name a folder that you may read",
            where=Spot(str(folder)),
        ) from error
    if len(names) > MAX_LESSONS:
        raise LessonError(
            f"the folder holds more than {MAX_LESSONS} lessons",
            mend="Part them over several folders",
            where=Spot(str(folder)),
        )
    listed = (_listed(folder, name, name in drafted) for name in names)
    return [lesson for lesson in listed if lesson is not None]


def rename_lesson(folder: str | os.PathLike[str], name: str, new_name: str) -> Path:
    """Rename a lesson in its folder, its drafts with it; nothing is overwritten.

    Raises
    ------
    LessonError
        Where either name is not allowed, the lesson is not there, the new name is taken, or a
        program that has the lesson open keeps edits beside it.
    OutputError
        Where the folder cannot be written.
    """
    old, new = lesson_path(folder, name), lesson_path(folder, new_name)
    _check_there(old)
    drafts = find_drafts(old)
    for draft in drafts:
        if draft.is_held:
            raise LessonError(
                "a program that has this lesson open keeps edits beside it",
                mend="Finish them there, then rename it",
                where=Spot(str(draft.path)),
            )
    reserve(new)
    try:
        os.replace(old, new)
        for draft in drafts:
            tail = draft.path.name.removeprefix(f".{old.name}")
            os.replace(draft.path, new.with_name(f".{new.name}{tail}"))
    except OSError as error:
        if os.path.lexists(old):
            new.unlink(missing_ok=True)
        raise OutputError(
            f"the lesson cannot be renamed ({(error.strerror or str(error)).lower()})",
            mend="Allow writing in the folder",
            where=Spot(str(old)),
        ) from error
    return new


def duplicate_lesson(
    folder: str | os.PathLike[str], name: str, new_name: str | None = None
) -> Path:
    """Copy a lesson in its folder, under ``new_name`` or the first free ``NAME-2.yaml``.

    Raises
    ------
    LessonError, OutputError
        As :func:`rename_lesson` does.
    """
    old = lesson_path(folder, name)
    _check_there(old)
    new = _free(folder, old) if new_name is None else lesson_path(folder, new_name)
    write_new(new, lesson_bytes(old))
    return new


def _is_directly_in(folder: Path, path: Path) -> bool:
    """Whether a path is directly in the folder, links followed."""
    return os.path.dirname(os.path.realpath(path)) == os.path.realpath(folder)


def _may_be_lesson(entry: os.DirEntry[str]) -> bool:
    return entry.name.endswith(SUFFIXES) and not _BAD_NAME.search(entry.name)


def _listed(folder: Path, name: str, has_draft: bool) -> LessonFile | None:
    """A lesson for the list; None for what is no ordinary file inside the folder."""
    path = folder / name
    try:
        if not is_plain_file(path) or not _is_directly_in(folder, path):
            return None
        data = read_plain(path, MAX_BYTES)
        changed_s = path.stat().st_mtime
    except (OSError, TooLargeError):  # gone since the folder was read, or no lesson by its size
        return None
    return LessonFile(name, path, _title(data), changed_s, has_draft)


def _title(data: bytes) -> str | None:
    """What the line ``lesson:`` says, without reading the rest of the file."""
    from ruamel.yaml import YAML
    from ruamel.yaml.error import YAMLError

    line = _TITLE.search(data.removeprefix(b"\xef\xbb\xbf"))
    if line is None:
        return None
    try:
        title = YAML(typ="safe", pure=True).load(line[0].decode("utf-8"))["lesson"]
    except (YAMLError, ValueError, TypeError, KeyError):
        return None
    return str(title) if title else None


def _check_there(path: Path) -> None:
    if not is_plain_file(path):
        raise LessonError("there is no such lesson", mend="Check the name", where=Spot(str(path)))


def _free(folder: str | os.PathLike[str], path: Path) -> Path:
    number = 2
    while True:
        free = lesson_path(folder, f"{path.stem}-{number}{path.suffix}")
        if not os.path.lexists(free):
            return free
        number += 1
