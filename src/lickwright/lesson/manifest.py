"""What an output folder was last built from, so that a build does only what changed.

The manifest is one JSON file in the output folder.  For every step of the build (an example, the
sheet, the index) it holds a hash of all that the step reads, the hash of every file it wrote, and
the *facts* that later steps need of it.  A step is kept when its inputs hash the same and its
files still are what it wrote; otherwise it is done again.
"""

from __future__ import annotations

import hashlib
import importlib.metadata
import json
import platform
import zlib
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any

import lickwright

MANIFEST_NAME = ".lickwright.json"
_FORMAT = 1
#: Packages whose version changes what a build reads, sounds, draws or writes; a test holds them
#: against what the modules below the build import.
_ENGINES = (
    "av",
    "markdown-it-py",
    "mdurl",  # markdown-it-py leaves addresses to it
    "midirenderer",
    "mido",
    "numpy",
    "pillow",
    "pretty_midi",  # its bank is the band
    "pydantic",
    "pydantic_core",
    "pyloudnorm",
    "ruamel.yaml",
    "scipy",
    "soundfile",
    "typst",
    "verovio",
)


@dataclass(frozen=True, slots=True)
class Step:
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
    root = Path(lickwright.__file__).parent
    sources = {
        str(path.relative_to(root)): digest(path.read_bytes())
        for path in sorted(root.rglob("*"))
        if path.is_file() and path.suffix in {".py", ".typ", ".html", ".css", ".js"}
    }
    versions = {name: importlib.metadata.version(name) for name in _ENGINES}
    versions |= {"python": platform.python_version(), "zlib": zlib.ZLIB_RUNTIME_VERSION}
    return digest_of([sources, versions])


def read_manifest(folder: Path) -> dict[str, Step]:
    """The steps that the folder remembers; none where it has no manifest that we can read.

    A manifest that was damaged is as good as none: everything is then built again.
    """
    try:
        data = json.loads((folder / MANIFEST_NAME).read_text(encoding="utf-8"))
        if data["format"] != _FORMAT:
            return {}
        return {name: Step(**step) for name, step in data["steps"].items()}
    except FileNotFoundError:
        return {}
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        return {}


def manifest_bytes(steps: Mapping[str, Step]) -> bytes:
    """The manifest as it is written; the same steps give the same bytes."""
    data = {
        "format": _FORMAT,
        "steps": {
            name: {"inputs": step.inputs, "files": dict(step.files), "facts": dict(step.facts)}
            for name, step in steps.items()
        },
    }
    return (json.dumps(data, ensure_ascii=False, sort_keys=True, indent=1) + "\n").encode()


def is_whole(folder: Path, step: Step) -> bool:
    """Whether every file of a step is still what the step wrote."""
    for name, known in step.files.items():
        try:
            if digest((folder / name).read_bytes()) != known:
                return False
        except OSError:
            return False
    return True
