"""Would a musician write these names?  A sample of readings drawn to be judged by hand.

Run:  python bench/reading_sample.py                 (prints the sample with what is read today)
      python bench/reading_sample.py --judged FILE   (counts the verdicts of a judged file)

The cases are pairs of the 72 triads over a bass, drawn by a start number that was chosen before
any reading was seen.  A judged file has a line a case: case, name, verdict (good, odd, absurd),
reason; a case whose name is no longer the judged one counts as open.
"""

from __future__ import annotations

import argparse
import random
from collections import Counter
from itertools import combinations
from pathlib import Path

from lickwright.theory import Triad, TriadQuality, spell_root
from lickwright.theory.hearing import Reading, implied_chords, written_name

START, HOW_MANY = 20_317, 300


def cases() -> list[tuple[Triad, Triad, int]]:
    """The drawn cases: two triads and the pitch class of the bass."""
    minor = (TriadQuality.MINOR, TriadQuality.DIMINISHED)
    triads = [
        Triad(spell_root(pc, minor=quality in minor), quality)
        for pc in range(12)
        for quality in TriadQuality
    ]
    every = [(a, b, bass) for a, b in combinations(triads, 2) for bass in range(12)]
    return random.Random(START).sample(every, HOW_MANY)


def first_of(first: Triad, second: Triad, bass: int) -> Reading:
    return implied_chords((first, second), spell_root(bass))[0]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--judged", type=Path)
    judged = parser.parse_args().judged
    known: dict[str, tuple[str, str]] = {}
    if judged is not None:
        for line in judged.read_text(encoding="utf-8").splitlines():
            case, name, verdict, _ = line.split("\t")
            known[case] = (name, verdict)
    counts: Counter[str] = Counter()
    for first, second, bass in cases():
        case = f"{first} {second} / {spell_root(bass)}"
        reading = first_of(first, second, bass)
        notes = " ".join(
            f"{note}={degree}" for note, degree in zip(reading.notes, reading.degrees, strict=True)
        )
        name = written_name(reading) or "no common name"
        if judged is None:
            print(f"{case}\t{name}\t{notes}\t{'; '.join(reading.also)}")
            continue
        was, verdict = known.get(case, ("", "open"))
        counts[verdict if was == name else "open"] += 1
    for verdict, count in counts.most_common():
        print(f"{verdict:<8} {count:4}  {count / HOW_MANY:.1%}")


if __name__ == "__main__":
    main()
