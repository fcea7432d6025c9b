"""Is a lesson ever half-published, whatever kills its build? And what if two build one folder?

    python bench/kills.py [--kills 100] [--edits 200] [--start 1]

A small lesson is built to and fro between two texts, and each build is killed (SIGKILL) at a random
moment, half of them within the publishing; all the time another process opens the entry, follows
its links, and compares what it finds with the two lessons as a clean folder has them.  After each
kill the folder is built again and compared byte by byte.  Then two processes build into one folder,
each an edit of its own again and again, and every build that was turned away is counted.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import random
import re
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from lickwright.files.lock import BusyError
from lickwright.lesson.file.reading import load_lesson
from lickwright.publish.building import build

LESSON = """\
lesson: Small Lesson
key: D dorian
tempo: {{slow: 200, target: 200}}
backing: none
text: {words}
examples:
  - name: One bar
    triads: [F]
    over: D
    frets: {low}-9
    rhythm: 8ths
"""
#: A build that says when it begins, and when it begins to publish.
BUILD = """\
import sys
from lickwright.publish import building as module
from lickwright.publish.staging import Staging
publish = Staging.publish
def told(self, steps):
    print("publishing", flush=True)
    publish(self, steps)
Staging.publish = told
from lickwright.lesson.file.reading import load_lesson
lesson = load_lesson(sys.argv[1])
print("building", flush=True)
module.build(lesson, sys.argv[2])
"""
MINE = "my own notes.txt"
_LINK = re.compile(r'(?:<a href|<audio [^>]*?\bsrc)="([^"#]+)"')


def found(out: Path) -> tuple[tuple[str, str], ...] | None:
    """The plain names and hashes of all that the entry leads to; ``None`` without an entry."""
    try:
        page = (out / "index.html").read_text(encoding="utf-8")
    except FileNotFoundError:
        return None
    hashes = {"index.html": hashlib.sha256(page.encode()).hexdigest()}
    for link in _LINK.findall(page):
        name = re.sub("^made/[0-9a-f]{16}/", "", link)
        hashes[name] = hashlib.sha256((out / link).read_bytes()).hexdigest()
    return tuple(sorted(hashes.items()))


def poll(out: Path, stop: Path) -> None:
    """Read the lesson again and again, and say at the end how often each was found."""
    seen: Counter[str] = Counter()
    while not stop.exists():
        try:
            seen[json.dumps(found(out))] += 1
        except OSError as error:
            seen[f"lost: {error}"] += 1
        time.sleep(0.002)  # the builds are to have the processor
    print(json.dumps(seen))


def _start(code: str, *given: Path | str) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", code, *map(str, given)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True)


def _poller(out: Path, stop: Path) -> subprocess.Popen[str]:
    command = [sys.executable, __file__, "--poll", str(out), str(stop)]
    return subprocess.Popen(command, stdout=subprocess.PIPE, text=True)


def _plain(out: Path) -> dict[str, bytes]:
    """All but the versions before the one that the entry names."""
    files = {p.relative_to(out).as_posix(): p.read_bytes() for p in out.rglob("*") if p.is_file()}
    named = re.search(rb'lickwright-version" content="(\w+)"', files["index.html"])
    assert named is not None
    of_now = f"made/{named[1].decode()}/"
    return {n: d for n, d in files.items() if not n.startswith("made/") or n.startswith(of_now)}


def kills(place: Path, count: int, chance: random.Random) -> dict[str, int]:
    """Kill builds; what the reader saw, and what building again made of it."""
    texts, clean, known = [], [], {}
    for number, words in enumerate(("The former one.", "Another one.")):
        texts.append(place / f"{number}.yaml")
        texts[-1].write_text(LESSON.format(words=words, low=5 + number), encoding="utf-8")
        _start(BUILD, texts[-1], place / f"clean{number}").wait()
        clean.append(_plain(place / f"clean{number}"))
        known[json.dumps(found(place / f"clean{number}"))] = number
    out, stop = place / "out", place / "stop"
    shutil.copytree(place / "clean0", out)
    (out / MINE).write_text("mine")
    mine = {MINE: b"mine"}
    poller = _poller(out, stop)
    tally: Counter[str] = Counter()
    takes, publishing = 1.0, 0.1
    for number in range(1, count + 1):
        which = number % 2
        process = _start(BUILD, texts[which], out)
        assert process.stdout is not None
        process.stdout.readline()
        if number % 2 == chance.randrange(2):
            time.sleep(chance.uniform(0, takes))
        else:
            process.stdout.readline()
            time.sleep(chance.uniform(0, publishing))
        process.send_signal(signal.SIGKILL)
        tally["killed"] += process.wait() == -signal.SIGKILL
        tally[f"then the {'new' if known.get(json.dumps(found(out))) == which else 'former'}"] += 1
        began = time.perf_counter()
        again = _start(BUILD, texts[which], out)
        assert again.stdout is not None
        again.stdout.readline()
        began, said = time.perf_counter(), again.stdout.readline()
        if said:
            takes = time.perf_counter() - began
            began = time.perf_counter()
        again.wait()
        if said:
            publishing = time.perf_counter() - began
        tally["rebuilt wrongly"] += again.returncode != 0 or _plain(out) != clean[which] | mine
    stop.touch()
    seen: dict[str, int] = json.loads(poller.communicate()[0])
    tally["read whole"] = sum(times for what, times in seen.items() if what in known)
    tally["read lost"] = sum(times for what, times in seen.items() if what.startswith("lost"))
    tally["read mixed"] = sum(seen.values()) - tally["read whole"] - tally["read lost"]
    return dict(tally)


def edit(path: Path, out: Path, count: int) -> None:
    """Build many edits of one lesson, waiting where another build holds the folder."""
    tally: Counter[str] = Counter()
    text = path.read_text(encoding="utf-8")
    for number in range(count):
        path.write_text(text + f"closing: {path.stem}, edit {number}.\n", encoding="utf-8")
        while True:
            try:
                build(load_lesson(path), out)
            except BusyError as error:
                tally["turned away"] += 1
                told = "another build is writing this folder" in str(error)
                tally["without a word"] += not told
                time.sleep(0.02)
            else:
                tally["built"] += 1
                break
    print(json.dumps(tally))


def two_builds(place: Path, count: int) -> dict[str, int]:
    """Two processes, one folder; what came of all their builds."""
    out, stop = place / "shared", place / "stop-shared"
    both = []
    for name in ("one", "two"):
        path = place / f"{name}.yaml"
        path.write_text(LESSON.format(words=f"Of {name}.", low=5), encoding="utf-8")
        command = [sys.executable, __file__, "--edit", str(path), str(out), str(count)]
        both.append(subprocess.Popen(command, stdout=subprocess.PIPE, text=True))
    poller = _poller(out, stop)
    tally: Counter[str] = Counter()
    for process in both:
        tally.update(json.loads(process.communicate()[0]))
        tally["failed"] += process.returncode != 0
    stop.touch()
    seen: dict[str, int] = json.loads(poller.communicate()[0])
    tally["read"] = sum(seen.values())
    tally["read lost"] = sum(times for what, times in seen.items() if what.startswith("lost"))
    last = max((place / f"{name}.yaml" for name in ("one", "two")), key=os.path.getmtime)
    build(load_lesson(last), out)
    build(load_lesson(last), place / "clean-shared")
    tally["wrong at the end"] += _plain(out) != _plain(place / "clean-shared")
    return dict(tally)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=100)
    parser.add_argument("--edits", type=int, default=200)
    parser.add_argument("--start", type=int, default=1)
    parser.add_argument("--poll", nargs=2, type=Path, help=argparse.SUPPRESS)
    parser.add_argument("--edit", nargs=3, help=argparse.SUPPRESS)
    given = parser.parse_args()
    if given.poll:
        poll(*given.poll)
    elif given.edit:
        edit(Path(given.edit[0]), Path(given.edit[1]), int(given.edit[2]))
    else:
        with tempfile.TemporaryDirectory() as place:
            if given.kills:
                print("kills", kills(Path(place), given.kills, random.Random(given.start)))
            if given.edits:
                print("two builds", two_builds(Path(place), given.edits))


if __name__ == "__main__":
    main()
