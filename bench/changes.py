"""How long does the best way through changes take, how does that grow, and what does it gain?

Run:  python bench/changes.py

Time
----

A one-bar lick of two triads, four notes each, is carried by idea over changes of 2 to 32 chords,
all different, on the whole neck: every order of the sixteen clearest pairs of triads a chord,
every shape (*lines* counts the lines of notes that this makes), every place of the hand, all
strokes that are worth trying (*searched* counts what is left for the path of all of these when
what cannot be best is gone).  Each time is processor time, the best of a few runs, with every
cache emptied before each run (cold), and once more with the caches full (warm).  Goal: 16 chords
in under a second.

Gain
----
The progressions of ``tests/changes/progressions.py``, carried by idea, carried exactly, and, beside
them, by moving the shape by the root (``tests/changes/by_root.py``): the least travel of the left
hand in mm, measured the same way for all, and how many chords the notes bear out (yes, nearly, no).
The last two play the same notes, octaves aside.
"""

from __future__ import annotations

import functools
import gc
import sys
import time
from collections import Counter
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent / "tests" / "changes"))

from by_root import moved_by_root
from hand_travel import least_travel_mm
from progressions import PROGRESSIONS

from lickwright.changes.carry.carrying import carry
from lickwright.changes.carry.filling import fill_chords
from lickwright.changes.carry.pools import pools_for
from lickwright.changes.carry.task import CarryTask, CarryWay
from lickwright.changes.lines.joins import CarryCosts
from lickwright.changes.paths import best_ways
from lickwright.changes.progression.chart import Changes, parse_changes
from lickwright.lick.hands.finishing import finish
from lickwright.lick.notes import Lick
from lickwright.lick.phrase.composing import compose
from lickwright.lick.picking.motions import Picking
from lickwright.neck.instrument import Guitar
from lickwright.neck.reach import HANDS
from lickwright.neck.shapes.chain import chain_shapes
from lickwright.theory.hearing.claim import judge
from lickwright.theory.pitch import parse_note_name
from lickwright.theory.triad import parse_triad

TRIADS = (parse_triad("D"), parse_triad("F#m"))
RUNS = 5
SIXTEEN = (
    "Dm9 | G13 | Cmaj9 | Fmaj7#11 | Bm7b5 | E7b9 | Am9 | D13"
    " | Gmaj7 | C#m7b5 | F#7alt | Bm9 | Em9 | A13 | Dmaj9 | A7b9"
)
SIXTEEN_MORE = (
    "Ebm9 | Ab13 | Dbmaj9 | Gbmaj7#11 | Cm7b5 | F7b9 | Bbm9 | Eb13"
    " | Abmaj7 | Dm7b5 | G7alt | Cm9 | Fm9 | Bb13 | Ebmaj9 | Bb7b9"
)
ALL = f"{SIXTEEN} | {SIXTEEN_MORE}".split(" | ")


def the_lick() -> Lick:
    shapes = chain_shapes(TRIADS, frets="4-12")
    return finish(compose(shapes, "up down", "16ths", bars=1, voices=(0, 1)))


def empty_caches() -> None:
    for thing in gc.get_objects():
        if isinstance(thing, functools._lru_cache_wrapper):
            thing.cache_clear()


def best_of(run: Callable[[], object], *, cold: bool) -> float:
    """The shortest of a few runs, in milliseconds."""
    times = []
    for _ in range(RUNS):
        if cold:
            empty_caches()
        start = time.process_time()
        run()
        times.append(time.process_time() - start)
    return 1000 * min(times)


def task_of(lick: Lick, changes: Changes, frets: str | None) -> CarryTask:
    return CarryTask(
        lick,
        changes,
        CarryWay.IDEA,
        TRIADS,
        None,
        changes.key,
        Guitar(),
        HANDS["medium"],
        Picking.SWEEP,
        frets,
        None,
        {},
        CarryCosts(),
    )


def row(label: str, lick: Lick, changes: Changes, frets: str | None = None) -> None:
    task = task_of(lick, changes, frets)
    fillings = fill_chords(lick, changes)
    pools = pools_for(task, fillings, 1)
    layers = [pool.layer for pool in pools]
    tried = sum(pool.tried for pool in pools)
    kept = sum(len(pool) for pool in pools)
    path = best_of(lambda: best_ways(layers, task.joins.matrix, 1), cold=False)

    def whole() -> object:
        return carry(lick, changes, triads=TRIADS, frets=frets)

    cold, warm = best_of(whole, cold=True), best_of(whole, cold=False)
    print(
        f"{label:>14} {len(changes.chords):7d} {tried:11,d} {kept:9,d}"
        f" {path:9.0f} {cold:9.0f} {warm:9.0f}"
    )


def borne_out(line: Lick, changes: Changes) -> Counter[str]:
    """How many chords the notes under them bear out, by verdict."""
    verdicts: Counter[str] = Counter()
    for placed in changes.chords:
        own = [n.pitch for n in line.notes if placed.onset <= n.onset < placed.end]
        verdicts[judge(placed.chord, own, placed.chord.bass_note, placed.key).holds] += 1
    return verdicts


def gain(lick: Lick) -> None:
    """Print travel and verdicts of both ways side by side."""
    heads = ("by idea", "exact", "by the root")
    print(f"\n{'':>22} {'chords':>6}", *(f"{head:>11} {'yes/nearly/no':>14}" for head in heads))
    sums = [0.0] * len(heads)
    for name, text, key, time_ in PROGRESSIONS:
        changes = parse_changes(text, key, time_)
        lines = (
            carry(lick, changes, triads=TRIADS, source="Bm9").lick,
            carry(lick, changes, "exact", source="Bm9").lick,
            moved_by_root(lick, changes, parse_note_name("B")),
        )
        cells = []
        for place, line in enumerate(lines):
            travel = least_travel_mm([note.position for note in line.notes])
            verdicts = borne_out(line, changes)
            sums[place] += travel
            counts = f"{verdicts['yes']}/{verdicts['nearly']}/{verdicts['no']}"
            cells.append(f"{travel:8.0f} mm {counts:>14}")
        print(f"{name:>22} {len(changes.chords):6d}", *cells)
    print(f"{'together':>22} {'':6}", *(f"{travel:8.0f} mm {'':14}" for travel in sums))


def main() -> None:
    lick = the_lick()
    carry(lick, parse_changes("Bm9 | E13", "A major"), triads=TRIADS)  # load what loads late
    head = ("", "chords", "lines", "searched", "path ms", "cold ms", "warm ms")
    print("{:>14} {:>7} {:>11} {:>9} {:>9} {:>9} {:>9}".format(*head))
    for count in (2, 4, 8, 16, 32):
        row("whole neck", lick, parse_changes(" | ".join(ALL[:count]), "C major"))
    for frets in ("5-9", "5-12", "5-17", "0-24"):
        row(f"frets {frets}", lick, parse_changes(SIXTEEN, "C major"), frets)
    gain(lick)


if __name__ == "__main__":
    main()
