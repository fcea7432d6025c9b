"""A lesson's text says the same, on the same lines, as a second reader (ruamel) finds in it."""

from __future__ import annotations

import json
import warnings
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st
from ruamel.yaml import YAML
from ruamel.yaml.error import ReusedAnchorWarning, YAMLError
from ruamel.yaml.nodes import ScalarNode

from lickwright.errors import LessonError
from lickwright.lesson.file import MAX_DEPTH, parse_text
from lickwright.lesson.file.yaml_tree import word_tag

from .yaml_texts import WORDS, yaml_texts

#: What someone types, or a file of another kind holds: each may break a text, or change it.
STRAY = [
    "", "\n", " ", "  ", "a", "a: 1\n", "'", '"', "[", "]", "{", "}", "- ", "- x\n", "|\n", ">\n",
    "---\n", "...\n", "%YAML 1.2\n", "# note\n", "&x ", "*x", "!t ", "? q\n", ": r\n", "<<: *x\n",
    "\r\n", "key: &x [1]\n", "key: *x\n", "  deep: 1\n", '"q": 1\n', "on\n", "0o17", "017", "1_0",
]  # fmt: skip

Found = tuple[Any, dict[tuple[str | int, ...], int], dict[tuple[str | int, ...], int]]


def ours(text: str) -> Found:
    parsed = parse_text(text, Path("lesson.yaml"))
    return parsed.data, dict(parsed.lines.keys), dict(parsed.lines.values)


def theirs(text: str) -> Found:
    """The data, the lines of the keys and those of the values, as ruamel marks them."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", ReusedAnchorWarning)
        # The parser that keeps comments fails on some, so it is only used to build.
        root = YAML(typ="safe", pure=True).compose(text)
        tree = YAML(typ="rt", pure=True).constructor.construct_document(root)
    keys: dict[tuple[str | int, ...], int] = {}
    values: dict[tuple[str | int, ...], int] = {}

    def plain(node: Any, path: tuple[str | int, ...]) -> Any:
        if not isinstance(node, dict | list):
            return float(node) if isinstance(node, float) else node
        pairs = list(node.items() if isinstance(node, dict) else enumerate(node))
        out: list[tuple[Any, Any]] = []
        for key, value in pairs:
            here = (*path, key if isinstance(key, int) else str(key))
            at = (node.lc.data or {}).get(key)
            keys[here] = at[0] + 1 if at else keys.get(path, 1)
            if at and isinstance(node, dict):
                block = isinstance(value, str) and "\n" in value
                values[here] = at[2] + (2 if block else 1)
            out.append((here[-1], plain(value, here)))
        return dict(out) if isinstance(node, dict) else [value for _, value in out]

    return plain(tree, ()), keys, values


def without_empty(found: Found) -> Found:
    """Empty values left out of the lines: they stand nowhere, and each parser has its own idea."""
    data, keys, values = found

    def is_empty(path: tuple[str | int, ...]) -> bool:
        at = data
        for step in path:
            at = at[step]
        return at is None

    def kept(lines: dict[tuple[str | int, ...], int]) -> dict[tuple[str | int, ...], int]:
        return {path: line for path, line in lines.items() if not is_empty(path)}

    return data, kept(keys), kept(values)


def same(text: str) -> None:
    assert without_empty(ours(text)) == without_empty(theirs(text))


@given(yaml_texts())
@settings(max_examples=250)
def test_a_text_says_what_the_second_reader_finds(written: tuple[str, Any]) -> None:
    same(written[0])
    assert ours(written[0])[0] == written[1]


@given(yaml_texts(), st.data())
@settings(max_examples=150)
def test_a_mangled_text_that_both_take_says_the_same(
    written: tuple[str, Any], data: st.DataObject
) -> None:
    text = written[0]
    at = data.draw(st.integers(0, len(text)))
    end = data.draw(st.integers(at, min(at + 6, len(text))))
    mangled = text[:at] + data.draw(st.sampled_from(STRAY)) + text[end:]
    try:
        found = ours(mangled)
    except LessonError:
        return
    try:
        expected = theirs(mangled)
    except YAMLError:
        assume(False)
    assert without_empty(found) == without_empty(expected)


#: Words and what they are: YAML 1.2.2, section 10.3.2 (the core schema) and its example 10.3; on
#: the right of it the words of YAML 1.1 that it made text.
CORE = {
    "null": None, "Null": None, "NULL": None, "~": None, "": None,
    "true": True, "True": True, "TRUE": True, "false": False, "FALSE": False,
    "0": 0, "-19": -19, "+12": 12, "0o7": 7, "0x3A": 58, "010": 10,
    "0.": 0.0, "-0.0": -0.0, ".5": 0.5, "+12e03": 12000.0, "-2E+05": -200000.0,
    ".inf": float("inf"), "-.Inf": float("-inf"), "+.INF": float("inf"),
    "on": "on", "off": "off", "no": "no", "Yes": "Yes", "y": "y", "N": "N", "12:30": "12:30",
    "190:20:30.15": "190:20:30.15", "0x": "0x", "e3": "e3", "1e": "1e", "nil": "nil",
}  # fmt: skip


@pytest.mark.parametrize("word", CORE)
def test_a_word_without_quotes_is_what_the_core_schema_says(word: str) -> None:
    found = ours(f"key: {word}\nlist: [{word or '~'}]\n")[0]
    assert found == {"key": CORE[word], "list": [CORE[word]]}
    assert type(found["key"]) is type(CORE[word])


@given(st.text("0123456789+-_.eExob:AfTZnuly~<= ", max_size=8) | st.sampled_from(WORDS))
@settings(max_examples=300)
def test_a_word_is_taken_for_what_the_second_reader_takes_it(word: str) -> None:
    word = word.strip()
    tag = YAML(typ="rt", pure=True).resolver.resolve(ScalarNode, word, (True, False))
    kind = str(tag).removeprefix("tag:yaml.org,2002:")
    kind = "other" if kind in ("timestamp", "value") else kind
    assert word_tag(word).removeprefix("tag:yaml.org,2002:") == kind


@given(st.text(st.characters(codec="utf-8"), max_size=20))
@example("a\x85b\u2028c\u2029d")
def test_text_in_quotes_is_read_back_whatever_it_holds(words: str) -> None:
    text = f"first: {json.dumps(words, ensure_ascii=False)}\nsecond: 1\n"
    try:
        data, keys, _ = ours(text)
    except LessonError:  # what YAML lets no file hold
        assert any(ord(char) in {*range(0x20), *range(0x7F, 0xA0), 0xFFFE, 0xFFFF} for char in text)
        return
    assert data["first"] == words
    assert keys[("second",)] == 2


@pytest.mark.parametrize(
    ("text", "says", "line"),
    [
        ("a: 1\nb: {c: 1,\n  c: 2}\n", "duplicate key 'c', first on line 2", 3),
        ("1.5: a\n'1.5': b\n", "duplicate key '1.5'", 2),
        ("a: &x {p: 1}\nb:\n  <<: *x\n  <<: *x\n", "duplicate key '<<'", 4),
        ("a: {<<: 5}\n", "'<<' takes in a map", 1),
        ("a: 1\n? [b, c]\n: 2\n", "a list or a mapping stands where a key belongs", 2),
        ("a: 1\nb: *x\n", "no value is named '&x' above", 2),
        ("a: 1\n---\nb: 2\n", "another document", 2),
        ("a:\n  - 2024-01-01\n", "'2024-01-01' is neither text nor a number", 2),
        ("a: 1\nb: !mine x\n", "'x' is neither text nor a number", 2),
        ("a: !!set {x}\n", "!!set", 1),
        ("a: !!bool x\n", "'x' is neither true nor false", 1),
        ("a: 1\nb: 9" + "9" * 5000 + "\n", "not YAML", 2),
        ("a: 1\nb: -_\n", "not YAML", 2),
        ("a: &x [*x]\n", "nested too deep", 1),
        ("a: 1\nb: " + "[" * MAX_DEPTH + "x" + "]" * MAX_DEPTH, "nested too deep", 2),
        ("- " * 400_000, "nested too deep", 1),
        ("{" * 400_000, "nested too deep", 1),
        ("a: [" + "x, " * 20_001 + "]", "too large", None),
    ],
)
def test_what_no_lesson_holds_is_refused_with_its_line(
    text: str, says: str, line: int | None
) -> None:
    with pytest.raises(LessonError, match=says) as caught:
        ours(text)
    assert caught.value.where is not None
    assert caught.value.where.line == line


def test_the_deepest_that_is_taken() -> None:
    text = "b: " + "[" * (MAX_DEPTH - 1) + "x" + "]" * (MAX_DEPTH - 1)
    assert ours(text)[0] == yaml.safe_load(text)


def test_names_of_values_may_be_given_again_and_maps_take_in_others() -> None:
    same("a: &x {p: 1, q: [1, 2]}\nb: &x {q: 3}\nc: *x\nd:\n  r: 5\n  <<: *x\n")
    text = "a: &x {p: 1}\nd: &y\n  p: 3\n  z: 4\nb:\n  r: 3\n  <<: [*x, *y]\n  s: 1\n"
    same(text)
    assert ours(text)[0]["b"] == {"r": 3, "s": 1, "p": 1, "z": 4}
    many = [f"k{n}: &k{n} {{<<: [{', '.join([f'*k{n - 1}'] * 9)}]}}" for n in range(1, 30)]
    data = ours("\n".join(["k0: &k0 {x: 1}", *many]))[0]  # 9 to the power of 29 ways to read it
    assert data["k29"] == {"x": 1}
