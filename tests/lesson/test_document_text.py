"""Editing text in place: it says what was asked, and nothing that was not asked changes."""

from __future__ import annotations

import copy
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from lickwright.lesson.edit.plain_edits import Keys, set_value, take_out
from lickwright.lesson.edit.rewrite import reordered, rewritten
from lickwright.lesson.edit.yaml_style import list_entry, pair, plain_data
from lickwright.lesson.file.reading import parse_text

from .yaml_texts import LINES, scalars, values, yaml_texts

HERE = Path("lesson.yaml")


def places(data: Any, keys: Keys = ()) -> list[Keys]:
    """Every place of the data, the top left out."""
    if not isinstance(data, dict | list):
        return []
    found: list[Keys] = []
    for key, value in data.items() if isinstance(data, dict) else enumerate(data):
        found += [(*keys, key), *places(value, (*keys, key))]
    return found


def at(data: Any, keys: Keys) -> Any:
    for key in keys:
        data = data[key]
    return data


def changed_lines(old: str, new: str) -> tuple[int, int]:
    """The lines of ``old``, first and after the last, outside which the two agree."""
    before, after = old.split("\n"), new.split("\n")
    shortest = min(len(before), len(after))
    head = next((i for i in range(shortest) if before[i] != after[i]), shortest)
    rest = shortest - head
    tail = next((i for i in range(rest) if before[-1 - i] != after[-1 - i]), rest)
    return head, len(before) - tail


def lines_of_top_key(text: str, key: str) -> tuple[int, int]:
    """The lines of a key at the top: up to the next line that begins at the margin."""
    lines = text.split("\n")
    first = next(i for i, line in enumerate(lines) if line.startswith(f"{key}:"))
    # An entry of a list may stand at the margin too; a comment there belongs to nobody.
    for i in range(first + 1, len(lines)):
        if re.match(r"[a-h]:", lines[i]):
            return first, i
    return first, len(lines)


def notes(text: str) -> list[str]:
    return re.findall(r"# note \d+", text)


def edited(text: str, old: Any, new: Any) -> str:
    return rewritten(text, parse_text(text, HERE).root, old, new, lambda keys: "abcdz")


@given(yaml_texts(), st.data())
@settings(max_examples=150)
def test_a_value_put_anywhere_is_read_back_and_only_its_key_changes(
    written: tuple[str, dict[str, Any]], data: st.DataObject
) -> None:
    text, old = written
    assert parse_text(text, HERE).data == plain_data(old), "the writer of the test is right"
    old = plain_data(old)
    keys = data.draw(st.sampled_from(places(old)))
    was = at(old, keys)
    new = copy.deepcopy(old)
    set_value(new, keys, plain_data(data.draw(values)))
    assume(new != old)
    result = edited(text, old, new)
    assert parse_text(result, HERE).data == new
    head, end = changed_lines(text, result)
    first, last = lines_of_top_key(text, keys[0])
    assert first <= head
    assert end <= last
    if not isinstance(was, dict | list):
        assert notes(result) == notes(text), "no comment is lost with a word"


@given(yaml_texts(), st.data())
@settings(max_examples=100)
def test_a_new_key_takes_no_line_away(
    written: tuple[str, dict[str, Any]], data: st.DataObject
) -> None:
    text, old = written[0], plain_data(written[1])
    maps = [keys for keys in [(), *places(old)] if isinstance(at(old, keys), dict)]
    keys = (*data.draw(st.sampled_from(maps)), data.draw(st.sampled_from("abcdz")))
    assume(keys[-1] not in at(old, keys[:-1]))
    new = copy.deepcopy(old)
    set_value(new, keys, plain_data(data.draw(scalars)))
    result = edited(text, old, new)
    assert parse_text(result, HERE).data == new
    assert notes(result) == notes(text)
    if len(keys) == 1:
        left = iter(result.split("\n"))
        assert all(line in left for line in text.split("\n")), "every old line, in order"


@given(yaml_texts(), st.data())
@settings(max_examples=100)
def test_what_is_taken_out_takes_nothing_else_with_it(
    written: tuple[str, dict[str, Any]], data: st.DataObject
) -> None:
    text, old = written[0], plain_data(written[1])
    assume(len(old) > 1)
    keys = data.draw(st.sampled_from(places(old)))
    new = copy.deepcopy(old)
    take_out(new, keys)
    result = edited(text, old, new)
    assert parse_text(result, HERE).data == new
    head, end = changed_lines(text, result)
    first, last = lines_of_top_key(text, keys[0])
    assert first <= head
    # Equal neighbours make the end of the change ambiguous by as many lines.
    assert (
        end <= last
        or text.split("\n")[last:] == result.split("\n")[-len(text.split("\n")[last:]) :]
    )


@given(
    st.text(alphabet=st.characters(codec="utf-8")) | st.lists(st.sampled_from(LINES)).map("\n".join)
)
@settings(max_examples=200)
def test_any_text_is_read_back_by_this_parser_and_by_another(text: str) -> None:
    # PyYAML reads YAML 1.1, the file is YAML 1.2: text must be text to both.
    pyyaml = pytest.importorskip("yaml")
    text = plain_data(text)
    for written in (f"{pair('key', text, 0)}\nz: 1\n", f"key:\n{list_entry(text, 2)}\nz: 1\n",
                    f"{pair('key', {'in': [text, 'x']}, 0)}\nz: 1\n"):  # fmt: skip
        ours = parse_text(written, HERE).data
        assert ours["key"] in (text, [text], {"in": [text, "x"]})
        if "\x85" not in text:  # a line break to YAML 1.1, also inside quotes
            assert pyyaml.safe_load(written) == ours


MOVING = """\
# the head of the file
examples:  # all of them
  # over the first
  - name: One
    rhythm: 16ths  # of one
    # a thought on one, further in

  # between two blank lines

  # over the second
  - name: Two
    tab: |
      e|---|
      # not a comment
  # over the third
  - {name: Three, over: D}  # of three
# the foot
closing: Done
"""


@pytest.mark.parametrize("order", [[1, 0, 2], [2, 1, 0], [1, 2, 0], [0, 1, 1, 2], [2, 0, 1]])
def test_entries_move_whole_with_the_comments_on_them(order: list[int]) -> None:
    parsed = parse_text(MOVING, HERE)
    result = reordered(MOVING, parsed.root, ("examples",), order)
    again = parse_text(result, HERE).data
    old = parsed.data["examples"]
    assert again == {**parsed.data, "examples": [old[i] for i in order]}
    entries = result[result.index("\n", result.index("examples:")) + 1 : result.index("# the foot")]
    one = (
        "  # over the first\n  - name: One\n    rhythm: 16ths  # of one\n"
        "    # a thought on one, further in\n"
    )
    two = "  # over the second\n  - name: Two\n    tab: |\n      e|---|\n      # not a comment\n"
    three = "  # over the third\n  - {name: Three, over: D}  # of three\n"
    pieces = [one, two, three]
    assert [entries.count(piece) for piece in pieces] == [order.count(i) for i in range(3)]
    starts = [entries.index(pieces[i]) for i in dict.fromkeys(order)]
    assert starts == sorted(starts)
    assert entries.count("  # between two blank lines\n") == 1
    assert result.startswith("# the head of the file\nexamples:  # all of them\n")
    assert result.endswith("# the foot\nclosing: Done\n")


#: Text, what is put where, the text then.
STYLES = [
    ("a: 1  # one\n", ("a",), 2, "a: 2  # one\n"),
    ("a: 'x'\n", ("a",), "y", "a: 'y'\n"),
    ('a: "x"\n', ("a",), "y", 'a: "y"\n'),
    ("a:   x\nb: 1\n", ("a",), "w", "a:   w\nb: 1\n"),
    ("a: x  # c\n", ("a",), "l\nm\n", "a: |  # c\n  l\n  m\n"),
    ("a: |  # c\n  l\n  m\n\nb: 1\n", ("a",), "x", "a: x  # c\n\nb: 1\n"),
    ("a: {b: 1, c: 2}  # c\n", ("a", "c"), 3, "a: {b: 1, c: 3}  # c\n"),
    ("a: {b: 1}\n", ("a", "z"), 3, "a: {b: 1, z: 3}\n"),
    ("a: {b: 1, c: 2, d: 3}\n", ("a", "c"), None, "a: {b: 1, d: 3}\n"),
    ("a: {b: 1, c: 2}\n", ("a", "c"), None, "a: {b: 1}\n"),
    ("a: {\n  b: 1,  # one\n  c: 2,  # two\n}\n", ("a", "z"), 3,
     "a: {\n  b: 1,  # one\n  c: 2, z: 3,  # two\n}\n"),
    ("a: [x, 'y' , z]\n", ("a",), ["x", "q", "z"], "a: [x, 'q' , z]\n"),
    ("a: [x, y]\n", ("a",), ["x", "y", "F#m"], "a: [x, y, F#m]\n"),
    ("a: [x, y]\n", ("a",), ["y"], "a: [y]\n"),
    ("a: [x]\n", ("a",), [], "a: []\n"),
    ("a: []\n", ("a",), ["x"], "a: [x]\n"),
    ("a:\n  - x\n  # y is next\n  - y\n", ("a", 2), "z",
     "a:\n  - x\n  # y is next\n  - y\n  - z\n"),
    ("a:\nb: 1\n", ("a",), "x", "a: x\nb: 1\n"),
    ("a:  # later\nb: 1\n", ("a",), "x", "a: x  # later\nb: 1\n"),
    ("a: []  # none\n", ("a",), [{"name": "M", "over": "D"}],
     "a:  # none\n  - name: M\n    over: D\n"),
    ("a:\n  b: 1\n  c: 2\n", ("a", "b"), None, "a:\n  c: 2\n"),
    ("a:\n  b: 1\nc: 2\n", ("a", "b"), None, "c: 2\n"),
    ("a:\n- b: 1\n  # c is two\n  c: 2\n", ("a", 0, "b"), None, "a:\n-\n  # c is two\n  c: 2\n"),
    ("z: 1\n", ("a",), "l\nm", "a: |-\n  l\n  m\nz: 1\n"),
    ("a: &x {b: 1}\nc: *x\n", ("c",), 2, "a: &x {b: 1}\nc: 2\n"),
    ("a:\n  <<: {q: 1}\n  r: 2\n", ("a", "q"), 3, "a:\n  <<: {q: 1}\n  r: 2\n  q: 3\n"),
    ("? a\n: b\n", ("a",), "c", "? a\n: c\n"),
    ("'a b': 5\nc: 1\n", ("a b",), "9-14", "'a b': 9-14\nc: 1\n"),
]  # fmt: skip


@pytest.mark.parametrize(("text", "keys", "value", "after"), STYLES)
def test_each_style_is_kept(text: str, keys: Keys, value: Any, after: str) -> None:
    old = parse_text(text, HERE).data
    new = copy.deepcopy(old)
    if value is None:
        take_out(new, keys)
    else:
        set_value(new, keys, value)
    assert edited(text, old, new) == after
    assert parse_text(after, HERE).data == new
