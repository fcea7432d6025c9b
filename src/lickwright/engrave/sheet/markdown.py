"""What does the lesson's text say?  Markdown read once into a small tree, then set on any medium.

Lesson text is data, never code.  It is CommonMark with tables (the dialect of the CommonMark
specification 0.31 and of GitHub's tables); raw HTML is read as the characters it is made of.  What
the reader finds is sifted once, then its own renderer writes escaped HTML for the web page, and the
typesetter gets a tree of plain strings as JSON that its template walks: no text is ever spliced
into a program.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from lickwright.drawing import xml_characters

if TYPE_CHECKING:
    from markdown_it import MarkdownIt
    from markdown_it.token import Token
    from markdown_it.tree import SyntaxTreeNode

#: A link keeps its address only with one of these schemes; any other is shown as bare words.
SAFE_SCHEMES = ("http://", "https://", "mailto:")


@dataclass(frozen=True, slots=True)
class Node:
    """One piece of text.

    ``kind`` is a block (``paragraph``, ``heading``, ``bullets``, ``numbers``, ``item``, ``quote``,
    ``code``, ``rule``, ``table``, ``row``, ``head-cell``, ``cell``) or inline (``text``,
    ``emphasis``, ``strong``, ``literal``, ``link``, ``break``).

    Parameters
    ----------
    text : of a leaf: words, code, or the address of a link.
    number : level of a heading (1-6), first number of a numbered list.
    """

    kind: str
    text: str = ""
    children: tuple[Node, ...] = ()
    number: int = 0

    def data(self) -> dict[str, object]:
        """The node as JSON values, for the typesetter."""
        return {
            "kind": self.kind,
            "text": self.text,
            "number": self.number,
            "address": self.address(),
            "children": [child.data() for child in self.children],
        }

    def address(self) -> str:
        """What print adds to the words of a link: its address, unless they say it already."""
        plain = self.text.removeprefix("mailto:") if self.kind == "link" else ""
        return "" if plain == self.words() else plain

    def words(self) -> str:
        """The text alone."""
        if self.kind in {"text", "literal", "code"}:
            return self.text
        if self.kind == "break":
            return " "
        return "".join(child.words() for child in self.children)


#: How deep blocks and emphasis may stand inside each other; what is deeper loses its own setting,
#: never its words.  No page can show more, and no text can exhaust whoever walks the tree.
DEEPEST = 10


def parse_markdown(text: str) -> tuple[Node, ...]:
    """Read Markdown into blocks.  Every text is valid; nothing is raised."""
    from markdown_it.tree import SyntaxTreeNode

    return tuple(_nodes(SyntaxTreeNode(_tokens(text)).children))


def markdown_html(text: str, top_heading: int = 3) -> str:
    """Markdown as HTML that can only be text.

    Parameters
    ----------
    top_heading : the level (1-6) that a first-level heading takes in the page.

    Examples
    --------
    >>> markdown_html("# Sweep *up*")
    '<h3>Sweep <em>up</em></h3>\\n'
    """
    reader = _reader()
    tokens = _tokens(text)
    for token in tokens:
        if token.type in ("heading_open", "heading_close"):
            token.tag = f"h{min(6, top_heading + int(token.tag[1]) - 1)}"
    html: str = reader.renderer.render(tokens, reader.options, {})
    return html


@lru_cache(maxsize=1)
def _reader() -> MarkdownIt:
    from markdown_it import MarkdownIt

    reader = MarkdownIt("commonmark", {"html": False, "typographer": True, "xhtmlOut": False})
    return reader.enable(["table", "smartquotes"])


# --- sifting ------------------------------------------------------------------------------------

#: Containers that a page has; the head and body of a table are none.
_CONTAINERS = {
    "paragraph": "paragraph",
    "heading": "heading",
    "bullet_list": "bullets",
    "ordered_list": "numbers",
    "list_item": "item",
    "blockquote": "quote",
    "table": "table",
    "tr": "row",
    "th": "head-cell",
    "td": "cell",
    "em": "emphasis",
    "strong": "strong",
    "link": "link",
}
#: What is part of a whole, and of which.
_PARTS = {
    "list_item": {"bullet_list", "ordered_list"},
    "tr": {"table"},
    "th": {"tr"},
    "td": {"tr"},
}


def _tokens(text: str) -> list[Token]:
    """What the reader finds, without what no page shows."""
    return list(_sifted(_reader().parse(text), []))


def _sifted(tokens: Iterable[Token], around: list[str]) -> Iterator[Token]:
    """Tokens without the containers that are not kept, which leave what is in them.

    Parameters
    ----------
    around : the containers that are open, "" for one that is not kept; changed on the way.
    """
    for token in tokens:
        if token.nesting > 0:
            name = token.type.removesuffix("_open")
            around.append(name if _is_kept(token, name, around) else "")
            if around[-1]:
                yield _with_attributes(token)
        elif token.nesting < 0:
            if around.pop():
                yield token
        elif token.type == "inline":
            token.children = list(_sifted(token.children or (), around))
            yield token
        elif token.type == "image":
            yield from _named(token)
        else:
            token.content = _printable(token.content)
            if token.type in ("fence", "code_block") and not token.content:
                continue
            if token.type == "fence":
                token.type, token.info = "code_block", ""
            if token.type == "code_block":
                token.attrSet("tabindex", "0")  # a long line scrolls, also by keyboard
            yield token


def _is_kept(token: Token, name: str, around: list[str]) -> bool:
    if name not in _CONTAINERS:
        return False
    if name == "link" and not str(token.attrGet("href")).lower().startswith(SAFE_SCHEMES):
        return False
    if name in _PARTS:
        return next((kept for kept in reversed(around) if kept), "") in _PARTS[name]
    return token.hidden or len(around) < DEEPEST


def _with_attributes(token: Token) -> Token:
    if token.type == "link_open":
        token.attrSet("rel", "noopener noreferrer")
    elif token.type == "th_open":
        token.attrs = {"scope": "col"}
    elif token.type == "td_open":
        token.attrs = {}
    return token


def _named(image: Token) -> Iterator[Token]:
    """A lesson carries its own pictures; one from elsewhere is named, not fetched."""
    from markdown_it.token import Token

    yield Token("em_open", "em", 1)
    yield Token("text", "", 0, content=_printable(image.content))
    yield Token("em_close", "em", -1)


def _printable(text: str) -> str:
    return xml_characters(text).replace("\x7f", "")


# --- for the typesetter -------------------------------------------------------------------------

_LEAVES = {"text": "text", "code_inline": "literal", "code_block": "code"}


def _nodes(found: Iterable[SyntaxTreeNode]) -> Iterator[Node]:
    for each in found:
        kind = _CONTAINERS.get(each.type)
        if each.type == "inline" or each.hidden:
            yield from _nodes(each.children)
        elif each.type in _LEAVES:
            if each.content:  # letters that no page can show leave nothing
                yield Node(_LEAVES[each.type], each.content)
        elif each.type == "softbreak":
            yield Node("text", " ")
        elif kind is None:
            yield Node("break" if each.type == "hardbreak" else "rule")
        else:
            address = str(each.attrs["href"]) if kind == "link" else ""
            yield Node(kind, address, tuple(_nodes(each.children)), _number(each, kind))


def _number(node: SyntaxTreeNode, kind: str) -> int:
    if kind == "heading":
        return int(node.tag[1])
    return int(node.attrs.get("start", 1)) if kind == "numbers" else 0
