"""Small lessons that are published without any music being made, and a reader of them.

Run as a program of its own, since it forks: kills a publication before and after every single
call that changes the file system, and says in one JSON list what a reader found each time.
"""

from __future__ import annotations

import json
import os
import re
import shutil
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from lickwright.files.lock import writing
from lickwright.publish.manifest import BuildStep, digest
from lickwright.publish.staging import Staging
from lickwright.publish.versions import standing

Files = dict[str, bytes]


def lesson(words: str, *more: str, kept: str = "sound") -> Files:
    """A lesson whose page links to all its files; one of them is the same whatever the words."""
    names = ["lesson.pdf", "examples/01.mid", "examples/kept.wav", *more]
    links = "".join(f'<a href="{name}" download>{name}</a>\n' for name in names)
    files = {name: f"{name} {words}".encode() for name in names}
    files["examples/kept.wav"] = kept.encode()
    page = f'<!doctype html>\n<meta charset="utf-8">\n<h1>{words}</h1>\n{links}'
    return {**files, "index.html": page.encode()}


def publish(out: Path, files: Files) -> None:
    """Publish a lesson as a build does: what the standing version has already is kept."""
    with writing(out):
        stands = standing(out)
        have = {n: h for step in stands.steps.values() for n, h in step.files.items()}
        with Staging(out, stands) as staging:
            for name, data in files.items():
                if have.get(name) != digest(data):
                    staging.add(name, data)
            hashes = {name: digest(data) for name, data in files.items()}
            staging.publish({"lesson": BuildStep(digest(b"made from"), hashes)})


def read(out: Path) -> Files:
    """What a reader finds who opens the entry and follows its links; ``{}`` without an entry."""
    try:
        page = (out / "index.html").read_bytes()
    except FileNotFoundError:
        return {}
    files = {"index.html": re.sub(rb'<meta name="lickwright-version".*\n', b"", page)}
    for link in re.findall(r'(?:<a|<audio)\b[^>]* (?:href|src)="([^"#]+)"', page.decode()):
        if not link.startswith("data:"):
            name = re.sub("^made/[0-9a-f]{16}/", "", link)
            files[name] = (out / link).read_bytes()
            files["index.html"] = files["index.html"].replace(link.encode(), name.encode())
    return files


def tree(out: Path) -> dict[str, bytes]:
    """Every file of a folder."""
    return {
        path.relative_to(out).as_posix(): path.read_bytes()
        for path in sorted(out.rglob("*"))
        if path.is_file()
    }


#: All calls by which publishing changes what is on the disk.
CHANGES = ("replace", "rename", "link", "unlink", "rmdir", "mkdir", "fsync", "open")


def killed_at(number: int, out: Path, files: Files, *, after: bool) -> bool:
    """Publish in a child that ends before or after its ``number``-th call; was it reached?"""
    child = os.fork()
    if child == 0:
        left = [number]

        def counted(call: Callable[..., Any]) -> Callable[..., Any]:
            def at(*given: Any, **named: Any) -> Any:
                left[0] -= 1
                if left[0] == 0 and not after:
                    os._exit(9)
                done = call(*given, **named)
                if left[0] == 0:
                    os._exit(9)
                return done

            return at

        for name in CHANGES:
            setattr(os, name, counted(getattr(os, name)))
        try:
            publish(out, files)
        except BaseException:
            os._exit(1)
        os._exit(0)
    code = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    if code not in (0, 9):
        raise AssertionError(f"the publication failed at call {number}")
    return code == 9


def main() -> None:
    place = Path(sys.argv[1])
    former, new = lesson("former", "examples/gone.mid"), lesson("new", "examples/02.mid")
    publish(place / "straight", former)
    publish(place / "straight", new)
    found = []
    for first in (True, False):
        for after in (False, True):
            number, reached = 0, True
            while reached:
                number += 1
                out = place / "killed"
                shutil.rmtree(out, ignore_errors=True)
                out.mkdir()
                (out / "mine.txt").write_text("mine")
                if not first:
                    publish(out, former)
                reached = killed_at(number, out, new, after=after)
                then = read(out)
                publish(out, new)
                whole = tree(out)
                mine = whole.pop("mine.txt", b"")
                straight = tree(place / "straight")
                if first:
                    straight = {n: d for n, d in straight.items() if not is_former(n, whole)}
                found.append(
                    {
                        "first": first,
                        "call": number,
                        "reached": reached,
                        "read": "none"
                        if not then
                        else "former"
                        if then == former
                        else "new"
                        if then == new
                        else "mixture",
                        "mended": read(out) == new and whole == straight,
                        "mine": mine == b"mine",
                    }
                )
    print(json.dumps(found))


def is_former(name: str, whole: dict[str, bytes]) -> bool:
    """Whether a file is of a version that a folder built only once cannot have."""
    return name.startswith("made/") and name.split("/")[1] not in {
        other.split("/")[1] for other in whole if other.startswith("made/")
    }


if __name__ == "__main__":
    main()
