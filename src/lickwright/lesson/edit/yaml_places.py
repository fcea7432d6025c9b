"""Where do the keys, values and entries of a YAML text stand, character by character?

The parser marks where each node starts and ends, but a block list or map "ends" only where the
next thing starts, comments and blank lines included, and an alias is marked where its anchor is.
The functions here give the spans that an edit may touch: whole lines for what stands in lines of
its own, characters for what stands inside brackets.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

_ALIAS = re.compile(r"\*[^\s,\[\]{}]+")
_HEADER = re.compile(r"(?P<props>(?:[&!]\S*\s+)*)(?P<style>[|>])(?P<how>[-+0-9]*)(?P<rest>[^\n]*)")
_BLANK_LINES_BELOW = re.compile(r"(?:\n *)*\Z")


@dataclass(frozen=True, slots=True)
class YamlValue:
    """A value of the text: characters ``start`` to ``end``, the last line break left out.

    ``node`` is None for an alias or an empty value: there is nothing to look into.
    """

    start: int
    end: int
    node: Any

    @property
    def is_map(self) -> bool:
        return hasattr(self.node, "flow_style") and self.node.tag.endswith(":map")

    @property
    def is_list(self) -> bool:
        return hasattr(self.node, "flow_style") and self.node.tag.endswith(":seq")

    @property
    def in_brackets(self) -> bool:
        """Whether it is a list or map on one line, in brackets."""
        return bool(getattr(self.node, "flow_style", False))

    @property
    def quote(self) -> str | None:
        """The quotes around it, if any."""
        style = getattr(self.node, "style", None)
        return style if style in ("'", '"') else None


@dataclass(frozen=True, slots=True)
class YamlItem:
    """A pair of a map or an entry of a list.

    Attributes
    ----------
    key : the key; None in a list.
    start : where its key, its dash, or in brackets its value begins.
    colon : just after the colon or the dash; in a list in brackets the same as ``start``.
    value : the value.
    """

    key: str | int | None
    start: int
    colon: int
    value: YamlValue


def root_value(text: str, root: Any) -> YamlValue:
    """The whole of the text as a value."""
    return _value(text, root, root.start_mark.index)


def items(text: str, value: YamlValue) -> list[YamlItem]:
    """The pairs or entries of a list or map, in order; a merge key counts as a pair."""
    if value.is_map:
        return list(_pairs(text, value))
    if value.in_brackets:
        return list(_bracketed(text, value))
    return list(_dashed(text, value))


def line_start(text: str, at: int) -> int:
    """Where the line of character ``at`` begins."""
    return text.rfind("\n", 0, at) + 1


def line_end(text: str, at: int) -> int:
    """Where the next line begins: just after the line break, or the end of the text."""
    found = text.find("\n", at)
    return len(text) if found < 0 else found + 1


def column(text: str, at: int) -> int:
    """The column of character ``at``, from 0."""
    return at - line_start(text, at)


def block_comment(text: str, value: YamlValue) -> str | None:
    """What stands after the ``|`` or ``>`` of a block of text; None for any other value."""
    if getattr(value.node, "style", None) not in ("|", ">"):
        return None
    match = _HEADER.match(text, value.start, value.end)
    return match["rest"] if match else None


def comments_above(text: str, start: int, floor: int, indent: int) -> int:
    """Where the comment lines begin that stand directly above the line at ``start``.

    Up to ``floor``, and only those that are not indented further than ``indent``.
    """
    while start > floor:
        above = line_start(text, start - 1)
        line = text[above:start]
        words = line.lstrip(" ")
        if not words.startswith("#") or len(line) - len(words) > indent:
            break
        start = above
    return start


def comments_below(text: str, end: int, indent: int) -> int:
    """Where the comment lines end that stand below ``end`` and are indented beyond ``indent``."""
    at = end
    while at < len(text):
        after = line_end(text, at)
        words = text[at:after].lstrip(" ")
        if words.startswith("#") and after - at - len(words) > indent:
            end = after
        elif words.strip():
            break
        at = after
    return end


def _value(text: str, node: Any, after: int) -> YamlValue:
    """The value a node stands for; ``after`` is where its key, dash or bracket ended."""
    start, end = node.start_mark.index, node.end_mark.index
    if start < after:  # its anchor stands above: here is only its alias
        match = _ALIAS.search(text, after)
        return (
            YamlValue(match.start(), match.end(), None) if match else YamlValue(after, after, None)
        )
    if start == end:
        return YamlValue(after, after, None)
    style = getattr(node, "style", None)
    if style in ("|", ">"):
        return YamlValue(start, _block_text_end(text, start, end), node)
    if getattr(node, "flow_style", True):
        return YamlValue(start, end, node)
    children = items(text, YamlValue(start, end, node))
    return YamlValue(start, children[-1].value.end if children else start, node)


def _block_text_end(text: str, start: int, end: int) -> int:
    """The end of a block of text, without the blank lines below that say nothing."""
    header = _HEADER.match(text, start, end)
    if header is not None and "+" in header["how"]:
        return end - 1 if text[end - 1 : end] == "\n" else end
    return _BLANK_LINES_BELOW.search(text, start, end).start()  # type: ignore[union-attr]


def _pairs(text: str, value: YamlValue) -> Iterator[YamlItem]:
    for key_node, node in value.node.value:
        start, key_end = key_node.start_mark.index, key_node.end_mark.index
        found = text.find(":", key_end)
        colon = key_end if found < 0 else found + 1
        key = key_node.value
        if key_node.tag.endswith(":int"):
            key = int(key)
        yield YamlItem(key, start, colon, _value(text, node, colon))


def _bracketed(text: str, value: YamlValue) -> Iterator[YamlItem]:
    after = value.start + 1
    for node in value.node.value:
        found = _value(text, node, after)
        yield YamlItem(None, found.start, found.start, found)
        after = found.end


def _dashed(text: str, value: YamlValue) -> Iterator[YamlItem]:
    indent = column(text, value.start)
    dash = re.compile(rf"^ {{{indent}}}-(?=\s|$)", re.MULTILINE)
    at = value.start
    for index, node in enumerate(value.node.value):
        if index:
            match = dash.search(text, at)
            at = match.end() - 1 if match else at
        found = _value(text, node, at + 1)
        yield YamlItem(None, at, at + 1, found)
        at = found.end
