"""How fast is a shelf of 100,000 licks?

    python bench/shelf.py [--licks 100000] [--shelf FILE_OR_URL] [--queries 400]

Fills a new shelf with generated licks and measures how long searches take, kind by kind, each with
conditions drawn from the same distributions as the licks.
"""

from __future__ import annotations

import argparse
import random
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "tests" / "library"))

from catalogue import PATTERNS, base_licks, catalogue, moved_chord, series, vocabulary

from lickwright.shelf.licks.facts import TECHNIQUES
from lickwright.shelf.licks.families import FAMILIES
from lickwright.shelf.neighbours import near_lick
from lickwright.shelf.searching import LickSearch, find
from lickwright.shelf.store.keeping import write_lesson, write_licks
from lickwright.shelf.store.store import Shelf

BATCH = 2_000


def _chord(rng: random.Random) -> str:
    facts = rng.choice(base_licks())[1]
    return str(moved_chord(rng.choice(facts.chords).chord, rng.randrange(12)))


def _triads(rng: random.Random) -> tuple[str, ...]:
    return tuple(map(str, rng.choice(base_licks())[1].triads))


def _word(rng: random.Random) -> str:
    known = vocabulary()
    return known[min(int(rng.paretovariate(0.6)) - 1, len(known) - 1)]


def _frets(rng: random.Random) -> tuple[int, int]:
    low = rng.randint(1, 18)
    return low, low + 5


KINDS: dict[str, Callable[[random.Random], LickSearch]] = {
    "nothing (the newest)": lambda rng: LickSearch(),
    "a chord": lambda rng: LickSearch(chord=_chord(rng)),
    "a kind of chord on any root": lambda rng: LickSearch(
        chord=rng.choice(("m9", "maj7", "13", "7b9"))
    ),
    "a family": lambda rng: LickSearch(family=rng.choice(FAMILIES)),
    "two triads": lambda rng: LickSearch(triads=_triads(rng)),
    "a technique": lambda rng: LickSearch(techniques=(rng.choice(TECHNIQUES),)),
    "a tuning": lambda rng: LickSearch(tuning=rng.choice(PATTERNS)[7]),
    "strings and frets": lambda rng: LickSearch(strings=(1, 4), frets=_frets(rng)),
    "frets where nobody plays": lambda rng: LickSearch(strings=(1, 1), frets=(1, 2)),
    "technique, and frets where nobody plays": lambda rng: LickSearch(
        techniques=("sweep",), tuning="standard", strings=(1, 1), frets=(1, 2)
    ),
    "playable at a tempo": lambda rng: LickSearch(playable_at=rng.uniform(60, 220)),
    "one word": lambda rng: LickSearch(words=_word(rng)),
    "three words": lambda rng: LickSearch(words=" ".join(_word(rng) for _ in range(3))),
    "a word that nobody wrote": lambda rng: LickSearch(words="zyxwv"),
    "chord and technique": lambda rng: LickSearch(chord=_chord(rng), techniques=("sweep",)),
    "technique, tuning, tempo and word": lambda rng: LickSearch(
        words=_word(rng), techniques=("sweep",), tuning="standard", playable_at=140
    ),
    "family, technique and strings": lambda rng: LickSearch(
        family=rng.choice(FAMILIES), techniques=(rng.choice(TECHNIQUES),), strings=(1, 3)
    ),
    "two techniques that never meet": lambda rng: LickSearch(techniques=("alternate", "legato")),
}


def fill(shelf: Shelf, count: int) -> None:
    """Half of the licks in lessons of five, the other half alone."""
    lessons = list(series(count // 10))
    with shelf.writing() as connection:
        for lesson in lessons:
            write_lesson(connection, lesson)
    batch = []
    for lick in catalogue(count - 5 * len(lessons), seed=8):
        batch.append((lick, None, 0, "generated", []))
        if len(batch) == BATCH:
            with shelf.writing() as connection:
                write_licks(connection, batch)
            batch = []
    with shelf.writing() as connection:
        write_licks(connection, batch)


def percentile(values: list[float], share: float) -> float:
    ordered = sorted(values)
    return ordered[min(int(share * len(ordered)), len(ordered) - 1)]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--licks", type=int, default=100_000)
    parser.add_argument("--queries", type=int, default=400)
    parser.add_argument("--shelf")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        where = given.shelf or str(Path(folder) / "shelf.sqlite")
        with Shelf(where) as shelf:
            started = time.perf_counter()
            if not find(shelf, LickSearch()).licks:
                fill(shelf, given.licks)
                print(f"filled with {given.licks} licks in {time.perf_counter() - started:.0f} s")
            measure(shelf, given.queries)


def line(kind: str, took: list[float], found: object = "") -> None:
    figures = (percentile(took, 0.5), percentile(took, 0.95), max(took))
    print(f"{kind:40} {figures[0]:10.1f} {figures[1]:8.1f} {figures[2]:9.1f} {found:>6}")


def measure(shelf: Shelf, queries: int) -> None:
    rng = random.Random(11)
    everything = []
    print(f"{'search':40} {'median ms':>10} {'p95 ms':>8} {'worst ms':>9} {'found':>6}")
    for kind, draw in KINDS.items():
        took, found = [], 0
        for _ in range(max(1, queries // len(KINDS))):
            search = draw(rng)
            started = time.perf_counter()
            found += len(find(shelf, search).licks)
            took.append(1000 * (time.perf_counter() - started))
        everything += took
        line(kind, took, found)
    line("all searches", everything)
    newest = find(shelf, LickSearch(), limit=1).licks[0].id
    took = []
    for _ in range(40):
        lick = rng.randint(1, newest)
        started = time.perf_counter()
        near_lick(shelf, lick)
        took.append(1000 * (time.perf_counter() - started))
    line("what is like a lick", took)


if __name__ == "__main__":
    main()
