"""What a room offers says what goes in, what comes out, and shows an example that runs.

The examples themselves are run by pytest (``--doctest-modules``) with the rest of the tests.
"""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import lickwright

#: The rooms whose functions owe a whole docstring; those above them follow.
FLOORS = ("theory", "neck", "lick", "changes", "score")
#: What is still to be written; the list only shrinks.
MISSING = set((Path(__file__).parent / "missing_docstrings.txt").read_text("utf-8").split())


def _offered() -> Iterator[tuple[str, Callable[..., Any]]]:
    """Each function that a room's ``__init__`` offers, by the name that others import it by."""
    for module in pkgutil.walk_packages(lickwright.__path__, "lickwright."):
        if not module.ispkg or module.name.split(".")[1] not in FLOORS:
            continue
        room = importlib.import_module(module.name)
        for name in room.__all__:
            offered = inspect.unwrap(getattr(room, name))
            if inspect.isfunction(offered):
                yield f"{module.name.removeprefix('lickwright.')}.{name}", offered


OFFERED = dict(_offered())


def _lacks(function: Callable[..., Any]) -> set[str]:
    """What a docstring does not say and owes."""
    text = inspect.getdoc(function) or ""
    sections = {found[1] for found in re.finditer(r"^(\w+)\n-{3,}$", text, re.MULTILINE)}
    signature = inspect.signature(function)
    lacks = set()
    if not text.split("\n")[0].strip():
        lacks.add("a first line")
    if signature.parameters and "Parameters" not in sections:
        lacks.add("Parameters")
    if signature.return_annotation not in (None, "None") and "Returns" not in sections:
        lacks.add("Returns")
    if "Examples" not in sections or ">>> " not in text:
        lacks.add("Examples")
    return lacks


def test_what_is_offered_says_what_goes_in_and_comes_out() -> None:
    assert len(OFFERED) > 100
    lacking = {name: _lacks(function) for name, function in OFFERED.items()}
    assert {name: lacks for name, lacks in lacking.items() if lacks and name not in MISSING} == {}


def test_the_list_of_what_is_missing_only_shrinks() -> None:
    """A name leaves the list with the commit that writes its docstring."""
    written = {name for name in MISSING if name in OFFERED and not _lacks(OFFERED[name])}
    assert written == set(), "take these out of tests/missing_docstrings.txt"
    assert MISSING - set(OFFERED) == set(), "these are offered no more"


def test_every_parameter_that_is_described_is_there_and_every_one_there_is_described() -> None:
    wrong = {}
    for name, function in OFFERED.items():
        if name in MISSING:
            continue
        text = inspect.getdoc(function) or ""
        block = re.search(r"^Parameters\n-+\n(.*?)(?=^\w+\n-{3,}$|\Z)", text, re.M | re.S)
        said = {
            each.strip()
            for found in re.finditer(r"^(\w[\w, *]*) :", block[1] if block else "", re.MULTILINE)
            for each in found[1].split(",")
        }
        there = set(inspect.signature(function).parameters)
        if said != there:
            wrong[name] = sorted(said ^ there)
    assert wrong == {}
