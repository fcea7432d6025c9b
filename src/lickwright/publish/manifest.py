"""What an output folder was last built from, so that a build does only what changed.

The manifest is one JSON file beside the files of a build.  For every step of the build (an
example, the sheet, the index) it holds a hash of all that the step reads, the hash of every file it
wrote, and the *facts* that later steps need of it.  A step is kept when its inputs hash the same
and its files still are what it wrote; otherwise it is done again.

A manifest that was damaged or bent is as good as none, and the names in it are never trusted:
every one goes through :func:`lickwright.files.paths.inside` before a file is read, linked or
removed.
"""

from __future__ import annotations

import hashlib
import importlib.metadata
import json
import platform
import re
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path, PurePosixPath
from typing import Any

from lickwright.files import OutsideError, inside, may_lie_inside, read_plain

MANIFEST_NAME = ".lickwright.json"
_FORMAT = 1
#: A manifest longer than this is none of ours: a step takes a few thousand bytes.
MAX_MANIFEST_BYTES = 32_000_000
#: Packages whose version changes what a build reads, sounds, draws or writes; a test holds them
#: against what the modules below the build import.
_ENGINES = (
    "av",
    "jinja2",
    "markdown-it-py",
    "markupsafe",
    "mdurl",  # markdown-it-py leaves addresses to it
    "midirenderer",
    "mido",
    "numpy",
    "pillow",
    "pretty_midi",  # its bank is the band
    "pydantic",
    "pydantic_core",
    "pyloudnorm",
    "pyyaml",
    "scipy",
    "soundfile",
    "threadpoolctl",
    "typst",
    "verovio",
)


@dataclass(frozen=True, slots=True)
class BuildStep:
    """One finished step: what it was made from, what it wrote, what it learnt."""

    inputs: str
    files: Mapping[str, str]
    facts: Mapping[str, Any] = field(default_factory=dict)


def digest(data: bytes) -> str:
    """The hash by which files are known."""
    return hashlib.sha256(data).hexdigest()


def digest_of(value: Any) -> str:
    """The hash of plain data (what JSON can say)."""
    return digest(json.dumps(value, sort_keys=True, ensure_ascii=False, default=str).encode())


@lru_cache(maxsize=1)
def engine() -> str:
    """The hash of everything but the lesson that decides what a build writes.

    It covers our own source, not only its version: a developer's edit must rebuild.  Python is
    part of it for its tables of letters, and zlib for the bytes of a packed file.
    """
    root = Path(__file__).parents[1]
    sources = {
        str(path.relative_to(root)): digest(path.read_bytes())
        for path in sorted(root.rglob("*"))
        if path.is_file() and path.suffix in {".py", ".typ", ".html", ".css", ".js"}
    }
    versions = {name: importlib.metadata.version(name) for name in _ENGINES}
    versions |= {"python": platform.python_version(), "zlib": zlib.ZLIB_RUNTIME_VERSION}
    return digest_of([sources, versions])


def read_manifest(data: bytes) -> dict[str, BuildStep] | None:
    """The steps that a manifest names; ``None`` where it is damaged in any way.

    It is taken only where writing its steps again would give the very same bytes: nothing that we
    would not have written ourselves is ever acted upon.

    Examples
    --------
    >>> read_manifest(manifest_bytes({}))
    {}
    >>> read_manifest(b'{"format": 1, "steps": 5}') is None
    True
    """
    try:
        raw = json.loads(data.decode(), parse_constant=_refused)
        steps = {name: _step(step) for name, step in _known_keys(raw, _KEYS)["steps"].items()}
        return steps if manifest_bytes(steps) == data else None
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError):
        return None


_KEYS = frozenset({"format", "steps"})
_STEP_KEYS = frozenset({"inputs", "files", "facts"})
_FLAW_KEYS = frozenset({"severity", "key", "what", "mend"})


def _step(raw: Any) -> BuildStep:
    """A step from what JSON said, or an error where any part is not as a build writes it."""
    raw = _known_keys(raw, _STEP_KEYS)
    files, facts = raw["files"], raw["facts"]
    names = set(files)
    if not all(_is_hash(known) for known in (raw["inputs"], *files.values())):
        raise ValueError("no hash")
    if not all(may_lie_inside(name) for name in names):
        raise ValueError("a name that leads elsewhere")
    if any(str(parent) in names for name in names for parent in PurePosixPath(name).parents):
        raise ValueError("a file in a file")
    flaws = _known_keys(facts, frozenset({"flaws"}) if facts else frozenset()).get("flaws", [])
    if not isinstance(flaws, list):
        raise TypeError("not a list")
    for flaw in flaws:
        if not all(isinstance(words, str) for words in _known_keys(flaw, _FLAW_KEYS).values()):
            raise TypeError("words are text")
        if flaw["severity"] not in ("error", "warning", "meant"):
            raise ValueError("no such severity")
    return BuildStep(raw["inputs"], files, facts)


def _known_keys(raw: Any, keys: frozenset[str]) -> dict[str, Any]:
    if not isinstance(raw, dict) or raw.keys() != keys:
        raise TypeError("not the keys that a build writes")
    return raw


def _is_hash(text: Any) -> bool:
    return isinstance(text, str) and re.fullmatch(r"[0-9a-f]{64}", text) is not None


def _refused(text: str) -> float:
    raise ValueError(f"{text} is no number of ours")


def manifest_bytes(steps: Mapping[str, BuildStep]) -> bytes:
    """The manifest as it is written; the same steps give the same bytes."""
    data = {
        "format": _FORMAT,
        "steps": {
            name: {"inputs": step.inputs, "files": dict(step.files), "facts": dict(step.facts)}
            for name, step in steps.items()
        },
    }
    return (json.dumps(data, ensure_ascii=False, sort_keys=True, indent=1) + "\n").encode()


def files_of(steps: Mapping[str, BuildStep]) -> dict[str, str]:
    """The files of all steps, each with its hash."""
    return {name: known for step in steps.values() for name, known in step.files.items()}


def is_whole(folder: Path, step: BuildStep) -> bool:
    """Whether every file of a step is still what the step wrote."""
    return all(holds(folder, name, known) for name, known in step.files.items())


def holds(folder: Path, name: str, known: str) -> bool:
    """Whether a plain file inside a folder has this hash; ``False`` where there is none."""
    try:
        return digest(read_plain(inside(folder, name))) == known
    except (OSError, OutsideError):
        return False
