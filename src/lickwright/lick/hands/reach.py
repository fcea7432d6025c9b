"""Which stretches does a hand not have?

Neighbouring notes that the fretting hand must span at once: two of one sweep, through which the
pick goes in a single motion, and a note slurred to the one before it.  Elsewhere the hand has time
to move, and how hard that is stands in :mod:`~lickwright.lick.hands.difficulty`.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from lickwright.lick.notes import LickNote, Technique
from lickwright.lick.picking import stroke_report
from lickwright.neck import FINGER_NAMES, Guitar, HandProfile, hand_profile


@dataclass(frozen=True, slots=True)
class ReachProblem:
    """Two notes that a hand cannot span; ``note`` is the later one's index from 0."""

    note: int
    what: str
    mend: str


def check_reach(
    notes: Sequence[LickNote],
    guitar: Guitar,
    hand: str | HandProfile = "medium",
    pinned: Collection[int] = (),
) -> list[ReachProblem]:
    """Every stretch beyond the greatest reach of the hand, or of two pinned fingers, by note.

    Parameters
    ----------
    notes : with their strokes.
    guitar : the instrument, for its millimetres.
    hand : whose left hand.
    pinned : indices of the notes whose fingers are the teacher's own; others may take any.
    """
    profile = hand_profile(hand)
    problems = []
    for first, second, why in _held_together(notes):
        here, there = notes[first], notes[second]
        if not here.position.fret or not there.position.fret:
            continue
        stretch_mm = abs(guitar.finger_mm(here.position) - guitar.finger_mm(there.position))
        fingers = (here.finger, there.finger) if {first, second} <= set(pinned) else (None, None)
        reach_mm = profile.greatest_reach_mm
        whose = "the hand"
        if fingers[0] and fingers[1] and fingers[0] != fingers[1]:
            reach_mm = profile.greatest(fingers[0], fingers[1])
            whose = f"{FINGER_NAMES[fingers[0]]} and {FINGER_NAMES[fingers[1]]}"
        if stretch_mm > reach_mm:
            problems.append(
                ReachProblem(
                    second,
                    f"notes {first + 1} and {second + 1} ({why}) lie {stretch_mm:.0f} mm apart,"
                    f" but {whose} of a {profile.name} hand reach {reach_mm:.0f} mm",
                    "Move one of them to another string, or leave time for a shift between them",
                )
            )
    return problems


def _held_together(notes: Sequence[LickNote]) -> Iterator[tuple[int, int, str]]:
    """Pairs of notes that the hand spans at once, and why."""
    report = stroke_report(
        [note.position for note in notes],
        [note.stroke for note in notes],
        onsets=[note.onset for note in notes],
    )
    for sweep in report.sweeps:
        for first, second in pairwise(range(sweep.first, sweep.last + 1)):
            yield first, second, "one sweep"
    for second in range(1, len(notes)):
        technique = notes[second].technique
        if technique in (Technique.HAMMER_ON, Technique.PULL_OFF):
            yield second - 1, second, f"a {technique.value}"
