"""Kill a program while it edits a lesson, many times, and say what was left on the disk.

Run as a program of its own, since it forks: each child edits in a loop and tells, edit by edit,
that it was done; the parent kills it at a random moment.  Prints one JSON list of rounds: the
last edit that was told, and the edits that the file and the draft then held.
"""

from __future__ import annotations

import json
import os
import random
import re
import signal
import sys
import time
from pathlib import Path

from lickwright.lesson.edit.document import LessonDocument
from lickwright.lesson.file.reading import load_lesson

GOOD, BROKEN = "closing: edit", "closing: [edit"


def edit(path: Path, told: int) -> None:
    """Edit for ever: edit 1, 2, 3 and so on; every third one makes the text no lesson."""
    document = LessonDocument.open(path)
    first = document.text
    os.write(told, b"0\n")
    for number in range(1, 1_000_000):
        words = f"{BROKEN if number % 3 == 0 else GOOD} {number}\n"
        document.replace_text(first + words + "# the last line\n")
        os.write(told, b"%d\n" % number)


def held(path: Path) -> int | None:
    """The number of the edit that a file holds whole; 0 for none, None where it is not whole."""
    text = path.read_text(encoding="utf-8")
    if not text.endswith("# the last line\n"):
        return 0 if text.endswith("rhythm: q\n") else None
    return int(re.findall(r"closing: \[?edit (\d+)\n# the last line\n$", text)[0])


def one_round(path: Path, edits: int, wait_s: float) -> dict[str, int | bool | None]:
    """One child, killed some time after so many edits: what it told and what it left."""
    ear, mouth = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(ear)
        try:
            edit(path, mouth)
        finally:
            os._exit(1)
    os.close(mouth)
    with os.fdopen(ear, "rb", buffering=0) as heard:
        said = b""
        while said.count(b"\n") <= edits:  # it is at work, however busy the machine is
            said += heard.read(2)
        time.sleep(wait_s)
        os.kill(child, signal.SIGKILL)
        os.waitpid(child, 0)
        told = [int(line) for line in (said + heard.readall()).split()]
    drafts = list(path.parent.glob(f".{path.name}.*.draft"))
    assert len(drafts) < 2, "one program has one draft"
    load_lesson(path)
    offered = LessonDocument.open(path).drafts
    assert not any(draft.is_held for draft in offered), "a lock ends with its program"
    return {
        "told": told[-1],
        "file": held(path),
        "draft": held(drafts[0]) if drafts else None,
        "offered": [draft.path for draft in offered] == drafts != [],
    }


def main() -> None:
    path, rounds, seed = Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3])
    text = path.read_bytes()
    chance = random.Random(seed)
    results = []
    for _ in range(rounds):
        for leftover in path.parent.iterdir():
            leftover.unlink()
        path.write_bytes(text)
        results.append(one_round(path, chance.randrange(8), chance.uniform(0.0, 0.02)))
    print(json.dumps(results))


if __name__ == "__main__":
    main()
