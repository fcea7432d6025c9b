"""How is a lesson file changed without touching the rest, and kept?

Nouns:

* :class:`LessonDocument`: a lesson file being edited.
* :class:`LessonFile`: a lesson file in a folder.
"""

from __future__ import annotations

from lickwright.lesson.edit.document import LessonDocument
from lickwright.lesson.edit.folder import (
    SUFFIXES,
    LessonFile,
    duplicate_lesson,
    lesson_path,
    list_lessons,
    rename_lesson,
)
from lickwright.lesson.edit.yaml_style import list_entry

__all__ = [
    "SUFFIXES",
    "LessonDocument",
    "LessonFile",
    "duplicate_lesson",
    "lesson_path",
    "list_entry",
    "list_lessons",
    "rename_lesson",
]
