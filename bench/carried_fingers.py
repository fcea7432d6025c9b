"""Does a carried lick keep its fingers?  Twelve progressions, six licks, every way to carry.

Run with the project's Python: ``python bench/carried_fingers.py [progressions]``.  For each of 72
carried lines it looks, apart from the library's own search for figures, for stretches of a bar that
come again in it: the same places (three notes or more), or the same moves along the same strings
(four or more, on two strings at least).  It prints by way in how many lines every such stretch has
the same fingers each time, and in how many there is one.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from fractions import Fraction

from lickwright.changes.carry import carry
from lickwright.changes.progression import parse_changes
from lickwright.errors import LickwrightError
from lickwright.lick import Lick, LickNote
from lickwright.lick.hands import finish
from lickwright.lick.phrase import compose
from lickwright.neck.shapes import find_joined_shapes
from lickwright.theory import parse_triad

PROGRESSIONS = (
    "Dm9 | G13 | Cmaj9 | A7b9",
    "Bm9 | E13 | Amaj9 | F#7b9",
    "Am9 | Fmaj9 | Cmaj9 | G13",
    "Em9 | A13 | Dmaj9 | B7b9",
    "Cmaj9 | Am9 | Dm9 | G13",
    "Fm9 | Bb13 | Ebmaj9 | C7b9",
    "Gm9 | C13 | Fmaj9 | D7b9",
    "Cm9 | Abmaj9 | Ebmaj9 | Bb13",
    "F#m9 | B13 | Emaj9 | C#7b9",
    "Dmaj9 | Em9 | F#m9 | Gmaj9",
    "Gmaj9 | Em9 | Am9 | D13",
    "Ebmaj9 | Cm9 | Fm9 | Bb13",
)
#: Two triads, the chord that they imply, its key, contour and rhythm.
LICKS = (
    ("D", "F#m", "Bm9", "up down", "16ths"),
    ("C", "Em", "Am9", "up-down up-down", "16ths"),
    ("F", "Am", "Dm9", "up up", "8th triplets"),
    ("G", "Bm", "Em9", "down up", "16ths"),
    ("Bb", "Dm", "Gm9", "up-down down-up", "8th triplets"),
    ("A", "C#m", "F#m9", "down down", "quintuplets"),
)
WAYS = ("exact", "grip", "diatonic", "idea")


def stretches(notes: Sequence[LickNote]) -> Iterator[tuple[int, int, int]]:
    """Two starts and a length, of everything in a bar that comes again in it."""
    places = [(note.position.string, note.position.fret) for note in notes]
    for one in range(len(places)):
        for two in range(one + 1, len(places)):
            again = moved = 0
            shift = places[two][1] - places[one][1]
            while two + moved < len(places) and one + moved < two:
                a, b = places[one + moved], places[two + moved]
                if a[0] != b[0] or b[1] - a[1] != shift or 0 in (a[1], b[1]):
                    break
                moved += 1
                again += shift == 0
            strings = {string for string, _ in places[one : one + moved]}
            if again >= 3 or (moved >= 4 and len(strings) > 1):
                yield one, two, moved


def bars(line: Lick) -> Iterator[list[LickNote]]:
    number = 0
    while number * Fraction(4) < line.length:
        start = number * Fraction(4)
        yield [note for note in line.notes if start <= note.onset < start + 4]
        number += 1


def kept(line: Lick) -> tuple[int, int]:
    """Stretches that come again in a bar, and those of them with the same fingers."""
    found = same = 0
    for notes in bars(line):
        for one, two, length in stretches(notes):
            found += 1
            same += all(notes[one + k].finger == notes[two + k].finger for k in range(length))
    return found, same


def licks() -> Iterator[tuple[Lick, tuple[str, str], str]]:
    for first, second, chord, contour, rhythm in LICKS:
        pair = find_joined_shapes(first, second)[0]
        lick = compose([pair.first, pair.second], contour, rhythm, bars=1)
        yield finish(lick, tempo_bpm=90), (first, second), chord


def main() -> None:
    some = int(sys.argv[1]) if len(sys.argv) > 1 else len(PROGRESSIONS)
    made = list(licks())
    for way in WAYS:
        lines = whole = repeated = 0
        refused = []
        for progression in PROGRESSIONS[:some]:
            for lick, pair, chord in made:
                try:
                    carried = carry(
                        lick,
                        parse_changes(progression),
                        way,
                        triads=[parse_triad(name) for name in pair],
                        source=chord,
                        tempo_bpm=90,
                    )
                except LickwrightError as error:
                    refused.append(f"{progression}, {'/'.join(pair)}: {error}")
                    continue
                found, same = kept(carried.lick)
                lines += 1
                repeated += found > 0
                whole += found == same
        print(f"{way:>9}: {whole} of {lines} lines keep their fingers; {repeated} repeat something")
        for words in refused:
            print(f"           refused: {words}")


if __name__ == "__main__":
    main()
