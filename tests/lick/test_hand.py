"""Grips: notes that start together."""

from __future__ import annotations

from itertools import product

import pytest

from lickwright.lick.fingering.fingers import assign_fingers, best_fingerings
from lickwright.lick.fingering.reasons import price_fingers
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import HANDS

# Common practice, no source: chord shapes and double stops with their usual fingers.
GRIPS = {
    "open C": ([(5, 3), (4, 2), (3, 0), (2, 1), (1, 0)], [3, 2, 0, 1, 0]),
    "open G7": ([(6, 3), (5, 2), (4, 0), (3, 0), (2, 0), (1, 1)], [3, 2, 0, 0, 0, 1]),
    "F barre": ([(6, 1), (5, 3), (4, 3), (3, 2), (2, 1), (1, 1)], [1, 3, 3, 2, 1, 1]),
    "power chord": ([(6, 5), (5, 7)], [1, 3]),
    "double stop in sixths": ([(3, 9), (1, 8)], [2, 1]),
    "two strings, one fret": ([(2, 5), (1, 5)], [1, 1]),
}


@pytest.mark.parametrize(("notes", "usual"), GRIPS.values(), ids=list(GRIPS))
def test_usual_grips(notes: list[tuple[int, int]], usual: list[int]) -> None:
    found = [note.finger for note in assign_fingers(notes, onsets=[0] * len(notes))]
    assert found == usual


def playable(
    notes: list[tuple[int, int]], fingers: tuple[int, ...], place: int, guitar: Guitar
) -> bool:
    """The rules of a grip, read straight from the description."""
    hand = HANDS["medium"]
    spots = [(finger, string, fret) for finger, (string, fret) in zip(fingers, notes, strict=True)]
    for finger, string, fret in spots:
        mm = abs(guitar.finger_mm(Position(string, fret)) - guitar.finger_mm(Position(1, place)))
        if finger > 1 and mm > hand.greatest(1, finger):
            return False
        for other, other_string, other_fret in spots:
            mm = abs(
                guitar.finger_mm(Position(string, fret))
                - guitar.finger_mm(Position(other_string, other_fret))
            )
            if finger == other and fret != other_fret:
                return False
            if finger < other and (fret > other_fret or mm > hand.greatest(finger, other)):
                return False
            under = min(string, other_string), max(string, other_string)
            if finger == other and any(under[0] < s < under[1] and f < fret for _, s, f in spots):
                return False
    return True


@pytest.mark.parametrize("notes", [[(4, 7), (3, 6)], [(5, 7), (4, 9), (3, 9)], [(2, 3), (1, 5)]])
def test_every_grip_that_keeps_the_rules_is_weighed(notes: list[tuple[int, int]]) -> None:
    from lickwright.lick.fingering.weights import OFFSETS

    guitar = Guitar()
    wanted = {
        fingers
        for fingers in product((1, 2, 3, 4), repeat=len(notes))
        for place in range(1, 25)
        if all(
            (finger, fret - place - finger + 1) in OFFSETS
            for finger, (_, fret) in zip(fingers, notes, strict=True)
        )
        and playable(notes, fingers, place, guitar)
    }
    found = best_fingerings(notes, onsets=[0] * len(notes), count=len(wanted) + 10)
    assert {one.fingers for one in found} == wanted


def test_a_line_into_a_grip_and_out_again() -> None:
    notes = [(3, 5), (3, 7), (2, 8), (1, 8), (1, 0), (2, 5), (1, 5), (3, 7)]
    onsets = [0, 1, 2, 2, 3, 4, 4, 5]
    for best in best_fingerings(notes, tempo_bpm=100, onsets=onsets, count=3):
        costs = price_fingers(best.notes, tempo_bpm=100, onsets=onsets)
        assert sum(note.cost for note in costs) == best.cost
        by_moment = [best.notes[2].place, best.notes[3].place]
        assert by_moment[0] == by_moment[1]


def test_the_spread_of_a_grip_is_measured() -> None:
    line = assign_fingers([(5, 5), (1, 8)], onsets=[0, 0])
    costs = price_fingers(line, onsets=[0, 0])
    guitar = Guitar()
    mm = guitar.finger_mm(Position(1, 8)) - guitar.finger_mm(Position(1, 5))
    assert costs[-1].stretch_mm == pytest.approx(mm, abs=0.06)
    assert costs[0].stretch_mm == 0.0
