"""How long does it take to find every merged arpeggio of a pair of triads on the whole neck?

Run with the project's Python: ``python bench/merged.py``.  200 random pairs on a standard guitar of
24 frets, in processor time, beside the bound of 100 ms; how many have a sweep; then the same on
eight strings.
"""

from __future__ import annotations

import random
import statistics
import time

from lickwright.neck.instrument import Guitar
from lickwright.neck.shapes.merged import find_merged
from lickwright.neck.tunings import parse_tuning
from lickwright.theory.triad import TriadQuality, parse_triad

PAIRS, BOUND_MS = 200, 100.0
ROOTS = ("C", "C#", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B")


def measure(name: str, guitar: Guitar) -> None:
    draw = random.Random(200)
    spent_ms, swept, found = [], 0, 0
    while len(spent_ms) < PAIRS:
        first, second = (
            parse_triad(draw.choice(ROOTS) + draw.choice(list(TriadQuality)).value)
            for _ in range(2)
        )
        if first == second:
            continue
        start = time.process_time()
        arpeggios = find_merged((first, second), guitar)
        spent_ms.append((time.process_time() - start) * 1e3)
        found += len(arpeggios)
        swept += any(not arpeggio.breaks for arpeggio in arpeggios)
    print(
        f"{name}: {PAIRS} pairs, {found / PAIRS:,.0f} arpeggios each, {swept} with a sweep;"
        f" median {statistics.median(spent_ms):.0f} ms, worst {max(spent_ms):.0f} ms"
        f" (bound {BOUND_MS:.0f} ms)"
    )


def main() -> None:
    measure("six strings", Guitar())
    measure("eight strings", Guitar(open_strings=parse_tuning("8-string")))


if __name__ == "__main__":
    main()
