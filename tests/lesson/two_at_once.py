"""Two programs edit one lesson at once, are killed now and then, and lose nothing they told.

Each edit adds a line of its own to the text, such as ``# A 17``, so whatever was written anywhere
can be found again.  After each the program tells which of its lines it believes to be in the file
(saved) or in a draft (kept), and why a line is not in the file.  At the end the lines are looked
for in the file, in the versions beside it and in the drafts.

    python two_at_once.py LESSON EDITS START       prints what was found, as JSON
"""

from __future__ import annotations

import json
import os
import random
import re
import select
import subprocess
import sys
from pathlib import Path
from typing import Any

from lickwright.errors import LessonError
from lickwright.lesson.edit.document import LessonDocument
from lickwright.lesson.file.reading import load_lesson

MARK = re.compile(r"^# ([AB] \d+)$", re.MULTILINE)
BROKEN = "broken: [\n"


def marks(text: str) -> list[str]:
    return MARK.findall(text)


def decide(document: LessonDocument, chance: random.Random) -> list[str]:
    """Decide about what is offered, as a teacher might; the lines that are given up by it."""
    if document.look() and chance.random() < 0.4:
        if document.fault is None and chance.random() < 0.5:
            document.keep_mine()
            return []
        mine = document.text
        document.take_theirs()
        return [mark for mark in marks(mine) if mark not in marks(document.text)]
    for draft in document.drafts:
        if chance.random() < (0.05 if draft.is_held else 0.4):
            try:
                document.take_draft(draft)
            except LessonError as error:
                if "wait there any more" not in str(error):  # then the other one was quicker
                    raise
            break
    return []


def edit(path: Path, who: str, first: int, last: int, start: int) -> None:
    """Make edits FIRST to LAST, telling after each what it came to."""
    chance = random.Random(f"{who} {first} {start}")
    document = LessonDocument.open(path)
    for number in range(first, last + 1):
        gone = decide(document, chance)
        text = document.text.replace(BROKEN, "") + f"# {who} {number}\n"
        document.replace_text(text + BROKEN * (chance.random() < 0.3))
        if document.can_undo and chance.random() < 0.1:
            document.undo()
            document.redo()
        told = {
            "number": number,
            "marks": marks(document.text),
            "saved": document.saved,
            "kept": document.is_kept,
            "gone": gone,
            "why": [document.outside_change(), document.fault is not None],
        }
        os.write(1, json.dumps(told).encode() + b"\n")
    document.close()


class Editor:
    """One of the two: started, killed and started again until its edits are made."""

    def __init__(self, path: Path, who: str, edits: int, start: int) -> None:
        self.told: list[dict[str, Any]] = []
        self.kills = 0
        self.fault = ""
        self._heard = b""
        self._call = [sys.executable, __file__, str(path), str(edits), str(start), who]
        self._last = edits
        self._begin()

    def _begin(self) -> None:
        next_one = self.told[-1]["number"] + 1 if self.told else 1
        self.process = subprocess.Popen(
            [*self._call, str(next_one)], stdout=subprocess.PIPE, stderr=subprocess.PIPE
        )

    @property
    def is_done(self) -> bool:
        return bool(self.fault) or (bool(self.told) and self.told[-1]["number"] >= self._last)

    def hear(self) -> None:
        assert self.process.stdout is not None
        said = os.read(self.process.stdout.fileno(), 1 << 20)
        if not said:
            self.fault = self.process.communicate()[1].decode()
        *lines, self._heard = (self._heard + said).split(b"\n")
        self.told += map(json.loads, lines)

    def kill(self) -> None:
        self.process.kill()
        out, _ = self.process.communicate()
        *lines, _ = (self._heard + out).split(b"\n")
        self._heard = b""
        self.told += map(json.loads, lines)
        self.kills += 1
        if not self.is_done:
            self._begin()


def found(path: Path) -> dict[str, list[str]]:
    """The lines that each file in the folder holds."""
    return {each.name: marks(each.read_text("utf-8")) for each in path.parent.iterdir()}


def main(path: Path, edits: int, start: int) -> None:
    chance = random.Random(start)
    editors = [Editor(path, who, edits, start) for who in "AB"]
    kill_at = {who: chance.sample(range(5, edits), max(1, edits // 25)) for who in (0, 1)}
    while not all(editor.is_done for editor in editors):
        waiting = [editor for editor in editors if not editor.is_done]
        heard = select.select([editor.process.stdout for editor in waiting], [], [])[0]
        for at, editor in enumerate(editors):
            if editor in waiting and editor.process.stdout in heard:
                editor.hear()
                now = editor.told[-1]["number"] if editor.told else 0
                due = [number for number in kill_at[at] if number <= now]
                if due and not editor.is_done:
                    kill_at[at] = [number for number in kill_at[at] if number > now]
                    editor.kill()
    for editor in editors:
        editor.process.communicate()
    files = found(path)
    everywhere = {mark for held in files.values() for mark in held}
    told = [one for editor in editors for one in editor.told]
    saved = {mark for one in told if one["saved"] for mark in one["marks"]}
    kept = {mark for one in told if one["kept"] for mark in one["marks"]}
    gone = {mark for one in told for mark in one["gone"]}
    load_lesson(path)
    named = {draft.path.name for draft in LessonDocument.open(path).drafts}
    print(
        json.dumps(
            {
                "edits": [editor.told[-1]["number"] for editor in editors if editor.told],
                "kills": [editor.kills for editor in editors],
                "faults": [editor.fault for editor in editors if editor.fault],
                "saved": len(saved),
                "kept": len(kept - saved),
                "lost": sorted(saved - everywhere) + sorted(kept - gone - saved - everywhere),
                "neither": sum(not (one["saved"] or one["kept"]) for one in told),
                "unexplained": sum(not one["saved"] and not any(one["why"]) for one in told),
                "beside": len([name for name in files if name.startswith("lesson.")]) - 1,
                "unnamed": sorted({n for n in files if n.endswith(".draft")} - named),
            }
        )
    )


if __name__ == "__main__":
    if len(sys.argv) > 4:
        edit(Path(sys.argv[1]), sys.argv[4], int(sys.argv[5]), int(sys.argv[2]), int(sys.argv[3]))
    else:
        main(Path(sys.argv[1]), int(sys.argv[2]), int(sys.argv[3]))
