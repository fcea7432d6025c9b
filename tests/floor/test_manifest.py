"""A manifest is believed only where it is, to the byte, what a build writes."""

from __future__ import annotations

import importlib.metadata
import json
import platform
import zlib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from lickwright.publish import manifest
from lickwright.publish.manifest import (
    BuildStep,
    digest,
    digest_of,
    engine,
    files_of,
    holds,
    is_whole,
    manifest_bytes,
    read_manifest,
)

H = "0123456789abcdef" * 4
I = "fedcba9876543210" * 4  # noqa: E741
FLAW = {"severity": "warning", "key": "examples", "what": "too high", "mend": "move it"}


def step(files: dict[str, str] | None = None, facts: dict[str, Any] | None = None) -> BuildStep:
    return BuildStep(H, {"a.mid": H} if files is None else files, facts or {})


# ------------------------------------------------------------------------------------- digests


def test_the_hash_is_sha_256() -> None:
    # The example of FIPS 180-4: the message "abc".
    assert digest(b"abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"


def test_data_hashes_by_what_it_says_and_not_by_the_order_of_its_keys() -> None:
    assert digest_of({"a": 1, "b": 2}) == digest_of({"b": 2, "a": 1})
    assert digest_of({"a": 1}) != digest_of({"a": 1, "b": None})
    assert digest_of({"a": 1}) != digest_of({"a": 2})
    assert digest_of([1, 2]) != digest_of([2, 1])
    # UTF-8 as it stands, so that other programs can work it out: "é" is two bytes.
    assert digest_of("é") == digest(b'"\xc3\xa9"')
    assert digest_of(Path("a")) == digest_of("a")


# -------------------------------------------------------------------------------------- engine


@pytest.fixture
def fresh() -> Iterator[Callable[[], str]]:
    def now() -> str:
        manifest.engine.cache_clear()
        return manifest.engine()

    yield now
    manifest.engine.cache_clear()


@pytest.fixture
def house(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    root = tmp_path / "lickwright"
    (root / "publish").mkdir(parents=True)
    monkeypatch.setattr(manifest, "__file__", str(root / "publish" / "manifest.py"))
    monkeypatch.setattr(importlib.metadata, "version", lambda one: "1")  # reading them is slow
    return root


@pytest.mark.parametrize("name", ["a.py", "b.typ", "c.html", "d.css", "e.js", "sound/f.py"])
def test_an_edit_of_our_source_rebuilds(name: str, house: Path, fresh: Callable[[], str]) -> None:
    path = house / name
    path.parent.mkdir(exist_ok=True)
    before = fresh()
    path.write_text("one")
    first = fresh()
    path.write_text("two")
    second = fresh()
    path.rename(path.with_stem("moved"))
    assert len({before, first, second, fresh()}) == 4


def test_what_is_no_source_rebuilds_nothing(house: Path, fresh: Callable[[], str]) -> None:
    before = fresh()
    (house / "notes.txt").write_text("one")
    (house / "folder.py").mkdir()
    (house.parent / "neighbour.py").write_text("one")
    assert fresh() == before


@pytest.mark.parametrize("name", manifest._ENGINES)
def test_another_version_of_what_draws_or_sounds_rebuilds(
    name: str, house: Path, fresh: Callable[[], str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(importlib.metadata, "version", lambda one: "1")
    before = fresh()
    monkeypatch.setattr(importlib.metadata, "version", lambda one: "2" if one == name else "1")
    assert fresh() != before


def test_another_python_or_zlib_rebuilds(
    house: Path, fresh: Callable[[], str], monkeypatch: pytest.MonkeyPatch
) -> None:
    before = fresh()
    with monkeypatch.context() as now:
        now.setattr(platform, "python_version", lambda: "9.9.9")
        python = fresh()
    with monkeypatch.context() as now:
        now.setattr(zlib, "ZLIB_RUNTIME_VERSION", "9.9.9")
        packed = fresh()
    assert len({before, python, packed}) == 3
    assert engine() == engine()


# ------------------------------------------------------------------------------------- reading


def test_the_same_steps_give_the_same_bytes_by_name() -> None:
    text = manifest_bytes({"b": step(), "a": step({"é.mid": I}, {"flaws": [FLAW]})}).decode()
    assert (
        text == manifest_bytes({"a": step({"é.mid": I}, {"flaws": [FLAW]}), "b": step()}).decode()
    )
    assert text.endswith("}\n")
    assert '"é.mid"' in text
    told = json.loads(text)
    assert told == {
        "format": 1,
        "steps": {
            "a": {"inputs": H, "files": {"é.mid": I}, "facts": {"flaws": [FLAW]}},
            "b": {"inputs": H, "files": {"a.mid": H}, "facts": {}},
        },
    }
    assert '\n "format": 1,\n' in text  # indented by one, as it has always been


def test_what_was_written_reads_back() -> None:
    for steps in (
        {},
        {"a": step()},
        {"a": step({})},
        {"a": step({"x/y.mid": H, "x/z.mid": I, "xy": H}, {"flaws": []})},
        {"a": step(facts={"flaws": [FLAW, {**FLAW, "severity": "error"}]})},
    ):
        assert read_manifest(manifest_bytes(steps)) == steps


@pytest.mark.parametrize(
    "bent",
    [
        BuildStep("short", {}, {}),
        BuildStep(H.upper(), {}, {}),
        BuildStep(H + "0", {}, {}),
        step({"a.mid": "short"}),
        step({"a.mid": 5}),  # type: ignore[dict-item]
        step({"../a.mid": H}),
        step({"/a.mid": H}),
        step({"a": H, "a/b.mid": H}),
        step(facts={"other": []}),
        step(facts={"flaws": [], "other": []}),
        step(facts={"flaws": {}}),
        step(facts={"flaws": [{"severity": "error"}]}),
        step(facts={"flaws": [{**FLAW, "more": ""}]}),
        step(facts={"flaws": [{**FLAW, "what": 5}]}),
        step(facts={"flaws": [{**FLAW, "severity": "fatal"}]}),
        step(facts={"flaws": ["text"]}),
    ],
)
def test_a_step_that_no_build_writes_makes_the_whole_none(bent: BuildStep) -> None:
    assert read_manifest(manifest_bytes({"a": bent})) is None
    assert read_manifest(manifest_bytes({"a": step(), "z": bent})) is None


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"{}",
        b"[]",
        b"5",
        b"\xff",
        b"not json",
        b'{"format": 1}',
        b'{"format": 2, "steps": {}}',
        b'{"format": 1, "steps": []}',
        b'{"format": 1, "steps": {"a": 5}}',
        b'{"format": 1, "steps": {}, "more": 1}',
        b'{"format": 1, "steps": {"a": {"inputs": "x"}}}',
        b'{"format": NaN, "steps": {}}',
        b"[" * 100_000,
        manifest_bytes({"a": step()}) + b" ",
        manifest_bytes({"a": step()}).replace(b"\n", b""),
    ],
)
def test_damaged_bytes_are_none(data: bytes) -> None:
    assert read_manifest(data) is None


# --------------------------------------------------------------------------------------- files


def test_files_of_all_steps() -> None:
    steps = {"a": step({"x": H}), "b": step({"y": I, "z": H}), "c": step({})}
    assert files_of(steps) == {"x": H, "y": I, "z": H}


def test_a_file_holds_while_it_is_what_was_written(tmp_path: Path) -> None:
    (tmp_path / "a").write_bytes(b"abc")
    assert holds(tmp_path, "a", digest(b"abc"))
    assert not holds(tmp_path, "a", digest(b"abd"))
    assert not holds(tmp_path, "gone", digest(b"abc"))
    assert not holds(tmp_path, "../" + tmp_path.name + "/a", digest(b"abc"))
    (tmp_path / "link").symlink_to(tmp_path / "a")
    assert not holds(tmp_path, "link", digest(b"abc"))


def test_a_step_is_whole_with_every_file(tmp_path: Path) -> None:
    for name in ("a", "b"):
        (tmp_path / name).write_bytes(name.encode())
    both = step({"a": digest(b"a"), "b": digest(b"b")})
    assert is_whole(tmp_path, both)
    assert is_whole(tmp_path, step({}))
    (tmp_path / "b").write_bytes(b"changed")
    assert not is_whole(tmp_path, both)


def test_a_step_has_no_facts_where_none_were_learnt() -> None:
    assert BuildStep(H, {}).facts == {}
    assert manifest.MANIFEST_NAME.startswith(".")  # out of sight beside the lesson
    assert 1_000_000 < manifest.MAX_MANIFEST_BYTES < 1_000_000_000
