"""What CONTRIBUTING.md says of the house is so: its walk, its files, its checks before a commit."""

from __future__ import annotations

import ast
import re
from functools import cache
from pathlib import Path

import pytest
from ruamel.yaml import YAML

import lickwright

ROOT = Path(__file__).parent.parent
HOUSE = Path(lickwright.__file__).parent
TEXT = (ROOT / "CONTRIBUTING.md").read_text("utf-8")


def _walk() -> list[str]:
    """The files that the newcomer's walk names, in its order."""
    section = TEXT.split("## From a lesson file to a PDF")[1].split("\n## ")[0]
    return re.findall(r"`([a-z_/]+\.py)`", section)


def _file_of(module: str) -> Path | None:
    path = HOUSE.parent.joinpath(*module.split("."))
    return next((p for p in (path.with_suffix(".py"), path / "__init__.py") if p.is_file()), None)


@cache
def _tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text("utf-8"))


@cache
def _imports(path: Path) -> set[Path]:
    """The files that a file imports from; a name that a room passes on leads to its own file."""
    found = set()
    for node in ast.walk(_tree(path)):
        if not isinstance(node, ast.ImportFrom) or not (node.module or "").startswith("lickwright"):
            continue
        for alias in node.names:
            home = _home(node.module or "", alias.name)
            if home is not None and home != path:
                found.add(home)
    return found


@cache
def _home(module: str, name: str) -> Path | None:
    inner = _file_of(f"{module}.{name}")
    path = inner or _file_of(module)
    if path is None or inner is not None or path.name != "__init__.py":
        return path
    for node in _tree(path).body:
        if isinstance(node, ast.ImportFrom) and name in {alias.name for alias in node.names}:
            return _home(node.module or "", name)
    return path


def _reached(path: Path, seen: dict[Path, set[Path]]) -> set[Path]:
    if path not in seen:
        seen[path] = set()
        for other in _imports(path):
            seen[path] |= {other} | _reached(other, seen)
    return seen[path]


def test_the_walk_goes_one_way_and_never_back() -> None:
    walk = [HOUSE / name for name in _walk()]
    assert len(walk) > 20
    assert len(set(walk)) == len(walk), "a file is named twice"
    assert [path for path in walk if not path.is_file()] == []
    seen: dict[Path, set[Path]] = {}
    back = [
        f"{path.relative_to(HOUSE)} imports {later.relative_to(HOUSE)}, which comes later"
        for place, path in enumerate(walk)
        for later in walk[place + 1 :]
        if later in _reached(path, seen)
    ]
    assert back == []
    # One road: the last file reaches every other one.
    assert set(walk[:-1]) - _reached(walk[-1], seen) == set()


@pytest.mark.parametrize(
    "page",
    [
        "CONTRIBUTING.md",
        "README.md",
        *sorted(path.relative_to(ROOT).as_posix() for path in (ROOT / "docs").glob("*.md")),
    ],
)
def test_every_file_that_a_page_names_is_there(page: str) -> None:
    text = (ROOT / page).read_text("utf-8")
    named = set(re.findall(r"`((?:[a-z_]+/)+[a-z_]+\.py)`", text))
    lost = {name for name in named if not (ROOT / name).is_file() and not (HOUSE / name).is_file()}
    assert lost == set()


def test_what_runs_before_a_commit_is_what_make_lint_runs() -> None:
    hooks = YAML(typ="safe").load((ROOT / ".pre-commit-config.yaml").read_text("utf-8"))
    (local,) = hooks["repos"]
    assert local["repo"] == "local"
    before = [hook["entry"].removeprefix(".venv/bin/") for hook in local["hooks"]]
    recipe = (ROOT / "Makefile").read_text("utf-8").split("\nlint:")[1].split("\n\n")[0]
    assert before == re.findall(r"^\t\$\(BIN\)/(.+)$", recipe, re.MULTILINE)
