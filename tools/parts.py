"""Which packages does Lickwright bring with it?

Read from pyproject.toml and from what the installed packages ask for in turn, so that no list is
kept by hand.  What only some systems need counts as this machine has it.
"""

from __future__ import annotations

import importlib.metadata
import re
import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from importlib.metadata import Distribution
from pathlib import Path

from packaging.requirements import Requirement

ROOT = Path(__file__).parent.parent
#: The parts that may be left out, and that a user may ask for.
EXTRAS = ("cluster", "postgres")
_CARRIED = re.compile(r"(^|/)[\w.-]*(\.libs|\.dylibs|_data)/[^/]*\.(so|dylib|dll)\b[^/]*$")


@dataclass(frozen=True, slots=True)
class Part:
    """One package.

    Parameters
    ----------
    name : as the package writes it.
    needs : plain names of the packages that it asks for here.
    direct : whether we name it ourselves.
    """

    name: str
    version: str
    terms: str
    needs: tuple[str, ...]
    direct: bool
    carries: tuple[str, ...]

    @property
    def plain(self) -> str:
        return plain(self.name)


def plain(name: str) -> str:
    """A package's name as registries compare it."""
    return re.sub(r"[-_.]+", "-", name).lower()


def parts(extra: str | None = None) -> dict[str, Part]:
    """Every package that we bring, by its plain name; or those that an extra brings beside."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]
    found = _below(project["dependencies"])
    if extra is None:
        return found
    more = _below(project["optional-dependencies"][extra])
    return {name: part for name, part in more.items() if name not in found}


def _below(texts: Iterable[str]) -> dict[str, Part]:
    asked = [Requirement(text) for text in texts]
    direct = {plain(requirement.name) for requirement in asked}
    extras: dict[str, set[str]] = {}
    waiting = [(requirement, extra) for requirement in asked for extra in _extras(requirement)]
    seen: set[tuple[str, str]] = set()
    while waiting:
        requirement, extra = waiting.pop()
        name = plain(requirement.name)
        if (name, extra) in seen:
            continue
        seen.add((name, extra))
        extras.setdefault(name, set()).add(extra)
        for need in _needs(importlib.metadata.distribution(name), extra):
            waiting += [(need, more) for more in _extras(need)]
    return {
        name: _part(importlib.metadata.distribution(name), extras[name], name in direct)
        for name in sorted(extras)
    }


def _extras(requirement: Requirement) -> list[str]:
    return ["", *sorted(requirement.extras)]


def _needs(home: Distribution, extra: str) -> Iterator[Requirement]:
    for text in home.requires or []:
        requirement = Requirement(text)
        if requirement.marker is None or requirement.marker.evaluate({"extra": extra}):
            yield requirement


def _part(home: Distribution, extras: set[str], direct: bool) -> Part:
    needs = {plain(need.name) for extra in extras for need in _needs(home, extra)}
    carried = {_library(str(file)) for file in home.files or [] if _CARRIED.search(str(file))}
    return Part(
        home.metadata["Name"],
        home.version,
        _terms(home),
        tuple(sorted(needs - {plain(home.metadata["Name"])})),
        direct,
        tuple(sorted(carried)),
    )


def _library(path: str) -> str:
    """``libx264`` of ``av.libs/libx264-3f7a.so.165``."""
    return re.sub(
        r"([-_][0-9a-f]{6,})?([-_](x86_64|arm64|aarch64))?\.(so|dylib|dll).*$", "", Path(path).name
    ).split("-")[0]


def _terms(home: Distribution) -> str:
    """What a package says of its own terms: the first of three places that says anything."""
    about = home.metadata
    if expression := about.get("License-Expression"):
        return str(expression)
    named = [
        each.split(" :: ")[-1]
        for each in about.get_all("Classifier", [])
        if each.startswith("License :: ") and each != "License :: OSI Approved"
    ]
    if named:
        return "; ".join(named)
    first = str(about.get("License") or "").strip().split("\n")[0]
    if not first:
        raise SystemExit(f"{about['Name']} {home.version} says nothing of its terms: look and ask")
    return first
