"""Parsing only what changed gives what parsing everything gives, faults included."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from ruamel.yaml import YAML
from ruamel.yaml.error import YAMLError

from lickwright.lesson.file import yaml_compose
from lickwright.lesson.file.reading import parse_text
from lickwright.lesson.file.yaml_compose import compose

from .yaml_texts import yaml_texts

#: What someone types, or a file of another kind holds: each may break a text, or change it.
STRAY = [
    "", "\n", " ", "  ", "a", "a: 1\n", "'", '"', "[", "]", "{", "}", "- ", "- x\n", "|\n", ">\n",
    "---\n", "...\n", "%YAML 1.2\n", "# note\n", "&x ", "*x", "!t ", "? q\n", ": r\n", "<<: *x\n",
    "\t", "\r\n", "\x85", "\u2028", "key: &x [1]\n", "key: *x\n", "  deep: 1\n", '"q": 1\n',
]  # fmt: skip


def tree(node: Any) -> Any:
    """A node as plain data: what it is, where it stands, what it holds."""
    if node is None:
        return None
    start, end = node.start_mark, node.end_mark
    if start.index == end.index:  # an empty value, marked where the next thing begins
        return type(node).__name__, str(node.ctag), node.anchor
    in_lines = isinstance(node.value, list) and not node.flow_style
    where = (start.index, start.line, start.column, None if in_lines else (end.index, end.line))
    what = (type(node).__name__, str(node.ctag), node.anchor, where)
    if not isinstance(node.value, list):
        return (*what, node.value, node.style)
    inside = [each if isinstance(each, tuple) else (each,) for each in node.value]
    return (*what, node.flow_style, [tuple(map(tree, each)) for each in inside])


def outcome(parse: Any, text: str) -> Any:
    """The tree, or what the parser says."""
    try:
        return tree(parse(text))
    except (YAMLError, ValueError) as error:
        return type(error), str(error)


def whole(text: str) -> Any:
    return YAML(typ="safe", pure=True).compose(text)


@given(yaml_texts(), st.data())
@settings(max_examples=100)
def test_a_text_parsed_in_pieces_is_the_text_parsed_whole(
    written: tuple[str, Any], data: st.DataObject
) -> None:
    text = written[0]
    assert tree(compose(text)) == tree(whole(text))
    at = data.draw(st.integers(0, len(text)))
    end = data.draw(st.integers(at, min(at + 6, len(text))))
    mangled = text[:at] + data.draw(st.sampled_from(STRAY)) + text[end:]
    assert outcome(compose, mangled) == outcome(whole, mangled)


def test_a_comment_that_the_parser_cannot_place_breaks_nothing() -> None:
    # The parser that keeps comments fails an assertion of its own on this text.
    assert parse_text("# one\n: |-  # two\n  D dorian\n", Path("x.yaml")).data == {
        "None": "D dorian"
    }


@pytest.mark.filterwarnings("ignore::ruamel.yaml.error.ReusedAnchorWarning")
@given(st.lists(st.sampled_from([*STRAY, "a:", "b: x\n", "c:\n", "  - y: 1\n"]), max_size=8))
@settings(max_examples=100)
def test_what_is_hardly_a_text_is_told_as_the_parser_tells_it(parts: list[str]) -> None:
    text = "".join(parts)
    assert outcome(compose, text) == outcome(whole, text)


@pytest.mark.parametrize("indent", ["", "  ", "    "])
def test_an_edit_parses_the_piece_it_changed_and_no_other(
    indent: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    parsed: list[str] = []
    parser = yaml_compose._parser

    class Counting:
        def compose(self, piece: str) -> Any:
            parsed.append(piece)
            return parser().compose(piece)

    monkeypatch.setattr(yaml_compose, "_parser", Counting)
    yaml_compose._kept.cache_clear()
    entries = "".join(f"{indent}- name: E{i}\n{indent}  over: D\n\n" for i in range(4))
    text = f"# head\nlesson: Title\ntext: |\n  Some *words*\n\nlist:  # all\n{entries}end: 1\n"
    assert tree(compose(text)) == tree(whole(text))
    assert len(parsed) == 8
    parsed.clear()
    edited = text.replace("E2\n", "E two\n").replace("Title", "Other title")
    assert tree(compose(edited)) == tree(whole(edited))
    assert parsed == ["lesson: Other title\n", f"{indent}- name: E two\n{indent}  over: D\n\n"]


def test_the_demo_is_parsed_in_pieces(demo_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = demo_path.read_text(encoding="utf-8")
    expected = tree(whole(text))
    compose(text)
    monkeypatch.setattr(yaml_compose, "_parser", None)  # nothing is left to parse
    assert tree(compose(text)) == expected
