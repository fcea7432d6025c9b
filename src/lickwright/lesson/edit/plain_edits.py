"""What does an edit do to a lesson as plain data?

The functions here change nested dicts and lists in place.  They know nothing of text or files.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from lickwright.errors import LessonError
from lickwright.lesson.file import (
    ExampleEntry,
    GuitarEntry,
    LessonEntry,
    PhraseKeys,
    PinEntry,
    TempoEntry,
    WishKeys,
)

#: The place of a value: keys of maps and indices of lists, from the top.
Keys = tuple[str | int, ...]


def _own_first(entry: type[PhraseKeys] | type[WishKeys]) -> tuple[str, ...]:
    """The keys of an entry, those of a phrase and of a carried line last."""
    later = PhraseKeys.model_fields
    return tuple(sorted(entry.model_fields, key=lambda key: key in later))


_LESSON_KEYS = tuple(LessonEntry.model_fields)
#: As a lesson reads: the performance notes stand below the music.
_EXAMPLE_KEYS = (*(key for key in _own_first(ExampleEntry) if key != "notes"), "notes")


def key_order(keys: Keys) -> Sequence[str]:
    """The order in which the keys of the map at ``keys`` are written; empty where any will do."""
    match keys:
        case ():
            return _LESSON_KEYS
        case ("guitar",):
            return tuple(GuitarEntry.model_fields)
        case ("tempo",) | ("examples", _, "tempo"):
            return tuple(TempoEntry.model_fields)
        case ("examples", _):
            return _EXAMPLE_KEYS
        case ("examples", _, "pins", _):
            return _own_first(PinEntry)
        case _:
            return ()


def set_value(data: dict[str, Any], keys: Keys, value: Any) -> None:
    """Set the value at ``keys``, making the maps on the way that are missing.

    The number of a list's entries is the place of a new one.

    Raises
    ------
    LessonError
        Where the place is inside text or a number, or beyond the end of a list.
    """
    at: Any = data
    for depth, key in enumerate(keys):
        is_last = depth == len(keys) - 1
        if isinstance(at, dict):
            if is_last:
                at[key] = value
            elif at.get(key) is None:
                at[key] = {}
        elif isinstance(at, list) and isinstance(key, int) and 0 <= key <= len(at):
            if key == len(at):
                at.append({})
            if is_last:
                at[key] = value
        else:
            raise _no_place(keys)
        at = at[key]
    if not keys:
        raise _no_place(keys)


def take_out(data: dict[str, Any], keys: Keys) -> None:
    """Take out what stands at ``keys``, if anything does, and the maps that it leaves empty.

    An emptied list stays, and so does an entry of a list.
    """
    holders: list[Any] = []
    at: Any = data
    for key in keys:
        is_here = (
            key in at
            if isinstance(at, dict)
            else isinstance(at, list) and isinstance(key, int) and 0 <= key < len(at)
        )
        if not is_here:
            return
        holders.append(at)
        at = at[key]
    for depth in range(len(keys) - 1, -1, -1):
        del holders[depth][keys[depth]]
        if holders[depth] or not isinstance(holders[depth], dict):
            return
        if depth == 0 or not isinstance(holders[depth - 1], dict):
            return


def examples_of(data: dict[str, Any]) -> list[Any]:
    """The list of examples, made where there is none."""
    if not isinstance(data.get("examples"), list):
        data["examples"] = []
    examples: list[Any] = data["examples"]
    return examples


def example_at(examples: list[Any], i: int) -> dict[str, Any]:
    """Example ``i``, from 0, or a LessonError where there is none that has keys."""
    check_place(i, len(examples))
    example = examples[i]
    if not isinstance(example, dict):
        raise LessonError(
            f"example {i + 1} has no keys", mend="Give it a name and music in the text"
        )
    return example


def check_place(i: int, count: int) -> None:
    """Raise a LessonError where ``i`` is not one of ``count`` places."""
    if not 0 <= i < count:
        raise LessonError(f"there is no place {i + 1}", mend=f"Name one from 1 to {count}")


def rename(examples: list[Any], i: int, name: str) -> None:
    """Rename an example, and wherever it is carried further down.

    Raises
    ------
    LessonError
        Where the name is empty or another example has it.
    """
    example = example_at(examples, i)
    old = example.get("name")
    if old == name:
        return
    check_name(examples, name)
    example["name"] = name
    for later in examples[i + 1 :]:
        if isinstance(later, dict) and old is not None and later.get("lick") == old:
            later["lick"] = name


def check_name(examples: list[Any], name: str) -> None:
    """Raise a LessonError where no new example can have this name."""
    if not name.strip():
        raise LessonError("the name is empty", mend="Write one")
    if name in _names(examples):
        raise LessonError(f"an example is named '{name}' already", mend="Choose another name")


def free_name(examples: list[Any], i: int) -> str:
    """A name for a copy of example ``i`` that no example has."""
    name, names = example_at(examples, i).get("name", "Example"), _names(examples)
    number = 2
    while f"{name} ({number})" in names:
        number += 1
    return f"{name} ({number})"


def _names(examples: list[Any]) -> set[str]:
    return {str(example.get("name")) for example in examples if isinstance(example, dict)}


def _no_place(keys: Keys) -> LessonError:
    name = ", ".join(map(str, keys))
    return LessonError(
        f"a lesson has no place ({name})", mend="Name keys and places that the file has"
    )
