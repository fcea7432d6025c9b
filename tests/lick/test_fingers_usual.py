"""The usual fingers of scales, arpeggios and sweep shapes: common practice, from memory.

The cases stand in usual_fingers.txt and usual_fingers_ahead.txt, by which the weights were set, and
in three files that had no part in that: usual_fingers_unseen.txt; second_unseen_fingers.txt, of
before repetition became a constraint; third_unseen_fingers.txt, of before the hand looked ahead.
Every disagreement with the first and the first unseen is listed here by name and explained in
docs/hands.md, so that none comes or goes unnoticed.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import pytest

from lickwright.lick.fingering.fingers import assign_fingers
from lickwright.lick.notes import Technique
from lickwright.neck.instrument import Guitar
from lickwright.neck.tunings import parse_tuning

#: Cases whose cheapest fingering differs from the usual one; docs/hands.md says why.
DISAGREEMENTS = {"melodic minor, one octave"}

HERE = Path(__file__).parent
FILES = {
    "seen": "usual_fingers.txt",
    "ahead": "usual_fingers_ahead.txt",
    "unseen": "usual_fingers_unseen.txt",
    "second unseen": "second_unseen_fingers.txt",
    "third unseen": "third_unseen_fingers.txt",
}
_SIGNS = {
    "h": Technique.HAMMER_ON,
    "p": Technique.PULL_OFF,
    "s": Technique.SLIDE,
    ",": Technique.PICK,
    "": Technique.PICK,
}


@dataclass(frozen=True)
class Case:
    """One line; ``usual`` has every way that players finger it."""

    name: str
    notes: list[tuple[int, int]]
    onsets: list[Fraction]
    techniques: list[Technique]
    usual: list[list[int]]

    def agreeing(self) -> int:
        """Notes on which the cheapest fingering agrees with the nearest usual one."""
        found = [
            note.finger
            for note in assign_fingers(self.notes, onsets=self.onsets, techniques=self.techniques)
        ]
        return max(sum(a == b for a, b in zip(found, usual, strict=True)) for usual in self.usual)


def read(kind: str) -> Iterator[Case]:
    """The cases of a file."""
    for line in (HERE / FILES[kind]).read_text().splitlines():
        if not line.strip() or line.startswith("#"):
            continue
        name, words, usual, *_ = (part.strip() for part in line.split(";"))
        notes, onsets, techniques = [], [], []
        time = 0
        for word in words.split():
            for part in word.split("+"):
                string, _, frets = part.partition(":")
                for sign, fret in re.findall(r"([hps,]?)(\d+)", frets):
                    notes.append((int(string), int(fret)))
                    techniques.append(_SIGNS[sign])
                    onsets.append(Fraction(time, 4))
                    time += "+" not in word
            time += "+" in word
        ways = [[int(finger) for finger in way.split()] for way in usual.split("|")]
        yield Case(name, notes, onsets, techniques, ways)


#: Fingers and whole lines that agree at least.
LEAST = {
    "seen": (0.99, 0.97),
    "unseen": (0.99, 0.95),
    "second unseen": (0.95, 0.88),
    "third unseen": (0.93, 0.79),
    "ahead": (0.94, 0.84),
}
CASES = {kind: list(read(kind)) for kind in FILES}


@pytest.mark.parametrize("case", [*CASES["seen"], *CASES["unseen"]], ids=lambda case: case.name)
def test_usual_fingers_win_or_the_disagreement_is_known(case: Case) -> None:
    agrees = case.agreeing() == len(case.notes)
    assert agrees != (case.name in DISAGREEMENTS)


@pytest.mark.parametrize("kind", FILES)
def test_nearly_all_fingers_agree(kind: str) -> None:
    cases = CASES[kind]
    notes = sum(len(case.notes) for case in cases)
    agreeing = sum(case.agreeing() for case in cases)
    print(f"{kind}: {len(cases)} cases, {agreeing} of {notes} fingers agree")
    wholly = sum(case.agreeing() == len(case.notes) for case in cases)
    fingers, lines = LEAST[kind]
    assert agreeing >= fingers * notes
    assert wholly >= lines * len(cases)


def test_there_are_enough_cases() -> None:
    assert len(CASES["seen"]) >= 40
    assert len(CASES["unseen"]) >= 15
    assert len(CASES["second unseen"]) == 60
    assert len(CASES["third unseen"]) == 60


def test_one_finger_a_fret_on_other_instruments() -> None:
    # Common practice: in position a bass and a seven-string are fingered as a guitar is.
    scale = [(4, 8), (4, 10), (3, 7), (3, 8), (3, 10), (2, 7), (2, 9), (2, 10)]
    usual = [2, 4, 1, 2, 4, 1, 3, 4]
    bass = Guitar(parse_tuning("bass"), scale_mm=(863.6,) * 4, spacing_mm=16.0)
    assert [note.finger for note in assign_fingers(scale, bass)] == usual
    low = [(string + 3, fret) for string, fret in scale]
    assert [note.finger for note in assign_fingers(low, "7-string")] == usual
