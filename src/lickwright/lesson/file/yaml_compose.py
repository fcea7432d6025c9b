"""How is the text of a lesson parsed again after each edit without parsing all of it?

A lesson is a map of lines, and most of it a list of examples.  Each key of the map and each entry
of a list is a piece of YAML that can be parsed alone, so only a piece that was not seen before is;
the others are taken from the last time and moved to where they stand now.

The pieces are cut at lines that begin a key at the margin, and at the dashes of a list below one.
Neither can stand inside anything else that parses alone: block text is indented further than its
key, and quotes or brackets left open are an error.  Whenever a piece is not what it must be, the
whole text is parsed, so a fault is told as if there were no pieces.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Any

_KEY_LINE = re.compile(r"^[A-Za-z_]\w*:(?=\s)", re.MULTILINE)
_LIST_BELOW = re.compile(r"[^\n]*:[ ]*(?:#[^\n]*)?\n(?:[ ]*(?:#[^\n]*)?\n)*(?P<indent>[ ]*)-(?=\s)")
#: Marks of documents and directives, and line breaks that are not counted as such below.
_WHOLE_ONLY = re.compile(r"^(?:---|\.\.\.|%)|[\r\x85\u2028\u2029]", re.MULTILINE)
#: Larger pieces are not kept, so that what is kept stays small.
_MOST_KEPT_CHARACTERS = 20_000
#: No lesson has as many keys or examples; the parser is quicker with all of them at once.
_MOST_PIECES = 200


@dataclass(frozen=True, slots=True)
class _TextPiece:
    """A part of the text that parses alone: characters ``start`` to ``end``."""

    start: int
    end: int


def compose(text: str) -> Any:
    """The parser's tree of the text, each node with the marks of where it stands.

    Returns
    -------
    The root node; None for an empty text.  Only empty values and the ends of lists and maps of
    lines may be marked elsewhere than the parser alone would.

    Raises
    ------
    ruamel.yaml.error.YAMLError, ValueError, RecursionError
        As the parser does.
    """
    from ruamel.yaml.error import YAMLError

    pieces = _pieces(text)
    if 0 < len(pieces) <= _MOST_PIECES:
        try:
            return _joined(text, pieces)
        except (YAMLError, ValueError, _NotAPieceError):
            pass  # told by the parser for the whole text, or fine as a whole
    return _parser().compose(text)


class _NotAPieceError(Exception):
    """A part of the text that is not what it was cut out as."""


def _pieces(text: str) -> list[_TextPiece]:
    """The keys at the margin; none where the text must be parsed as a whole."""
    starts = [match.start() for match in _KEY_LINE.finditer(text)]
    if not starts or _WHOLE_ONLY.search(text):
        return []
    lead = text[: starts[0]].split("\n")
    if any(line.strip() and not line.startswith("#") for line in lead):
        return []
    return [_TextPiece(*ends) for ends in pairwise([*starts, len(text)])]


def _joined(text: str, pieces: list[_TextPiece]) -> Any:
    from ruamel.yaml.nodes import MappingNode

    line = text.count("\n", 0, pieces[0].start)
    pairs: list[Any] = []
    for piece in pieces:
        pairs += _pairs(text, piece, line)
        line += text.count("\n", piece.start, piece.end)
    start, end = pairs[0][0].start_mark, pairs[-1][1].end_mark
    return MappingNode("tag:yaml.org,2002:map", pairs, start, end, flow_style=False)


def _pairs(text: str, piece: _TextPiece, line: int) -> list[Any]:
    """The pairs of one piece, mostly one; a list in lines is put together from its entries."""
    from ruamel.yaml.nodes import MappingNode, SequenceNode

    below = _LIST_BELOW.match(text, piece.start, piece.end)
    if below is None:
        root = _moved(_parsed(text[piece.start : piece.end]), text, piece.start, line)
        if not isinstance(root, MappingNode):
            raise _NotAPieceError
        return list(root.value)
    entries: list[Any] = []
    at = below.start("indent")
    dash = re.compile(rf"^{below['indent']}-(?=\s)", re.MULTILINE)
    starts = [match.start() for match in dash.finditer(text, at, piece.end)]
    if len(starts) > _MOST_PIECES:
        raise _NotAPieceError
    head = _moved(_parsed(text[piece.start : at]), text, piece.start, line)
    line += text.count("\n", piece.start, at)
    for start, end in pairwise([*starts, piece.end]):
        root = _moved(_parsed(text[start:end]), text, start, line)
        if not isinstance(root, SequenceNode) or root.flow_style or len(root.value) != 1:
            raise _NotAPieceError
        entries.append(root)
        line += text.count("\n", start, end)
    if not isinstance(head, MappingNode) or len(head.value) != 1:
        raise _NotAPieceError
    first, last = entries[0].start_mark, entries[-1].end_mark
    value = [root.value[0] for root in entries]
    sequence = SequenceNode("tag:yaml.org,2002:seq", value, first, last, flow_style=False)
    return [(head.value[0][0], sequence)]


def _parsed(piece: str) -> Any:
    return _kept(piece) if len(piece) <= _MOST_KEPT_CHARACTERS else _parser().compose(piece)


@lru_cache(maxsize=512)
def _kept(piece: str) -> Any:
    return _parser().compose(piece)


def _parser() -> Any:
    """A parser that passes comments over: the one that keeps them fails on some it cannot place."""
    from ruamel.yaml import YAML

    return YAML(typ="safe", pure=True)


def _moved(root: Any, text: str, index: int, line: int) -> Any:
    """A copy of a tree that was parsed alone, with its marks where it stands in ``text``."""
    from ruamel.yaml.error import StringMark
    from ruamel.yaml.nodes import MappingNode, ScalarNode, SequenceNode

    done: dict[int, Any] = {}

    def mark(old: Any) -> Any:
        at = old.index + index
        return StringMark(old.name, at, old.line + line, old.column, text, at)

    def copied(node: Any) -> Any:
        if id(node) in done:  # an alias is the node of its anchor
            return done[id(node)]
        ends = mark(node.start_mark), mark(node.end_mark)
        new: Any
        if isinstance(node, ScalarNode):
            new = ScalarNode(node.ctag, node.value, *ends, style=node.style, anchor=node.anchor)
        elif isinstance(node, SequenceNode):
            value = [copied(item) for item in node.value]
            new = SequenceNode(node.ctag, value, *ends, node.flow_style, anchor=node.anchor)
        else:
            value = [(copied(key), copied(item)) for key, item in node.value]
            new = MappingNode(node.ctag, value, *ends, node.flow_style, anchor=node.anchor)
        done[id(node)] = new
        return new

    return copied(root)
