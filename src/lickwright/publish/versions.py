"""Which lesson does an output folder hold, whole?

Every build makes a *version*: a folder ``made/<version>/`` with all files of the lesson, its own
``index.html`` with plain links among them.  The name is a hash of the manifest, and so of every
byte.  The output folder's own ``index.html``, the *entry*, is the same page with links into one
version, which it names: replacing that one file is what publishes a lesson.  The version before
stays until the next but one is published, so who read the entry just before finds all it links to.

Beside the entry the same files lie under their plain names (``lesson.pdf``, ``examples/...``), for
people and for what is used to them.  They are second names of the version's files where the file
system can do that, else copies; they are renewed after the entry, and their own manifest last.
Who needs a lesson that is surely of one piece reads it through the entry or :func:`current_files`.
"""

from __future__ import annotations

import os
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from lickwright.files import OutsideError, TooLargeError, inside, is_plain_file, read_plain
from lickwright.publish.manifest import (
    MANIFEST_NAME,
    MAX_MANIFEST_BYTES,
    BuildStep,
    digest,
    files_of,
    manifest_bytes,
    read_manifest,
)

#: Where versions lie in an output folder, the entry, and what names a version's files and hashes.
MADE, ENTRY, STEPS = "made", "index.html", ".steps.json"
_MOST_PAGE_BYTES = 256_000_000
_META = '<meta name="lickwright-version" content="{}">\n'
_NAMED = re.compile(rb'<meta name="lickwright-version" content="([0-9a-f]{16})">')
_VERSION = re.compile(r"[0-9a-f]{16}")
_CHARSET = '<meta charset="utf-8">\n'
#: The links that the page makes to files beside it; text in it holds no quotes or tags of its own.
_LINKS = re.compile(r'(<a href=")([^"#][^"]*" download>)|(<audio [^>]*?\bsrc=")')


@dataclass(frozen=True, slots=True)
class Standing:
    """What stands in an output folder when a build begins.

    Attributes
    ----------
    version : what the entry names, where such a version is there and its manifest is sound.
    steps : what may be kept of that version; nothing where either manifest is damaged.
    ours : every name that a manifest of the entry's version or of the plain names records.
    hashes : every hash that any sound manifest here records for a name.
    """

    version: str | None
    steps: Mapping[str, BuildStep]
    ours: frozenset[str]
    hashes: Mapping[str, frozenset[str]]


def version_of(steps: Mapping[str, BuildStep]) -> str:
    """The name of the version that these steps made."""
    return digest(manifest_bytes(steps))[:16]


def version_path(version: str) -> str:
    """Where a version lies, relative to the output folder."""
    return f"{MADE}/{version}"


def entry_page(page: bytes, version: str) -> bytes:
    """The entry: a version's own page with links into the version, which it names.

    Examples
    --------
    >>> page = b'<meta charset="utf-8">\\n<a href="lesson.pdf" download>'
    >>> print(entry_page(page, "0123456789abcdef").decode())
    <meta charset="utf-8">
    <meta name="lickwright-version" content="0123456789abcdef">
    <a href="made/0123456789abcdef/lesson.pdf" download>
    """
    into = f"{version_path(version)}/"

    def linked(found: re.Match[str]) -> str:
        return f"{found[1]}{into}{found[2]}" if found[1] else f"{found[3]}{into}"

    head, mark, rest = page.decode().partition(_CHARSET)
    return (head + mark + _META.format(version) + _LINKS.sub(linked, rest)).encode()


def named_version(out: Path) -> str | None:
    """The version that the entry names, whether or not it is there."""
    page = _read(out, ENTRY, _MOST_PAGE_BYTES)
    found = _NAMED.search(page) if page is not None else None
    return found[1].decode() if found else None


def version_steps(out: Path, version: str) -> dict[str, BuildStep] | None:
    """The steps of a version; ``None`` where it is not there or its manifest is damaged."""
    data = _read(out, f"{version_path(version)}/{STEPS}", MAX_MANIFEST_BYTES)
    if data is None or digest(data)[:16] != version:
        return None
    return read_manifest(data)


def versions(out: Path) -> list[str]:
    """Every folder in ``made`` that is named as a version is."""
    try:
        with os.scandir(inside(out, MADE)) as entries:
            return sorted(
                entry.name
                for entry in entries
                if _VERSION.fullmatch(entry.name) and entry.is_dir(follow_symlinks=False)
            )
    except (OSError, OutsideError):
        return []


def standing(out: Path) -> Standing:
    """What stands in an output folder; nothing that is read there is trusted."""
    sound = {v: found for v in versions(out) if (found := version_steps(out, v)) is not None}
    data = _read(out, MANIFEST_NAME, MAX_MANIFEST_BYTES)
    plain = read_manifest(data) if data is not None else None
    version = named_version(out)
    current = sound.get(version) if version is not None else None
    steps: Mapping[str, BuildStep] = {} if current is None else current
    if os.path.lexists(out / MANIFEST_NAME) and (plain is None or version_of(plain) not in sound):
        steps = {}  # damaged, or bent: nothing is taken on its word
    hashes: dict[str, frozenset[str]] = {}
    for known in (*sound.values(), plain or {}):
        for name, its in files_of(known).items():
            hashes[name] = hashes.get(name, frozenset()) | {its}
    return Standing(
        version if current is not None else None,
        steps,
        frozenset(files_of(current or {})) | frozenset(files_of(plain or {})),
        hashes,
    )


def current_files(out: str | os.PathLike[str]) -> list[tuple[str, Path]]:
    """The files of the lesson that the entry stands for, all of one version, to pack or to serve.

    Parameters
    ----------
    out : the output folder of a build.

    Returns
    -------
    Plain name (``lesson.pdf``, ``examples/01-the-pair.mid``) and path of each file that people may
    see, by name; the ``index.html`` among them links to the others by their plain names.  Empty
    where the folder holds no lesson; a folder that a version without ``made`` built gives the plain
    files that its manifest names.
    """
    out = Path(out)
    version = named_version(out)
    steps = version_steps(out, version) if version is not None else None
    at = "" if version is None else f"{version_path(version)}/"
    if version is None:
        data = _read(out, MANIFEST_NAME, MAX_MANIFEST_BYTES)
        steps = read_manifest(data) if data is not None else None
    found = []
    for name in sorted(files_of(steps or {})):
        if any(part.startswith(".") for part in name.split("/")):
            continue
        try:
            path = inside(out, at + name)
        except OutsideError:
            continue
        if is_plain_file(path):
            found.append((name, path))
    return found


def _read(out: Path, name: str, most: int) -> bytes | None:
    """A plain file in the folder; ``None`` where there is none that can be read."""
    try:
        return read_plain(inside(out, name), most)
    except (OSError, OutsideError, TooLargeError):
        return None
