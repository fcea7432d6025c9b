"""Are a player's hands learnt from twenty fingered lines?  Five players whose weights are known.

Run with the project's Python: ``python bench/learn_hands.py [first start number] [players]``.  A
player is the usual hand with every weight changed by a factor of its own, drawn until the usual
hand agrees on fewer than 85 of 100 fingers.  It fingers 20 lines, from which its weights are
learnt, and 100 others, on which both hands are compared with it.
"""

from __future__ import annotations

import math
import random
import sys
import time

from lickwright.lick.fingering import HandWeights, assign_fingers
from lickwright.lick.habits import fingered_line, fitted_habits
from lickwright.lick.habits.learning import NAMES
from lickwright.neck import HandProfile, hand_profile

SHOWN, UNSEEN = 20, 100
NOTES = 24
#: How far a player's weights are from the usual: the deviation of their logarithm.
SPREAD = 1.1

Line = list[tuple[int, int]]


def line(draw: random.Random) -> Line:
    """A line over the neck, mostly by small steps along a string or to its neighbour."""
    string, fret = draw.randint(1, 6), draw.randint(3, 16)
    notes = []
    for _ in range(NOTES):
        notes.append((string, fret))
        string = max(1, min(6, string + draw.choice((-1, -1, 0, 0, 1, 1, 2, -2))))
        fret = max(1, min(22, fret + draw.choice((-5, -3, -2, -1, 0, 1, 2, 3, 5))))
    return notes


def planted(draw: random.Random) -> HandProfile:
    """A player of its own habits."""
    usual = HandWeights()
    habits = tuple(
        (name, max(1, round(getattr(usual, name) * math.exp(draw.gauss(0, SPREAD)))))
        for name in NAMES
    )
    medium = hand_profile("medium")
    return HandProfile("planted", medium.comfortable_mm, medium.greatest_mm, habits)


def fingers(notes: Line, hand: HandProfile) -> list[int]:
    return [note.finger for note in assign_fingers(notes, hand=hand)]


def agreement(lines: list[Line], one: HandProfile, other: HandProfile) -> float:
    pairs = [
        pair
        for notes in lines
        for pair in zip(fingers(notes, one), fingers(notes, other), strict=True)
    ]
    return sum(a == b for a, b in pairs) / len(pairs)


def main() -> None:
    first = int(sys.argv[1]) if len(sys.argv) > 1 else 1
    players = int(sys.argv[2]) if len(sys.argv) > 2 else 5
    usual = hand_profile("medium")
    for number in range(first, first + players):
        draw = random.Random(number)
        unseen = [line(draw) for _ in range(UNSEEN)]
        player = planted(draw)
        while agreement(unseen[:20], usual, player) >= 0.85:
            player = planted(draw)
        shown = [line(draw) for _ in range(SHOWN)]
        start = time.perf_counter()
        habits = fitted_habits([fingered_line(n, [fingers(n, player)]) for n in shown])
        spent = time.perf_counter() - start
        learnt = HandProfile("learnt", usual.comfortable_mm, usual.greatest_mm, habits)
        print(
            f"player {number}: the usual hand agrees on {agreement(unseen, usual, player):.1%} of "
            f"{UNSEEN * NOTES} unseen fingers, the learnt one on "
            f"{agreement(unseen, learnt, player):.1%}; learnt in {spent:.1f} s"
        )


if __name__ == "__main__":
    main()
