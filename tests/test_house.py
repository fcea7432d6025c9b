"""The house: floors offer their nouns in one place, nothing goes round in circles.

What import-linter's layers do not see: imports inside functions and those for types count here too.
"""

from __future__ import annotations

import ast
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

import lickwright

ROOT = Path(lickwright.__file__).parent
#: A file or a folder that has more than this asks more than one question.
MOST_LINES, MOST_FILES = 425, 13
#: Floors that nobody imports from; their rooms know one another's files.
_TOP = ("lickwright.cli", "lickwright.studio")


def _name(path: Path) -> str:
    parts = path.relative_to(ROOT.parent).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


MODULES = {_name(path): path for path in sorted(ROOT.rglob("*.py"))}
PACKAGES = {name for name, path in MODULES.items() if path.name == "__init__.py"}


def _imports(name: str) -> set[str]:
    """The modules that a module names in any of its imports, wherever they stand."""
    found = set()
    for node in ast.walk(ast.parse(MODULES[name].read_text("utf-8"))):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names if alias.name in MODULES}
        elif isinstance(node, ast.ImportFrom) and node.module in MODULES:
            for alias in node.names:
                inner = f"{node.module}.{alias.name}"
                found.add(inner if inner in MODULES else node.module)
    return found - {name}


GRAPH = {name: _imports(name) for name in MODULES}


def _offered(package: str) -> set[str]:
    """The names that a package's ``__init__`` offers, modules among them."""
    for node in ast.parse(MODULES[package].read_text("utf-8")).body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__":
            return set(ast.literal_eval(node.value))
    return set()


def test_there_are_imports_to_look_at() -> None:
    assert len(MODULES) > 250
    assert sum(map(len, GRAPH.values())) > 1000


def test_a_floor_is_entered_by_its_door() -> None:
    """Who stands outside a room imports from its ``__init__``, never from a file inside."""
    through_the_wall = [
        f"{name} imports {other}"
        for name, others in GRAPH.items()
        for other in others
        if other not in PACKAGES and other.count(".") > 1 and not other.startswith(_TOP)
        if other.rpartition(".")[2] not in _offered(other.rpartition(".")[0])
        if not f"{name}.".startswith(other.rpartition(".")[0] + ".")
    ]
    assert through_the_wall == []


def test_a_room_says_its_question() -> None:
    silent = [
        name
        for name in PACKAGES
        if not (ast.get_docstring(ast.parse(MODULES[name].read_text("utf-8"))) or "").strip()
    ]
    assert silent == []


def test_one_class_name_is_one_thing() -> None:
    homes: dict[str, list[str]] = {}
    for name, path in MODULES.items():
        for node in ast.parse(path.read_text("utf-8")).body:
            if isinstance(node, ast.ClassDef):
                homes.setdefault(node.name.lstrip("_"), []).append(name)
    assert {noun: places for noun, places in homes.items() if len(places) > 1} == {}


def test_nothing_goes_round_in_circles() -> None:
    """Not through an import inside a function, nor through one for types."""
    try:
        TopologicalSorter(GRAPH).prepare()
    except CycleError as error:
        raise AssertionError(" -> ".join(error.args[1])) from error


def test_rooms_are_small() -> None:
    """By the code in a file: what a docstring says of it, with examples, may take its room."""
    long = {name: _lines_of_code(path) for name, path in MODULES.items()}
    assert {name: lines for name, lines in long.items() if lines > MOST_LINES} == {}
    folders: dict[Path, int] = {}
    for path in MODULES.values():
        folders[path.parent] = folders.get(path.parent, 0) + (path.name != "__init__.py")
    assert {str(folder): n for folder, n in folders.items() if n > MOST_FILES} == {}


def _lines_of_code(path: Path) -> int:
    text = path.read_text("utf-8")
    said = 0
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef) and ast.get_docstring(
            node
        ):
            first = node.body[0]
            said += (first.end_lineno or first.lineno) - first.lineno + 1
    return len(text.splitlines()) - said
