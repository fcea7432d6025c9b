"""One thing bent: a text, a lesson or a score that means something but for a single place.

What is bent this little comes past the first gate and tries the ones behind it.
"""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Sequence
from random import Random
from typing import Any
from xml.etree import ElementTree
from xml.etree.ElementTree import Element

#: Numbers at the edge of what is allowed, and past it.
EDGES = (
    "0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "12", "16", "17", "24", "25", "32", "36",
    "37", "64", "65", "99", "100", "513", "1000", "-1", "1.5", "1e9", "2147483648",
)  # fmt: skip
_WORD = re.compile(r"[A-Za-z#b♭♯]+|[0-9]+|[^\sA-Za-z0-9]|\s+")


def bent_text(text: str, words: Sequence[str], rng: Random) -> str:
    """A text with one of its words dropped, doubled, moved, or another in its place."""
    parts = _WORD.findall(text) or [""]
    at = rng.randrange(len(parts))
    numbers = [place for place, part in enumerate(parts) if part.isdigit()]
    way = rng.randrange(7)
    if way == 0 and numbers:
        parts[rng.choice(numbers)] = rng.choice(EDGES)
    elif way == 1:
        del parts[at]
    elif way == 2:
        parts.insert(at, parts[at])
    elif way == 3:
        other = rng.randrange(len(parts))
        parts[at], parts[other] = parts[other], parts[at]
    elif way == 4:
        parts[at] = rng.choice(words)
    elif way == 5:
        parts[at] = parts[at].swapcase()
    else:
        parts.insert(at, rng.choice((" ", *words)))
    return "".join(parts)


def bent_columns(text: str, signs: str, rng: Random) -> str:
    """A block with one sign changed, or a column taken out, doubled or put elsewhere."""
    lines = text.split("\n")
    row = rng.randrange(len(lines))
    if rng.random() < 0.5 and lines[row]:
        at = rng.randrange(len(lines[row]))
        lines[row] = lines[row][:at] + rng.choice(signs) + lines[row][at + 1 :]
        return "\n".join(lines)
    at, other = rng.randrange(1, 40), rng.randrange(1, 40)
    way = rng.randrange(3)
    for number, line in enumerate(lines):
        if not line:
            continue
        column = line[at : at + 1]
        short = line[:at] + line[at + 1 :]
        lines[number] = (
            short
            if way == 0
            else line[:at] + column + line[at:]
            if way == 1
            else short[:other] + column + short[other:]
        )
    return "\n".join(lines)


# --- plain data -----------------------------------------------------------------------------------

_ODD_VALUES: tuple[Any, ...] = (
    None, True, False, 0, 1, -1, 2, 24, 37, 1.5, 1e9, "", " ", "x", "0", "-1", [], {}, [None],
    ["x"], {"x": 1}, "1-24", "24-1", "0-0", "3-3", 10**30,
)  # fmt: skip


def bent_data(data: Any, words: Sequence[str], rng: Random) -> Any:
    """Plain data with one value dropped, doubled, exchanged or bent."""
    data = copy.deepcopy(data)
    places = list(_places(data))
    holder, key = rng.choice(places)
    way = rng.randrange(8)
    value = holder[key]
    if way == 0:
        del holder[key]
    elif way == 1 and isinstance(holder, list):
        holder.insert(key, copy.deepcopy(value))
    elif way == 2:
        other, other_key = rng.choice(places)
        holder[key] = copy.deepcopy(other[other_key])
    elif way == 3:
        holder[key] = rng.choice(_ODD_VALUES)
    elif way == 4 and isinstance(holder, dict):
        other_holder, other_key = rng.choice(places)
        holder[str(other_key)] = copy.deepcopy(other_holder[other_key])
    elif way == 5 and isinstance(value, str):
        holder[key] = rng.choice(words)
    elif isinstance(value, str):
        holder[key] = bent_text(value, words, rng)
    elif isinstance(value, int | float):
        holder[key] = json.loads(rng.choice(EDGES))
    return data


def _places(data: Any) -> list[tuple[Any, Any]]:
    """Every place of a tree: what holds the value, and under which key."""
    pairs = data.items() if isinstance(data, dict) else enumerate(data)
    found: list[tuple[Any, Any]] = []
    for key, value in pairs:
        found.append((data, key))
        if isinstance(value, dict | list):
            found += _places(value)
    return found


# --- XML ------------------------------------------------------------------------------------------


def bent_xml(text: str, words: Sequence[str], rng: Random) -> str:
    """A document with one element dropped, doubled, moved, renamed, or another text in it."""
    root = ElementTree.fromstring(text)
    parents = [(parent, at) for parent in root.iter() for at in range(len(parent))]
    parent, at = rng.choice(parents)
    element = parent[at]
    way = rng.randrange(8)
    if way == 0:
        parent.remove(element)
    elif way == 1:
        parent.insert(at, copy.deepcopy(element))
    elif way == 2:
        other, place = rng.choice(parents)
        if other is not element and other not in element.iter():
            parent.remove(element)
            other.insert(place, element)
    elif way == 3:
        element.tag = rng.choice(list(root.iter())).tag
    elif way == 4:
        _set_attribute(element, rng)
    else:
        _set_text([each for each in root.iter() if (each.text or "").strip()], words, rng)
    return ElementTree.tostring(root, encoding="unicode")


def _set_attribute(element: Element, rng: Random) -> None:
    names = [*element.attrib, "type", "number"]
    others = ("start", "stop", "continue", "yes", "no", "up", "down", "", *EDGES)
    element.set(rng.choice(names), rng.choice(others))


def _set_text(filled: list[Element], words: Sequence[str], rng: Random) -> None:
    element = rng.choice(filled)
    others = [each.text or "" for each in filled]
    element.text = rng.choice((rng.choice(EDGES), rng.choice(others), rng.choice(words)))
