"""Do the costs of a line grow with its length, and not with its square?

    python bench/growth.py [64 128 256]

A line of eighths with two chords a bar is worked out from a lesson, written as MusicXML, engraved,
laid out for the film and looked up for the shelf.  Printed are ms of processor time a bar, each
the least of three runs; a linear cost stays the same from column to column.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from lickwright import load_lesson
from lickwright.engrave.page import engrave
from lickwright.formats.musicxml import musicxml
from lickwright.lesson.compile import Workshop
from lickwright.score import Score
from lickwright.shelf.licks.facts import score_facts
from lickwright.video.panels.spacing import pages_of
from lickwright.video.panels.tab_page import PageMaker, rows_of


def lesson(bars: int) -> str:
    """A lesson with one line of so many bars."""
    rows = ["e|", "B|", "G|", "D|", "A|", "E|"]
    cells = ("-------------------|", "-------------------|", "-------------------|",
             "-----------2-3-5-3-|", "----3-5h7----------|", "--3----------------|")  # fmt: skip
    rows = [row + cell * bars for row, cell in zip(rows, cells, strict=True)]
    tab = "\n".join(f"      {row}" for row in rows)
    changes = " | ".join(["C Am"] * bars)
    return (
        "lesson: Growth\nkey: C major\ntempo: {slow: 60, target: 90}\nexamples:\n"
        f"  - name: Long\n    changes: {changes}\n    tab: |\n{tab}\n    rhythm: e\n"
    )


def least_ms(job: Callable[[], object]) -> float:
    took = []
    for _ in range(3):
        began = time.process_time()
        job()
        took.append(1000 * (time.process_time() - began))
    return min(took)


def film_pages(score: Score) -> None:
    rows = rows_of(400, 1.0, score)
    maker = PageMaker(score, rows, 1200, 400, 1.0)
    for page in pages_of(score, 1200, 0.9 * rows.figure):
        maker.page(page)


def main() -> None:
    sizes = [int(each) for each in sys.argv[1:]] or [64, 128, 256]
    costs: dict[str, list[float]] = {}
    for bars in sizes:
        with TemporaryDirectory() as folder:
            path = Path(folder) / "lesson.yaml"
            path.write_text(lesson(bars), encoding="utf-8")
            read = load_lesson(path)
        score = Workshop(read).worked(0).score
        jobs: dict[str, Callable[[], object]] = {
            "work out": lambda read=read: Workshop(read).worked(0),
            "MusicXML": lambda score=score: musicxml(score),
            "page": lambda score=score: engrave(score),
            "film tab": lambda score=score: film_pages(score),
            "facts": lambda score=score: score_facts(score),
        }
        for name, job in jobs.items():
            costs.setdefault(name, []).append(least_ms(job) / bars)
    print("ms a bar  " + "".join(f"{bars:>9}" for bars in sizes))
    for name, row in costs.items():
        print(f"{name:10}" + "".join(f"{cost:9.2f}" for cost in row))


if __name__ == "__main__":
    main()
