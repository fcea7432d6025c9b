"""How fast are both hands worked out, and does the time grow with the notes alone?

Run with the project's Python: ``python bench/hands.py``.  One run prints, for the left hand: time
by number of notes from 10^2 to 10^5 with the exponent of a power-law fit (1 is linear), the time of
a 1,000-note line, states and steps a second, the speed beside the same model in plain Python and
beside CP-SAT on the same phrases (all agreeing on the cost), strings chosen for bare pitches, and
the exhaustive search of joined shapes over the whole neck; then the picking hand, by
``bench/strokes.py``.
"""

from __future__ import annotations

import math
import random
import time
from collections.abc import Callable, Sequence

import cp_sat_fingers
import plain_fingers
import strokes
from lickwright.lick.fingering.fingers import assign_fingers, best_fingerings
from lickwright.lick.fingering.weights import IMPOSSIBLE, OFFSETS
from lickwright.lick.strings.choice import choose_strings
from lickwright.neck.shapes.joins import find_joined_shapes
from lickwright.neck.shapes.search import find_shapes

SIZES = (100, 1_000, 10_000, 100_000)
TEMPO_BPM = 120.0
SIXTEENTH_S = 15.0 / TEMPO_BPM
PHRASES, PHRASE_NOTES = 60, 7


def wander(count: int, seed: int) -> list[tuple[int, int]]:
    """A line that wanders over all strings and frets: hardly a pair of notes comes twice."""
    draw = random.Random(seed)
    fret, line = 8, []
    for _ in range(count):
        fret = max(1, min(24, fret + draw.randint(-4, 4)))
        line.append((draw.randint(1, 6), fret))
    return line


def best_of(run: Callable[[], object], times: int = 3) -> float:
    """The shortest of some runs, in seconds."""
    spent = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        spent.append(time.perf_counter() - start)
    return min(spent)


def exponent(sizes: Sequence[int], seconds: Sequence[float]) -> float:
    """The power of the size with which the time grows, by least squares on logarithms."""
    points = [(math.log(x), math.log(y)) for x, y in zip(sizes, seconds, strict=True)]
    mean_x = sum(x for x, _ in points) / len(points)
    mean_y = sum(y for _, y in points) / len(points)
    return sum((x - mean_x) * (y - mean_y) for x, y in points) / sum(
        (x - mean_x) ** 2 for x, _ in points
    )


def lengths() -> None:
    print("Left hand: exact shortest path over (finger, hand place)\n")
    print("notes      seconds   µs a note")
    spent = []
    for size in SIZES:
        line = wander(size, seed=size)
        spent.append(best_of(lambda line=line: assign_fingers(line, None, TEMPO_BPM, repeats=())))  # type: ignore[misc]
        print(f"{size:>7,}  {spent[-1]:10.4f}  {spent[-1] / size * 1e6:10.1f}")
    states = len(OFFSETS)
    rate = SIZES[-1] / spent[-1]
    print(f"\ntime grows as notes^{exponent(SIZES, spent):.2f} (1 is linear)")
    print(f"1,000 notes: {spent[1] * 1e3:.1f} ms")
    print(f"{rate:,.0f} notes, {rate * states:,.0f} nodes, {rate * states**2:,.0f} steps a second")

    line = wander(1_000, seed=1_000)
    plain = best_of(lambda: plain_fingers.least_cost(line, SIXTEENTH_S), times=1)
    same = plain_fingers.least_cost(line, SIXTEENTH_S) == cost(line)
    print(f"plain Python on the same 1,000 notes: {plain * 1e3:.0f} ms, {plain / spent[1]:.0f} x")
    print(f"the same cost: {same}\n")


def motifs(count: int, seed: int) -> list[tuple[int, int]]:
    """A line made of a few figures of a bank, each played one to four times, with notes between."""
    draw = random.Random(seed)
    bank = [wander(draw.randint(4, 16), number) for number in range(8)]
    line: list[tuple[int, int]] = []
    while len(line) < count:
        line += draw.choice(bank) * draw.randint(1, 4)
        line += wander(draw.randint(0, 5), draw.randint(0, 999))
    return line[:count]


def figures() -> None:
    """1,000 notes with their figures found and kept, beside the same fingered freely."""
    print("1,000 notes, figures found and kept    free       kept   repeats")
    for name, line in (("a wandering line", wander(1_000, 1_000)), ("motifs", motifs(1_000, 3))):
        free = best_of(lambda line=line: assign_fingers(line, None, TEMPO_BPM, repeats=()))  # type: ignore[misc]
        kept = best_of(lambda line=line: assign_fingers(line, None, TEMPO_BPM))  # type: ignore[misc]
        repeats = len(best_fingerings(line, tempo_bpm=TEMPO_BPM, count=1)[0].repeats)
        print(f"{name:>34}  {free * 1e3:5.1f} ms  {kept * 1e3:6.1f} ms  {repeats:>6}")
    print()


def cost(line: Sequence[tuple[int, int]]) -> int:
    return best_fingerings(line, tempo_bpm=TEMPO_BPM, repeats=(), count=1)[0].cost


def by_plain_python(line: Sequence[tuple[int, int]]) -> int:
    return plain_fingers.least_cost(line, SIXTEENTH_S)


def by_cp_sat(line: Sequence[tuple[int, int]]) -> int:
    columns, nodes, steps = plain_fingers.lattice(line, SIXTEENTH_S)
    ahead = plain_fingers.ahead(line, SIXTEENTH_S, columns)
    return cp_sat_fingers.least_cost(nodes, steps, IMPOSSIBLE, ahead=ahead)


def beside_others() -> None:
    phrases = [wander(PHRASE_NOTES, seed) for seed in range(PHRASES)]
    times: dict[str, float] = {}
    answers: dict[str, list[int]] = {}
    for name, solve in (("search", cost), ("plain", by_plain_python), ("CP-SAT", by_cp_sat)):
        start = time.perf_counter()
        answers[name] = [solve(phrase) for phrase in phrases]
        times[name] = (time.perf_counter() - start) / PHRASES
    agree = sum(len(set(costs)) == 1 for costs in zip(*answers.values(), strict=True))
    print(f"{PHRASES} phrases of {PHRASE_NOTES} notes: all three agree on {agree} of {PHRASES}")
    for name, seconds in times.items():
        print(f"{name:>12}  {seconds * 1e3:8.3f} ms a phrase  {seconds / times['search']:8.1f} x")


def neck() -> None:
    draw = random.Random(7)
    key, pitches = 60, []
    for _ in range(1_000):
        key = max(42, min(84, key + draw.choice((-4, -3, -2, -1, 1, 2, 3, 4))))
        pitches.append(key)
    chosen = best_of(lambda: choose_strings(pitches, tempo_bpm=TEMPO_BPM))
    print(f"\nstrings, frets and fingers for 1,000 bare pitches: {chosen * 1e3:.0f} ms")
    count = len(find_shapes("F")), len(find_shapes("Am"))
    joined = find_joined_shapes("F", "Am")
    spent = best_of(lambda: find_joined_shapes("F", "Am"), times=5)
    print(
        f"F and Am over 24 frets and 6 strings: {count[0]} x {count[1]} pairs of shapes searched, "
        f"{len(joined):,} join: {spent * 1e3:.0f} ms\n"
    )


def main() -> None:
    lengths()
    figures()
    beside_others()
    neck()
    strokes.main()


if __name__ == "__main__":
    main()
