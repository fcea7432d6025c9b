"""Carrying one lick of a lesson over changes that the lesson does not hold."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import get_args

from lickwright.errors import LessonError, did_you_mean
from lickwright.lesson.compile.examples import Worked, Workshop
from lickwright.lesson.file import (
    CarryWay,
    ExampleEntry,
    Filled,
    Lesson,
    parse_families,
    parse_note_range,
    parse_tones,
)
from lickwright.lick.phrase import parse_landing
from lickwright.lick.rhythm import Meter


def example_named(lesson: Lesson, name: str) -> int:
    """The index of an example of a lesson.

    Raises
    ------
    LessonError
        When the lesson has none of that name.
    """
    names = [example.name for example in lesson.examples]
    if name not in names:
        raise LessonError(
            f"there is no example '{name}' in {lesson.path}",
            mend=did_you_mean(name, names) or f"The examples are: {', '.join(names)}",
        )
    return names.index(name)


#: Keys that a carried example may have from the command line, and who reads their text.
_READ: dict[str, Callable[[str], object]] = {
    "landing": parse_landing,
    "require": parse_tones,
    "avoid": parse_tones,
    "families": parse_families,
    "range": parse_note_range,
}


def carry_example(
    lesson: Lesson,
    name: str,
    changes: str,
    way: str,
    filled: str = "round",
    said: Mapping[str, str | bool] | None = None,
) -> tuple[Worked, Meter]:
    """The example ``name`` carried over ``changes``, and where its bar lines fall.

    Parameters
    ----------
    way, filled : as the keys ``carry`` and ``filled`` of a lesson file.
    said : other keys of a carried example, as the lesson file writes them.

    Raises
    ------
    LessonError
        When the lesson has no such example, or there is no such way.
    TheoryError, NeckError, HandError, RhythmError
        When the changes cannot be read, or the lick cannot be carried over them.
    """
    home = lesson.examples[example_named(lesson, name)]
    ways = get_args(CarryWay)
    if way not in ways:
        raise LessonError(
            f"a lick cannot be carried '{way}'",
            mend=did_you_mean(way, ways) or f"Use one of: {', '.join(ways)}",
        )
    fillings = get_args(Filled)
    if filled not in fillings:
        raise LessonError(
            f"the time of a chord cannot be filled '{filled}'",
            mend=did_you_mean(filled, fillings) or f"Use one of: {', '.join(fillings)}",
        )
    said = dict(said or {})
    for key, value in said.items():
        if key in _READ:
            _READ[key](str(value))  # says what is wrong with it
    entry = ExampleEntry.model_validate(
        {
            "name": f"{name} carried"[:80],
            "lick": name,
            "changes": changes,
            "carry": way,
            **({} if filled == "round" else {"filled": filled}),
            **said,
            **{key: getattr(home, key) for key in ("tempo", "picking") if getattr(home, key)},
        }
    )
    entry = entry.model_copy(update={"key": home.key, "time": home.time})
    with_it = lesson.entry.model_copy(update={"examples": [*lesson.examples, entry]})
    shop = Workshop(replace(lesson, entry=with_it))
    return shop.worked(len(lesson.examples)), shop.meter(entry)
