"""What decides the bytes of a build is part of the hash by which it is kept."""

from __future__ import annotations

import ast
import importlib.metadata
import sys
import zlib
from pathlib import Path

import pytest

import lickwright
from lickwright.publish import manifest

SOURCE = Path(lickwright.__file__).parent


def file_of(module: str) -> Path | None:
    """Where a module of ours stands; ``None`` for a name inside a module."""
    path = SOURCE.joinpath(*module.split(".")[1:])
    if path.is_dir():
        return path / "__init__.py"
    return path.with_suffix(".py") if path.with_suffix(".py").is_file() else None


def imports(path: Path) -> set[str]:
    """Every module that a file imports, wherever in it; not what only a type checker sees."""
    found: set[str] = set()

    def visit(node: ast.AST) -> None:
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
            return
        if isinstance(node, ast.Import):
            found.update(name.name for name in node.names)
        elif isinstance(node, ast.ImportFrom) and node.module is not None:
            found.add(node.module)
            found.update(f"{node.module}.{name.name}" for name in node.names)
        for child in ast.iter_child_nodes(node):
            visit(child)

    visit(ast.parse(path.read_text(encoding="utf-8")))
    return found


def modules_below(*roots: str) -> set[str]:
    """Every module of ours that some modules reach, and every other that those import."""
    seen: set[str] = set()
    waiting = list(roots)
    while waiting:
        module = waiting.pop()
        if module in seen:
            continue
        seen.add(module)
        if module.split(".")[0] == "lickwright" and (path := file_of(module)) is not None:
            waiting += imports(path)
    return seen


def packages_below(*roots: str) -> dict[str, str]:
    """The packages of others that some modules of ours need: top-level module and its package."""
    homes = importlib.metadata.packages_distributions()
    tops = {module.split(".")[0] for module in modules_below(*roots)}
    tops -= {"lickwright", "__future__", *sys.stdlib_module_names}
    return {top: homes[top][0] for top in tops}


def plain(name: str) -> str:
    return name.lower().replace("_", "-").replace(".", "-")


def test_every_package_that_the_build_imports_is_part_of_the_hash() -> None:
    needed = packages_below("lickwright.publish.building", "lickwright.lesson.file.reading")
    # The walk really goes down to the floors below, into functions too.
    assert {"av", "PIL", "verovio", "markdown_it", "mido", "midirenderer"} <= set(needed)
    listed = set(map(plain, manifest._ENGINES))
    assert {plain(name) for name in needed.values()} <= listed
    # What is listed beside them is loaded by name, or stands under one of them.
    beside = {"pretty-midi", "mdurl"}
    assert listed - {plain(name) for name in needed.values()} == beside


@pytest.mark.parametrize("name", manifest._ENGINES)
def test_another_version_of_any_of_them_is_another_engine(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = importlib.metadata.version
    before = manifest.engine.__wrapped__()
    monkeypatch.setattr(
        importlib.metadata, "version", lambda asked: real(asked) + ".1" * (asked == name)
    )
    assert manifest.engine.__wrapped__() != before


def test_another_zlib_is_another_engine(monkeypatch: pytest.MonkeyPatch) -> None:
    before = manifest.engine.__wrapped__()
    monkeypatch.setattr(zlib, "ZLIB_RUNTIME_VERSION", "9.9")
    assert manifest.engine.__wrapped__() != before
