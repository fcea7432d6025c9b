"""Lesson text: read as the published Markdown says, and inert on every medium."""

from __future__ import annotations

import json
from html.parser import HTMLParser

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from lickwright.engrave.sheet.markdown import DEEPEST, Node, markdown_html, parse_markdown

#: Worked examples of the CommonMark specification 0.31.2 (2024), with the section each stands in,
#: as it writes them but for the slash in ``<br />`` and ``<hr />``.
COMMONMARK = [
    ("6.2 Emphasis and strong emphasis", "*foo bar*", "<p><em>foo bar</em></p>"),
    ("6.2 Emphasis and strong emphasis", "**foo bar**", "<p><strong>foo bar</strong></p>"),
    ("6.2 Emphasis and strong emphasis", "a * foo bar*", "<p>a * foo bar*</p>"),
    ("6.2 Emphasis and strong emphasis", "foo_bar_", "<p>foo_bar_</p>"),
    ("6.1 Code spans", "`foo`", "<p><code>foo</code></p>"),
    ("6.1 Code spans", "`` foo ` bar ``", "<p><code>foo ` bar</code></p>"),
    ("6.7 Hard line breaks", "foo  \nbaz", "<p>foo<br>\nbaz</p>"),
    ("6.8 Soft line breaks", "foo\nbaz", "<p>foo\nbaz</p>"),
    ("2.4 Backslash escapes", r"\*not emphasized*", "<p>*not emphasized*</p>"),
    ("2.5 Entity references", "&copy; &AElig; &frac34;", "<p>© Æ ¾</p>"),
    ("4.1 Thematic breaks", "***", "<hr>"),
    ("5.1 Block quotes", "> bar\nbaz", "<blockquote>\n<p>bar\nbaz</p>\n</blockquote>"),
    ("5.3 Lists", "1. foo\n2. bar", "<ol>\n<li>foo</li>\n<li>bar</li>\n</ol>"),
    (
        "5.3 Lists",
        "- foo\n- bar\n+ baz",
        "<ul>\n<li>foo</li>\n<li>bar</li>\n</ul>\n<ul>\n<li>baz</li>\n</ul>",
    ),
]


@pytest.mark.parametrize(("section", "text", "html"), COMMONMARK)
def test_markdown_is_read_as_the_specification_shows(section: str, text: str, html: str) -> None:
    assert markdown_html(text).strip() == html, section


def test_headings_take_their_place_in_the_page() -> None:
    # CommonMark 0.31.2, 4.2 ATX headings; the level is shifted below the page's own headings.
    assert markdown_html("# foo\n## foo\n###### foo", 4) == (
        "<h4>foo</h4>\n<h5>foo</h5>\n<h6>foo</h6>\n"
    )


def test_a_table_has_head_cells() -> None:
    html = markdown_html("| beat | stroke |\n|---|---|\n| 1 | D |")
    assert '<th scope="col">beat</th>' in html
    assert "<td>D</td>" in html


def test_quotes_are_set_as_printers_set_them() -> None:
    assert markdown_html('It\'s "so".').strip() == "<p>It’s “so”.</p>"


class Reader(HTMLParser):
    """What a browser would make of a fragment."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: list[tuple[str, str, str]] = []
        self.words = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes += [(tag, name, value or "") for name, value in attrs]

    def handle_data(self, data: str) -> None:
        self.words += data

    def handle_comment(self, data: str) -> None:
        self.tags.add("!comment")

    def handle_pi(self, data: str) -> None:
        self.tags.add("?pi")


ALLOWED = set(
    "p h3 h4 h5 h6 ul ol li blockquote pre code hr br table tr th td em strong a".split()  # noqa: SIM905
)


@given(st.text(st.sampled_from("<>&\"'/[]()!`*_#|-: \n\tajvscript:htp.on=x1\x00\x0b"), max_size=80))
@example("[x](javascript:alert(1))")
@example("[x](JaVaScRiPt:alert(1)) [y](data:text/html,<script>) [z](vbscript:x) [f](file:///etc)")
@example("[x](&#106;avascript:alert(1)) <javascript:alert(1)> [s](//evil.example/x)")
@example('[x](https://a.example/"onmouseover="alert(1))')
@example("<script>alert(1)</script>\n\n<img src=x onerror=alert(1)>")
@example("![x](https://evil.example/pixel.png)")
@example("```html\n</code></pre><script>alert(1)</script>\n```")
def test_no_text_becomes_code(text: str) -> None:
    reader = Reader()
    reader.feed(markdown_html(text))
    reader.close()
    assert reader.tags <= ALLOWED
    for tag, name, value in reader.attributes:
        assert (tag, name) in {
            ("a", "href"),
            ("a", "rel"),
            ("ol", "start"),
            ("th", "scope"),
            ("pre", "tabindex"),
        }
        if name == "href":
            assert value.lower().startswith(("http://", "https://", "mailto:"))


def test_a_link_keeps_its_address_only_where_it_is_safe() -> None:
    safe = parse_markdown("[a](https://example.org/x) [b](mailto:a@example.org)")[0].children
    assert [node.text for node in safe if node.kind == "link"] == [
        "https://example.org/x",
        "mailto:a@example.org",
    ]
    unsafe = parse_markdown("[a](ftp://example.org) [b](//example.org) [c](page.html)")[0]
    assert {node.kind for node in unsafe.children} == {"text"}
    assert unsafe.words() == "a b c"


def height(node: Node) -> int:
    return 1 + max(map(height, node.children), default=0)


def depth_first(node: Node) -> list[Node]:
    return [node] + [found for child in node.children for found in depth_first(child)]


KINDS = {
    *("paragraph", "heading", "bullets", "numbers", "item", "quote", "code", "rule", "table"),
    *("row", "head-cell", "cell", "text", "emphasis", "strong", "literal", "link", "break"),
}


@given(st.text(max_size=120))
@example("> " * 60 + "x")
@example("*" * 3000 + "x" + "*" * 3000)
@example("_a *b " * 300 + "* _" * 300)
def test_the_typesetter_gets_plain_values(text: str) -> None:
    kinds = {node.kind for block in parse_markdown(text) for node in depth_first(block)}
    assert kinds <= KINDS
    assert max(map(height, parse_markdown(text)), default=0) <= DEEPEST + 4  # a table and its words
    data = [block.data() for block in parse_markdown(text)]
    assert json.loads(json.dumps(data)) == data


@pytest.mark.parametrize("depth", range(8, 14))
def test_a_table_too_deep_to_be_set_keeps_its_words(depth: int) -> None:
    text = f"{'> ' * depth}| beat |\n{'> ' * depth}|---|\n{'> ' * depth}| one |"
    blocks = parse_markdown(text)
    assert "".join(block.words() for block in blocks) == "beatone"
    for node in (node for block in blocks for node in depth_first(block)):
        assert ({child.kind for child in node.children} == {"row"}) == (node.kind == "table")


@given(st.lists(st.sampled_from(["sweep", "three", "strings", "then", "turn"]), min_size=1))
def test_plain_words_come_through(words: list[str]) -> None:
    (paragraph,) = parse_markdown(" ".join(words))
    assert paragraph.words() == " ".join(words)
