"""A manifest that was damaged or bent is as good as none."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from lickwright.publish.manifest import (
    MANIFEST_NAME,
    BuildStep,
    digest,
    holds,
    manifest_bytes,
    read_manifest,
)
from lickwright.publish.versions import STEPS, standing

from .publishing import lesson, publish

FLAW = {"severity": "warning", "key": "implies", "what": "nothing sounds it", "mend": "name it"}
STEPS_OF = {
    "01-the-pair": BuildStep(
        digest(b"a"),
        {"examples/01-the-pair.mid": digest(b"b"), ".parts/01-the-pair.json": digest(b"c")},
        {"flaws": [FLAW]},
    ),
    "lesson.pdf": BuildStep(digest(b"d"), {"lesson.pdf": digest(b"e")}),
}
VALID = json.loads(manifest_bytes(STEPS_OF))

ANY = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=5),
    lambda inner: (
        st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3)
    ),
    max_leaves=6,
)
BAD_NAMES = ["", ".", "..", "../keep.txt", "/etc/hosts", "a/../../b", "\0", "a\0b", "a//b", "a\\b"]
BAD_NAMES += ["C:/x", "\ud800", "x" * 300, "a/" * 3_000 + "b", "./a", "examples/"]


def written(raw: Any) -> bytes:
    """As our own writer would have it, so that the form alone gives nothing away."""
    return (json.dumps(raw, ensure_ascii=True, sort_keys=True, indent=1) + "\n").encode()


def places(raw: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    found = [path]
    if isinstance(raw, dict | list):
        for key in raw if isinstance(raw, dict) else range(len(raw)):
            found += places(raw[key], (*path, key))
    return found


def bent(path: tuple[Any, ...], value: Any) -> Any:
    raw = json.loads(json.dumps(VALID))
    if not path:
        return value
    at = raw
    for key in path[:-1]:
        at = at[key]
    at[path[-1]] = value
    return raw


def test_what_was_written_is_read() -> None:
    assert read_manifest(manifest_bytes(STEPS_OF)) == STEPS_OF
    assert read_manifest(manifest_bytes({})) == {}


@given(st.sampled_from(places(VALID)), ANY)
def test_a_value_of_another_kind_is_damage(path: tuple[Any, ...], value: Any) -> None:
    raw = bent(path, value)
    assume(written(raw) != written(VALID) and value != {})
    steps = read_manifest(written(raw))
    # Another text in a flaw, or a step less, is a manifest too; whatever is read is of our kinds.
    if steps is not None:
        assert manifest_bytes(steps) == written(raw)
        for step in steps.values():
            assert all(len(known) == 64 for known in (step.inputs, *step.files.values()))
            assert all(isinstance(flaw["what"], str) for flaw in step.facts.get("flaws", []))
    if path in {(), ("format",)} or path[-1] in ("files", "inputs", "01-the-pair", "severity"):
        assert steps is None


@given(st.data())
def test_bytes_bent_anywhere_raise_nothing(data: st.DataObject) -> None:
    whole = manifest_bytes(STEPS_OF)
    start = data.draw(st.integers(0, len(whole)))
    end = data.draw(st.integers(start, min(len(whole), start + 40)))
    damaged = whole[:start] + data.draw(st.binary(max_size=20)) + whole[end:]
    steps = read_manifest(damaged)
    assert steps is None or manifest_bytes(steps) == damaged


@pytest.mark.parametrize("name", BAD_NAMES)
def test_a_name_that_leads_elsewhere_is_damage(name: str) -> None:
    raw = bent(("steps", "lesson.pdf", "files"), {name: digest(b"e")})
    assert read_manifest(written(raw)) is None


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"[" * 100_000,
        b'{"a":' * 100_000,
        b'{"format": 1, "steps": ' + b"[" * 100_000,
        b"\xff\xfe",
        b"1" * 10_000,
        b"NaN",
        b"null",
        manifest_bytes(STEPS_OF)[:-1],
        manifest_bytes(STEPS_OF).replace(b'"format": 1', b'"format": true'),
        manifest_bytes(STEPS_OF).replace(b'"format": 1', b'"format": 1.0'),
        manifest_bytes(STEPS_OF) + b" " * 100,
        b"\xef\xbb\xbf" + manifest_bytes(STEPS_OF),
        manifest_bytes({"a": BuildStep(digest(b""), {"x": digest(b""), "x/y": digest(b"")})}),
    ],
    ids=range(14),
)
def test_damage_of_every_kind(data: bytes) -> None:
    assert read_manifest(data) is None


def test_only_plain_files_inside_are_ever_read(tmp_path: Path) -> None:
    out = tmp_path / "out"
    (out / "folder").mkdir(parents=True)
    (tmp_path / "keep.txt").write_bytes(b"keep")
    (out / "own.txt").write_bytes(b"keep")
    (out / "link").symlink_to(tmp_path / "keep.txt")
    (out / "place").symlink_to(tmp_path)
    os.mkfifo(out / "pipe")
    known = digest(b"keep")
    assert holds(out, "own.txt", known)
    elsewhere = (str(tmp_path / "keep.txt"), "../keep.txt", "place/keep.txt", "link")
    for name in (*elsewhere, "folder", "pipe", "\0", "x" * 300):
        assert not holds(out, name, known)


@pytest.mark.parametrize("which", [MANIFEST_NAME, STEPS])
@pytest.mark.parametrize("kind", ["huge", "folder", "link", "pipe", "bent", "scribble"])
def test_nothing_is_kept_on_the_word_of_a_damaged_manifest(
    tmp_path: Path, which: str, kind: str
) -> None:
    out = tmp_path / "out"
    publish(out, lesson("former"))
    assert standing(out).steps != {}
    place = next(path for path in out.rglob(which))
    data = place.read_bytes()
    place.unlink()
    if kind == "huge":
        with place.open("wb") as file:
            file.truncate(40_000_000_000)
    elif kind == "folder":
        place.mkdir()
    elif kind == "pipe":
        os.mkfifo(place)
    elif kind == "link":
        place.symlink_to(tmp_path / "copy")
        (tmp_path / "copy").write_bytes(data)
    elif kind == "bent":  # a sound form, another content
        place.write_bytes(data.replace(digest(b"made from").encode(), digest(b"x").encode()))
    else:
        place.write_text("scribble")
    assert standing(out).steps == {}
