"""The usual fingers of scales, arpeggios and sweep shapes: common practice, from memory.

The cases stand in usual_fingers.txt, by which the weights were set, and in
usual_fingers_unseen.txt, written down afterwards.  Every disagreement is listed here by name and
explained in docs/hands.md, so that none comes or goes unnoticed.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from lickwright.lick.fingers import assign_fingers
from lickwright.neck.instrument import Guitar
from lickwright.neck.tunings import parse_tuning

HERE = Path(__file__).parent
FILES = {"seen": "usual_fingers.txt", "unseen": "usual_fingers_unseen.txt"}

#: Cases whose cheapest fingering differs from the usual one; docs/hands.md says why.
DISAGREEMENTS = {
    "three notes a string, 12th fret",
    "minor arpeggio, three octaves by string pairs",
    "diminished arpeggio by string pairs",
    "major arpeggio, six strings",
    "major scale from the little finger, one octave",
    "melodic minor, one octave",
}


@dataclass(frozen=True)
class Case:
    name: str
    notes: list[tuple[int, int]]
    usual: list[list[int]]

    def agreeing(self) -> int:
        """Notes on which the cheapest fingering agrees with the nearest usual one."""
        found = [note.finger for note in assign_fingers(self.notes)]
        return max(sum(a == b for a, b in zip(found, usual, strict=True)) for usual in self.usual)


def read(kind: str) -> Iterator[Case]:
    for line in (HERE / FILES[kind]).read_text().splitlines():
        if not line.strip() or line.startswith("#"):
            continue
        name, notes, usual = (part.strip() for part in line.split(";"))
        yield Case(
            name,
            [
                (int(string), int(fret))
                for string, _, frets in (word.partition(":") for word in notes.split())
                for fret in frets.split(",")
            ],
            [[int(finger) for finger in way.split()] for way in usual.split("|")],
        )


CASES = {kind: list(read(kind)) for kind in FILES}


@pytest.mark.parametrize(
    "case", [case for cases in CASES.values() for case in cases], ids=lambda case: case.name
)
def test_usual_fingers_win_or_the_disagreement_is_known(case: Case) -> None:
    agrees = case.agreeing() == len(case.notes)
    assert agrees != (case.name in DISAGREEMENTS)


@pytest.mark.parametrize("kind", FILES)
def test_nearly_all_fingers_agree(kind: str) -> None:
    cases = CASES[kind]
    notes = sum(len(case.notes) for case in cases)
    agreeing = sum(case.agreeing() for case in cases)
    print(f"{kind}: {len(cases)} cases, {agreeing} of {notes} fingers agree")
    assert agreeing >= 0.96 * notes


def test_there_are_enough_cases() -> None:
    assert len(CASES["seen"]) >= 40
    assert len(CASES["unseen"]) >= 15


def test_one_finger_a_fret_on_other_instruments() -> None:
    # Common practice: in position a bass and a seven-string are fingered as a guitar is.
    scale = [(4, 8), (4, 10), (3, 7), (3, 8), (3, 10), (2, 7), (2, 9), (2, 10)]
    usual = [2, 4, 1, 2, 4, 1, 3, 4]
    bass = Guitar(parse_tuning("bass"), scale_mm=(863.6,) * 4, spacing_mm=16.0)
    assert [note.finger for note in assign_fingers(scale, bass)] == usual
    low = [(string + 3, fret) for string, fret in scale]
    assert [note.finger for note in assign_fingers(low, "7-string")] == usual
