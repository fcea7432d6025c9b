"""Every example in a docstring of the package runs and gives what it shows."""

from __future__ import annotations

import doctest
import importlib
import io
import pkgutil

import pytest

import lickwright

MODULES = [
    "lickwright",
    *(
        module.name
        for module in pkgutil.walk_packages(lickwright.__path__, "lickwright.")
        if not module.name.endswith("__main__")
    ),
]


def _with_examples(name: str) -> list[doctest.DocTest]:
    found = doctest.DocTestFinder(exclude_empty=True).find(importlib.import_module(name))
    return [each for each in found if each.examples]


EXAMPLES = {name: found for name in MODULES if (found := _with_examples(name))}


def test_there_are_examples_in_the_rooms() -> None:
    assert len(MODULES) > 250
    assert len(EXAMPLES) > 20


@pytest.mark.parametrize("name", sorted(EXAMPLES))
def test_the_examples_give_what_they_show(name: str) -> None:
    said = io.StringIO()
    runner = doctest.DocTestRunner(optionflags=doctest.NORMALIZE_WHITESPACE)
    for example in EXAMPLES[name]:
        runner.run(example, out=said.write)
    assert runner.tries > 0
    assert runner.failures == 0, said.getvalue()
