"""A name for a new example that no other has."""

from __future__ import annotations

from lickwright.lesson.file import Lesson

_LONGEST = 80


def free_name(lesson: Lesson, wanted: str) -> str:
    """``wanted``, or the same with a number where an example is called so already."""
    taken = {example.name for example in lesson.examples}
    name, number = wanted[:_LONGEST], 2
    while name in taken:
        end = f" {number}"
        name, number = wanted[: _LONGEST - len(end)] + end, number + 1
    return name
