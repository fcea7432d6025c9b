"""What does the lesson's text say?  Markdown read once into a small tree, then set on any medium.

Lesson text is data, never code.  It is CommonMark with tables (the dialect of the CommonMark
specification 0.31 and of GitHub's tables); raw HTML is read as the characters it is made of.  The
tree holds plain strings only.  The web page gets it as escaped HTML, the typesetter as JSON that
its template walks: no text is ever spliced into a program.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from lickwright.drawing import escape_xml

if TYPE_CHECKING:
    from markdown_it.token import Token

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
    from markdown_it import MarkdownIt

    reader = MarkdownIt("commonmark", {"html": False, "typographer": True})
    reader.enable(["table", "smartquotes"])
    tree = _Tree()
    for token in reader.parse(text):
        if token.type == "inline":
            for piece in token.children or ():
                tree.add(piece)
        else:
            tree.add(token)
    return tree.nodes()


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
    "item": {"bullets", "numbers"},
    "row": {"table"},
    "head-cell": {"row"},
    "cell": {"row"},
}
_LEAVES = {"text": "text", "code_inline": "literal", "fence": "code", "code_block": "code"}


class _Tree:
    """Builds nodes out of the reader's flat run of opening, closing and standing tokens."""

    def __init__(self) -> None:
        self._open: list[tuple[Node | None, list[Node]]] = [(None, [])]

    def nodes(self) -> tuple[Node, ...]:
        return tuple(self._open[0][1])

    def add(self, token: Token) -> None:
        if token.nesting > 0:
            container = _container(token)
            if container is not None and not self._has_place_for(container):
                container = None
            # A container that is not kept passes its children to the one around it.
            self._open.append((container, [] if container else self._open[-1][1]))
        elif token.nesting < 0:
            container, children = self._open.pop()
            if container is not None:
                self._open[-1][1].append(replace(container, children=tuple(children)))
        elif (leaf := _leaf(token)) is not None:
            self._open[-1][1].append(leaf)

    def _has_place_for(self, node: Node) -> bool:
        if node.kind not in _PARTS:
            return len(self._open) <= DEEPEST
        around = next((kept.kind for kept, _ in reversed(self._open) if kept), "")
        return around in _PARTS[node.kind]


def _container(token: Token) -> Node | None:
    kind = _CONTAINERS.get(token.type.removesuffix("_open"))
    if kind is None or token.hidden:
        # The head and body of a table, and the lines of a tight list.
        return None
    if kind == "heading":
        return Node(kind, number=int(token.tag[1]))
    if kind == "numbers":
        return Node(kind, number=int(token.attrs.get("start", 1)))
    if kind == "link":
        address = str(token.attrs.get("href", ""))
        return Node(kind, address) if address.lower().startswith(SAFE_SCHEMES) else None
    return Node(kind)


def _leaf(token: Token) -> Node | None:
    if token.type in _LEAVES:
        text = _printable(token.content)
        return Node(_LEAVES[token.type], text) if text else None
    if token.type == "softbreak":
        return Node("text", " ")
    if token.type == "hardbreak":
        return Node("break")
    if token.type == "hr":
        return Node("rule")
    # What is left is an image.  A lesson carries its own pictures; one from elsewhere is named,
    # not fetched.
    return Node("emphasis", children=(Node("text", _printable(token.content)),))


_CONTROLS = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")


def _printable(text: str) -> str:
    return _CONTROLS.sub("", text)


# --- on the web ---------------------------------------------------------------------------------

_TAGS = {
    "paragraph": "p",
    "item": "li",
    "bullets": "ul",
    "quote": "blockquote",
    "table": "table",
    "row": "tr",
    "cell": "td",
    "emphasis": "em",
    "strong": "strong",
}


def markdown_html(text: str, top_heading: int = 3) -> str:
    """Markdown as HTML that can only be text.

    Parameters
    ----------
    top_heading : the level (1-6) that a first-level heading takes in the page.
    """
    return "".join(_html(node, top_heading) for node in parse_markdown(text))


def _html(node: Node, top: int) -> str:
    inner = "".join(_html(child, top) for child in node.children)
    if node.kind == "text":
        return escape_xml(node.text)
    if node.kind == "literal":
        return f"<code>{escape_xml(node.text)}</code>"
    if node.kind == "code":
        return f'<pre tabindex="0"><code>{escape_xml(node.text)}</code></pre>\n'
    if node.kind == "break":
        return "<br>"
    if node.kind == "rule":
        return "<hr>\n"
    if node.kind == "heading":
        level = min(6, top + node.number - 1)
        return f"<h{level}>{inner}</h{level}>\n"
    if node.kind == "numbers":
        return f'<ol start="{node.number}">{inner}</ol>\n'
    if node.kind == "head-cell":
        return f'<th scope="col">{inner}</th>\n'
    if node.kind == "link":
        return f'<a href="{escape_xml(node.text)}" rel="noopener noreferrer">{inner}</a>'
    tag = _TAGS[node.kind]
    return f"<{tag}>{inner}</{tag}>" + ("" if node.kind in {"emphasis", "strong"} else "\n")
