"""Lessons that mean something, made from the schema of the lesson file.

Lengths, numbers and choices come from the JSON Schema, so that a new key is tried as soon as it
has one; a key that holds text of the trade takes its grammar from :data:`TRADE`, and one that has
none there ends the trial at once.
"""

from __future__ import annotations

import json
import random
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache, lru_cache
from typing import Any

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy

from lickwright.errors import LickwrightError
from lickwright.lesson.file.entries import ANY_EXAMPLE, KEYS_BY_KIND
from lickwright.lesson.file.parts import OWN_KEYS
from lickwright.lesson.file.schema import lesson_schema
from lickwright.lesson.file.wishes import WISHES
from lickwright.lick.notes import PartLink
from lickwright.neck.instrument import Guitar
from lickwright.neck.tunings import parse_tuning

from . import grammar
from .grammar import often, pick, whole
from .tab_lines import tabs

_PROSE = st.one_of(
    st.sampled_from(
        (
            "Learn the two shapes first, **each on its own**, then the join.",
            "# Before you play\n\n- slowly\n- *loudly*\n\n> Let it ring.\n",
            "See [the plan](#plan) and `F#m7`.\n\n| a | b |\n|---|---|\n| 1 | 2 |\n",
            "1. Down.\n2. Up: 'so', \"so\" & <so>.\n\n    a block\n",
        )
    ),
    st.text(st.characters(codec="utf-8", exclude_categories=("Cc", "Cs", "Cn")), max_size=40),
)
_NAMES = st.one_of(
    st.text("abcdefgh ÄéЖ漢#:'-&", min_size=1, max_size=12).filter(lambda text: text.strip()),
    st.sampled_from(("The pair", "Own notes", "In fives", "yes", "12", "~", "{x}", "- a")),
)

#: The keys that hold a text of the trade.
TRADE: Mapping[str, SearchStrategy[Any]] = {
    "key": grammar.keys(),
    "time": grammar.times(),
    "tuning": grammar.tunings(),
    "scale_length": grammar.scale_lengths(),
    "over": grammar.notes(),
    "under": grammar.chords(),
    "meant": st.lists(st.sampled_from(("changes", "implies", "implies bar 2")), max_size=2),
    "swing": st.sampled_from(("straight", "by tempo", "2:1", "16ths 3:2")),
    "trills": st.dictionaries(st.sampled_from(("1-2", "3-4")), st.integers(4, 9), max_size=2),
    "implies": grammar.chords(),
    "triads": st.lists(grammar.triads(), min_size=1, max_size=4),
    "frets": st.one_of(grammar.ranges(1, 17, 5), st.lists(grammar.ranges(1, 17, 5), max_size=1)),
    "strings": grammar.ranges(1, 6, 3),
    "contour": grammar.contours(),
    "rhythm": grammar.rhythms(),
    "strokes": grammar.strokes(),
    "fingers": grammar.fingers(),
    "lasts": st.sampled_from(("half a bar", "a bar", "2 bars", "as written")),
    "mirror": st.just(1),
    "repeat": st.just(1),
    "answer": st.just(1),
    "vary": st.just(1),
    "pickup": grammar.fractions(),
    "landing": st.sampled_from(("3", "guide tone on 1", "chord tone for 2", "b7 on 2", "F#")),
    "cells": st.sampled_from(("1", "2", "3 + 3 + 2", "5")),
    "approach": st.sampled_from(("half step below", "scale step above", "enclosure")),
    "displaced": st.sampled_from(("e", "s", "q")),
    "require": st.sampled_from(("9", "3 b7")),
    "avoid": st.sampled_from(("11", "b9")),
    "families": st.sampled_from(("major minor", "sus4 diminished")),
    "range": st.sampled_from(("D3-A5", "G3-E6")),
    "changes": grammar.changes(4),
    "tab": tabs().map(lambda made: made.text),
    "lick": _NAMES,
    "name": _NAMES,
    "lesson": _NAMES,
    "teacher": _NAMES,
    "text": _PROSE,
    "notes": _PROSE,
    "closing": _PROSE,
}


@cache
def _definitions() -> dict[str, Any]:
    schema = lesson_schema()
    return {"LessonEntry": schema, **schema["$defs"]}


def properties(entry: str) -> dict[str, Any]:
    """What the schema says of each key of an entry."""
    described: dict[str, Any] = _definitions()[entry]["properties"]
    return described


def every_key() -> set[str]:
    """All keys that a lesson can have, each with the entry that it belongs to."""
    return {f"{entry}.{key}" for entry in _definitions() for key in properties(entry)}


@cache
def values(entry: str, key: str) -> SearchStrategy[Any]:
    """Values that a key of an entry may have."""
    return _values(key, properties(entry)[key])


def _values(key: str, schema: Mapping[str, Any]) -> SearchStrategy[Any]:
    """Values that the schema allows.

    Raises
    ------
    KeyError
        For a key of text that has no grammar in :data:`TRADE`.
    """
    ways = [each for each in schema.get("anyOf", ()) if each.get("type") != "null"]
    is_list_of_words = any("enum" in each for each in (schema, *ways))
    if key in TRADE and schema.get("type") not in ("integer", "number") and not is_list_of_words:
        return TRADE[key]
    if ways:
        return st.one_of([_values(key, each) for each in ways])
    if "$ref" in schema:
        return entries(schema["$ref"].rpartition("/")[2])
    if "enum" in schema:
        return st.sampled_from(schema["enum"])
    if "const" in schema:
        return st.just(schema["const"])
    low, high = schema.get("minimum"), schema.get("maximum")
    made: dict[str, Callable[[], SearchStrategy[Any]]] = {
        "integer": lambda: st.integers(low, high),
        "number": lambda: st.floats(low, high).map(lambda number: round(number, 2)),
        "boolean": st.booleans,
        "array": lambda: st.lists(_values(key, schema["items"]), max_size=4),
    }
    if schema.get("type") in made:
        return made[schema["type"]]()
    raise KeyError(f"the key '{key}' has no grammar in TRADE")


#: Entries whose keys never contradict one another.
_FREE = {"FilmEntry", "PlayerEntry", "SoundEntry"}


@lru_cache(maxsize=256)
@st.composite
def entries(draw: DrawFn, entry: str) -> dict[str, Any]:
    """Some of the keys of an entry, each with a value that it may have."""
    described = properties(entry)
    chosen = _some(draw, sorted(described), 2 * len(described) if entry in _FREE else 4)
    data = {key: draw(values(entry, key)) for key in chosen}
    if "slow" in data and "target" in data and data["slow"] > data["target"]:
        data["slow"], data["target"] = data["target"], data["slow"]
    if entry == "TempoEntry" and len(data) == 1:
        data = {"slow": min(data.get("slow", 66), 112)} if "slow" in data else data
        data = {key: max(value, 66) if key == "target" else value for key, value in data.items()}
    return data


def _some(draw: DrawFn, options: list[str], most: int) -> list[str]:
    """Up to so many of some words, each once."""
    return list(dict.fromkeys(pick(draw, options) for _ in range(whole(draw, 0, most))))


@dataclass(slots=True)
class _Draft:
    """The lesson being made: what later examples must agree with."""

    guitar: Guitar
    time: str
    key: str
    examples: list[dict[str, Any]]


@lru_cache(maxsize=256)
@st.composite
def lessons(draw: DrawFn, most_examples: int = 3) -> dict[str, Any]:
    """A lesson as plain data."""
    described = properties("LessonEntry")
    data: dict[str, Any] = {"lesson": draw(_NAMES), "key": draw(grammar.keys())}
    others = sorted(set(described) - {"lesson", "key", "examples"})
    for key in _some(draw, others, 7):
        data[key] = draw(values("LessonEntry", key))
    draft = _Draft(_guitar(data.get("guitar", {})), data.get("time", "4/4"), data["key"], [])
    for _ in range(whole(draw, 1, most_examples)):
        draft.examples.append(_examples(draw, draft))
    return {**data, "examples": draft.examples}


def _guitar(data: Mapping[str, Any]) -> Guitar:
    """The instrument of a lesson; the usual one where the drawn numbers allow none."""
    try:
        return Guitar(
            open_strings=parse_tuning(data.get("tuning", "standard")),
            frets=data.get("frets", 24),
            capo=data.get("capo", 0),
        )
    except LickwrightError:
        return Guitar()


def _examples(draw: DrawFn, draft: _Draft) -> dict[str, Any]:
    taken = {example["name"] for example in draft.examples}
    name = draw(_NAMES)
    while name in taken:
        name += "'"
    kinds = (
        ["triads", "triads", "parts", "tab"]
        + ["carried"] * 4 * bool(draft.examples)
        + ["eased"] * bool(draft.examples)
    )
    kind = pick(draw, kinds)
    making = {
        "triads": _composed,
        "parts": _in_parts,
        "tab": _tab,
        "carried": _carried,
        "eased": _eased,
    }[kind]
    data = {"name": name, **making(draw, draft)}
    # The claim is checked later; a key, a time or a tempo of its own must fit what was made.
    others = ANY_EXAMPLE - {"name", "time"}
    for key in _some(draw, sorted(others), 2):
        data[key] = draw(values("ExampleEntry", key))
    if "strokes" in data and often(draw, 9):  # they say the first one
        data.pop("start", None)
    if "under" in data and often(draw, 9):  # one thing says what sounds below
        for key in ("over", "changes"):
            data.pop(key, None)
    return data


def _some_of(draw: DrawFn, kind: str, settled: frozenset[str]) -> dict[str, Any]:
    """Some of the keys that a kind of example may have besides what is settled."""
    others = sorted(KEYS_BY_KIND[kind] - settled)
    chosen = _some(draw, others, max(3, len(others) // 3))
    return {key: draw(values("ExampleEntry", key)) for key in chosen}


def _composed(draw: DrawFn, draft: _Draft) -> dict[str, Any]:
    last = draft.guitar.last_fret
    triads = [draw(grammar.triads()) for _ in range(whole(draw, 1, 3))]
    data: dict[str, Any] = {"triads": triads, "over": draw(grammar.notes())}
    data |= _some_of(draw, "triads", frozenset({"triads", "over", "frets", "strings", "bars"}))
    if often(draw, 5):
        low = whole(draw, 1, max(1, min(12, last - 5)))
        windows = [draw(grammar.ranges(low, min(low + 8, last), 4)) for _ in triads]
        data["frets"] = windows if often(draw, 3) else windows[0]
    if often(draw, 3):
        data["strings"] = draw(grammar.ranges(1, draft.guitar.string_count, 3))
    if often(draw, 2):
        data["bars"] = whole(draw, 1, 4)
    if often(draw, 2):
        data["time"] = draw(grammar.times())
    return data


#: Pairs that have a sweep anywhere; what parts do with one another is tried on them.
_PAIRS = (("C", "Am"), ("C", "Em"), ("D", "F#m"), ("F", "Dm"), ("Bdim", "Dm"))


def _in_parts(draw: DrawFn, draft: _Draft) -> dict[str, Any]:
    """A lick of parts, of which the later ones mostly take up an earlier one."""
    made = pick(draw, ["merged", "run by run"])
    data: dict[str, Any] = {"joined": made, "over": draw(grammar.notes())}
    if often(draw, 3):
        data["rhythm"] = pick(draw, ["8ths", "16ths", "e e q", "t e e e q"])
    parts = [_part(draw, None)]
    for _ in range(whole(draw, 0, 2)):
        link = pick(draw, [None, *PartLink])
        part = _part(draw, link)
        if link is not None:
            named = parts[0].get("name", 1)
            part = {link.value: pick(draw, [named, whole(draw, 1, len(parts))]), **part}
        parts.append(part)
    return {**data, "parts": parts}


def _part(draw: DrawFn, link: PartLink | None) -> dict[str, Any]:
    """The keys of one part: a few, of those that its link leaves to it."""
    links = {each.value for each in PartLink}
    keys = set(properties("PartEntry")) - links if link is None else OWN_KEYS[link]
    part = {} if link is not None else {"triads": list(pick(draw, _PAIRS))}
    # Where and how a part is struck seldom fits what was drawn for the others.
    strict = {"frets", "strings", "strokes"}
    for key in _some(draw, sorted(keys - {"triads"} - strict), 2):
        part[key] = draw(values("PartEntry", key))
    if keys & strict and often(draw, 3):
        for key in _some(draw, sorted(keys & strict), 2):
            part[key] = draw(values("PartEntry", key))
    if link is PartLink.VARY:
        part["contour"] = pick(draw, ["down", "up", "up down"])
    return part


def _tab(draw: DrawFn, draft: _Draft) -> dict[str, Any]:
    """A tab whose rhythm fills its bars."""
    beats, unit = map(int, draft.time.split("/"))
    length = Fraction(4 * beats, unit)
    if length > 16:
        return {"tab": draw(tabs(draft.guitar, (4,))).text, "rhythm": "q", "over": "D"}
    bars = [draw(grammar.filled(length)) for _ in range(whole(draw, 1, 3))]
    data: dict[str, Any] = {}
    if often(draw, 2) and length > 1:
        data["pickup"] = "1"
        bars.insert(0, draw(grammar.filled(Fraction(4, unit))))
    data["tab"] = draw(tabs(draft.guitar, tuple(count for _, count in bars))).text
    data["rhythm"] = " | ".join(rhythm for rhythm, _ in bars)
    data |= _some_of(draw, "tab", frozenset({"tab", "rhythm", "pickup", "changes"}))
    if "over" not in data or often(draw, 3):
        chords = [draw(grammar.plain_chords()) for _ in bars]
        data["changes"] = " | ".join(chords)
    return data


def _carried(draw: DrawFn, draft: _Draft) -> dict[str, Any]:
    data = {
        "lick": pick(draw, [example["name"] for example in draft.examples]),
        # To carry an idea costs a good part of a second for every other chord.
        "changes": _few_chords(draw) if often(draw, 7) else draw(grammar.changes(2)),
    }
    data |= _some_of(draw, "lick", frozenset({"lick", "changes", "level", "pins"}))
    if often(draw, 3):
        wishes = _some(draw, sorted(WISHES), 3)
        data |= {key: draw(values("ExampleEntry", key)) for key in wishes}
    if often(draw, 5):
        last = whole(draw, 1, 2)
        data["pins"] = {bar: _pin(draw) for bar in range(1, last + 1)}
    if ("pins" in data or WISHES & set(data)) and often(draw, 8):
        data["carry"] = "idea"  # the way that wishes and most pins are for
    return data


def _pin(draw: DrawFn) -> dict[str, Any]:
    """A pin with some of its keys, each as likely as the others.

    Hypothesis draws numbers near 0 and powers of two more often: they only start a choice.
    """
    keys = sorted(properties("PinEntry"))
    chosen = random.Random(draw(st.integers(0, 2**32))).sample(keys, whole(draw, 2, 5))
    return {key: draw(values("PinEntry", key)) for key in chosen}


def _few_chords(draw: DrawFn) -> str:
    """Two or three bars of a chord each, that the reader of changes takes."""
    bars = [draw(grammar.plain_chords()) for _ in range(whole(draw, 1, 3))]
    return " | ".join(bars) + (" | %" if often(draw, 2) else "")


def _eased(draw: DrawFn, draft: _Draft) -> dict[str, Any]:
    composed = [each["name"] for each in draft.examples if "triads" in each and "tab" not in each]
    names = composed or [example["name"] for example in draft.examples]
    level = values("ExampleEntry", "level")
    return {"lick": pick(draw, names), "level": draw(level)}


# --- as YAML --------------------------------------------------------------------------------------

_PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9]*(?: [A-Za-z0-9]+)*")
_NOT_TEXT = frozenset(("true", "false", "yes", "no", "on", "off", "null", "y", "n"))


def yaml_text(data: Any, *, flow: bool = False) -> str:
    """Plain data as YAML: blocks as a teacher writes them, or all of it in brackets."""
    if flow:
        return json.dumps(data, ensure_ascii=False) + "\n"
    return "".join(f"{line}\n" for line in _block(data, 0))


def _block(data: Any, indent: int) -> list[str]:
    pad = " " * indent
    if isinstance(data, dict) and data:
        return [line for key, value in data.items() for line in _pair(key, value, indent)]
    if isinstance(data, list) and data and any(isinstance(each, dict) for each in data):
        lines: list[str] = []
        for each in data:
            inner = _block(each, indent + 2)
            lines += [f"{pad}- {inner[0].lstrip(' ')}", *inner[1:]]
        return lines
    return [pad + _scalar(data)]


def _pair(key: Any, value: Any, indent: int) -> list[str]:
    pad = f"{' ' * indent}{_scalar(key)}:"
    if isinstance(value, str) and re.fullmatch(r"(?:[^\s\x00-\x1f\x7f-\x9f][ -~]*\n)+", value):
        return [f"{pad} |", *(f"{' ' * (indent + 2)}{line}" for line in value.splitlines())]
    nested = isinstance(value, dict) or (
        isinstance(value, list) and any(isinstance(each, dict) for each in value)
    )
    if nested and value:
        return [pad, *_block(value, indent + 2)]
    return [f"{pad} {_scalar(value)}"]


def _scalar(value: Any) -> str:
    if isinstance(value, str) and _PLAIN.fullmatch(value) and value.lower() not in _NOT_TEXT:
        return value
    return json.dumps(value, ensure_ascii=False)
