"""How quickly is a lesson file read, beside the parser that keeps comments (ruamel.yaml)?

    python bench/lesson_reader.py [--json]

The texts: the demo, and a lesson of thirty examples, each a fresh text every time.  The ratio is
of medians; the promise is 5.  ``edit`` is the time from a changed text to a lesson that is
checked key by key, which is what the studio waits for after each change.
"""

from __future__ import annotations

import argparse
import json
import statistics
import time
from collections.abc import Callable
from itertools import count
from pathlib import Path

from ruamel.yaml import YAML

from lickwright.lesson.file import parse_text, read_lesson

DEMO = Path(__file__).parent.parent / "examples" / "two-triads-one-chord.yaml"
ROUNDS = 7
PROMISED = 5.0

_number = count()


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true")
    as_json = parser.parse_args().json
    found = {
        name: row(text)
        for name, text in (
            ("demo", DEMO.read_text(encoding="utf-8")),
            ("thirty examples", thirty_examples()),
        )
    }
    if as_json:
        print(json.dumps(found))
    else:
        for name, figures in found.items():
            print(name, *(f"{key} {figure:.3g}" for key, figure in figures.items()), sep="  ")
    for name, figures in found.items():
        if figures["times_quicker"] < PROMISED:
            raise SystemExit(f"{name}: less than {PROMISED} times quicker")


def row(text: str) -> dict[str, float]:
    """Milliseconds of both readers, their ratio, and of an edit."""
    path = Path("lesson.yaml")
    ours = median_ms(lambda fresh: parse_text(fresh, path), text)
    theirs = median_ms(YAML(typ="rt", pure=True).load, text)
    edit = median_ms(lambda fresh: read_lesson(fresh, path), text)
    return {
        "characters": len(text),
        "ours_ms": ours,
        "ruamel_ms": theirs,
        "times_quicker": theirs / ours,
        "edit_ms": edit,
    }


def median_ms(read: Callable[[str], object], text: str) -> float:
    """The median processor time of reading a text that was never read before, in milliseconds."""
    took = []
    for _ in range(ROUNDS):
        fresh = f"{text}# {next(_number)}\n".replace("A Small One", f"Number {next(_number)}")
        start = time.process_time()
        read(fresh)
        took.append((time.process_time() - start) * 1000)
    return statistics.median(took)


def thirty_examples() -> str:
    """A lesson that a teacher might have after a year: half triads, half tab."""
    head = "lesson: A Small One\nkey: B dorian\ntempo: {slow: 60, target: 90}\nexamples:\n"
    pair = (
        "  - name: The pair {0}\n    triads: [D, F#m]\n    over: B\n    implies: Bm9\n"
        "    frets: 9-16\n    rhythm: 16ths\n    contour: up down\n"
        "    text: |\n      Two triads, **one** chord.\n      Say the notes aloud.\n\n"
    )
    own = (
        "  - name: Own notes {0}  # as sung\n    over: B\n    tab: |\n"
        "      e|--------------|\n      B|--------10-12-|\n      G|-----11-------|\n"
        "      D|-12-----------|\n      A|--------------|\n      E|--------------|\n"
        "    rhythm: q\n\n"
    )
    return head + "".join((pair, own)[i % 2].format(i) for i in range(30))


if __name__ == "__main__":
    main()
