"""How does the text of a lesson become a tree of values, each with the marks of where it stands?

libyaml reads the text; the tree is put together here from what it finds, piece by piece, so that
a text that is nested too deep is refused before the rest of it is read, and a name (``&name``)
may be given again, as YAML allows.  Words without quotes are read as YAML 1.2 has it: ``on`` and
``12:30`` are text, ``010`` is ten, ``0o10`` is eight.
"""

from __future__ import annotations

import re
from typing import Any

from yaml import (
    AliasEvent,
    CSafeLoader,
    MappingEndEvent,
    MappingNode,
    MappingStartEvent,
    MarkedYAMLError,
    Node,
    ScalarEvent,
    ScalarNode,
    SequenceEndEvent,
    SequenceNode,
    StreamEndEvent,
)

#: Deeper than this no lesson is.
MAX_DEPTH = 12

_TAG = "tag:yaml.org,2002:"
STR, INT, FLOAT, BOOL, NULL, MERGE = (
    _TAG + kind for kind in ("str", "int", "float", "bool", "null", "merge")
)
MAP, SEQ = _TAG + "map", _TAG + "seq"
#: Tags of words that are neither text nor a number, and of YAML's older kinds of collections.
_OTHER = _TAG + "other"
_OLD_KINDS = frozenset(_TAG + kind for kind in ("set", "omap", "pairs"))

#: What a word without quotes may be, by its first character; YAML 1.2.2, section 10.3.2, and
#: what the reader of edits takes on top of it: ``_`` between digits, ``0b11``, dates, ``<<``.
_SIGNED = "-+0123456789"
_WORDS: tuple[tuple[str, str, str], ...] = (
    (BOOL, "tTfF", r"true|True|TRUE|false|False|FALSE"),
    (
        FLOAT,
        _SIGNED + ".",
        r"[-+]?[0-9][0-9_]*\.[0-9_]*(?:[eE][-+]?[0-9]+)?"
        r"|[-+]?[0-9][0-9_]*[eE][-+]?[0-9]+"
        r"|[-+]?\.[0-9_]+(?:[eE][-+][0-9]+)?"
        r"|[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN)",
    ),
    (
        INT,
        _SIGNED,
        r"[-+]?0b[0-1_]+|[-+]?0o?[0-7_]+|[-+]?[0-9_]+|[-+]?0x[0-9a-fA-F_]+",
    ),
    (NULL, "~nN", r"~|null|Null|NULL"),
    (MERGE, "<", r"<<"),
    (_OTHER, "=", r"="),
    (
        _OTHER,
        "0123456789",
        r"[0-9]{4}-[0-9]{2}-[0-9]{2}"
        r"|[0-9]{4}-[0-9]{2}-[0-9]{2}(?:[Tt]|[ \t]+)[0-9]{1,2}:[0-9]{2}:[0-9]{2}(?:\.[0-9]*)?"
        r"(?:[ \t]*(?:Z|[-+][0-9]{1,2}(?::[0-9]{2})?))?",
    ),
)
_BY_FIRST = {
    first: [(tag, re.compile(pattern)) for tag, firsts, pattern in _WORDS if first in firsts]
    for first in {char for _, firsts, _ in _WORDS for char in firsts}
}
_BASES = {"0b": 2, "0o": 8, "0x": 16}
_BOOLS = {"true": True, "false": False}
#: libyaml follows YAML 1.1 and breaks lines here; YAML 1.2.2, section 5.4, does not.
_NO_BREAKS = "\x85\u2028\u2029"
#: What libyaml says of brackets that are open by the thousand, before it gives the first of them.
_ITS_OWN_LIMIT = "exceeded maximum nesting depth"
_PRIVATE_USE = range(0xE000, 0xF8FF)


class TooDeepError(Exception):
    """A value deeper than :data:`MAX_DEPTH`; ``line`` counts from 1."""

    def __init__(self, line: int) -> None:
        self.line = line


def compose(text: str) -> Node | None:
    """The tree of a text: nodes with a tag, a value and the marks where they start and end.

    Returns
    -------
    The root; None for an empty text.  An alias is the very node of its anchor.

    Raises
    ------
    TooDeepError
    yaml.YAMLError, ValueError
        Where the text is not YAML.
    """
    back = _stand_ins(text)
    loader = CSafeLoader(text.translate({ord(back[char]): char for char in back}))
    try:
        return _Composer(loader, str.maketrans(back)).document()
    except MarkedYAMLError as error:
        if error.problem == _ITS_OWN_LIMIT:
            raise TooDeepError(error.problem_mark.line + 1) from error
        raise
    finally:
        loader.dispose()


def word_tag(word: str) -> str:
    """The tag of a word without quotes."""
    if not word:
        return NULL
    for tag, pattern in _BY_FIRST.get(word[0], ()):
        if pattern.fullmatch(word):
            return tag
    return STR


def scalar_value(node: ScalarNode) -> Any:
    """The text, number, true, false or None that a node stands for.

    Raises
    ------
    KeyError
        Where its tag is none of these.
    ValueError
        Where it is not what its tag says.
    """
    return _READ[node.tag](node.value)


def _stand_ins(text: str) -> dict[str, str]:
    """Characters that ``text`` does not have, each with the one that it stands for."""
    needed = [char for char in _NO_BREAKS if char in text]
    free = (chr(code) for code in _PRIVATE_USE if chr(code) not in text)
    return {stand_in: char for char, stand_in in zip(needed, free, strict=False)}


class _Composer:
    """Puts the tree of one document together."""

    def __init__(self, loader: CSafeLoader, back: dict[int, str]) -> None:
        self.next = loader.get_event
        self.back = back
        self.anchors: dict[str, Node] = {}

    def document(self) -> Node | None:
        self.next()
        if type(self.next()) is StreamEndEvent:
            return None
        root = self.node(self.next(), 0)
        self.next()
        after = self.next()
        if type(after) is not StreamEndEvent:
            raise MarkedYAMLError(problem="another document begins", problem_mark=after.start_mark)
        return root

    def node(self, event: Any, depth: int) -> Node:
        kind = type(event)
        if kind is AliasEvent:
            if event.anchor not in self.anchors:
                raise MarkedYAMLError(
                    problem=f"no value is named '&{event.anchor}' above",
                    problem_mark=event.start_mark,
                )
            return self.anchors[event.anchor]
        if depth > MAX_DEPTH:
            raise TooDeepError(event.start_mark.line + 1)
        if kind is ScalarEvent:
            return self.scalar(event)
        return self.collection(event, depth)

    def scalar(self, event: Any) -> ScalarNode:
        value = event.value.translate(self.back) if self.back else event.value
        tag = event.tag
        if tag is None or tag == "!":
            tag = STR if event.style else word_tag(value)
        node = ScalarNode(tag, value, event.start_mark, event.end_mark, event.style)
        if event.anchor is not None:
            self.anchors[event.anchor] = node
        return node

    def collection(self, event: Any, depth: int) -> Node:
        is_map = type(event) is MappingStartEvent
        if event.tag in _OLD_KINDS:
            name = event.tag.removeprefix(_TAG)
            raise MarkedYAMLError(
                problem=f"a lesson has no !!{name}", problem_mark=event.start_mark
            )
        value: list[Any] = []
        node: Node
        if is_map:
            node = MappingNode(MAP, value, event.start_mark, None, event.flow_style)
        else:
            node = SequenceNode(SEQ, value, event.start_mark, None, event.flow_style)
        if event.anchor is not None:
            self.anchors[event.anchor] = node
        end = MappingEndEvent if is_map else SequenceEndEvent
        while type(found := self.next()) is not end:
            inside = self.node(found, depth + 1)
            value.append((inside, self.node(self.next(), depth + 1)) if is_map else inside)
        node.end_mark = found.end_mark
        return node


def _int(word: str) -> int:
    digits = word.replace("_", "")
    sign = -1 if digits.startswith("-") else 1
    digits = digits.lstrip("+-")
    return sign * int(digits[2:], base) if (base := _BASES.get(digits[:2])) else sign * int(digits)


def _float(word: str) -> float:
    digits = word.replace("_", "").lower()
    return float(digits.replace(".inf", "inf").replace(".nan", "nan"))


def _bool(word: str) -> bool:
    if word.lower() not in _BOOLS:
        raise ValueError(f"'{word}' is neither true nor false")
    return _BOOLS[word.lower()]


_READ: dict[str, Any] = {STR: str, INT: _int, FLOAT: _float, BOOL: _bool, NULL: lambda word: None}
