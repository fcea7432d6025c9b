"""Pick strokes beside those that players use: a set written down before, never used to tune."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import pytest

from lickwright.lick import Lick, LickNote, Stroke, Technique
from lickwright.lick.hands import finish
from lickwright.lick.notes import PLAIN, Marks
from lickwright.lick.rhythm import Meter
from lickwright.neck import Position
from lickwright.theory import parse_pitch

HERE = Path(__file__).parent
FILES = {"unseen": "unseen_strokes.txt", "second unseen": "second_unseen_strokes.txt"}
_SIGNS = {"h": Technique.HAMMER_ON, "p": Technique.PULL_OFF}


@dataclass(frozen=True)
class Case:
    """One line; ``usual`` has every acceptable way to stroke it."""

    name: str
    lick: Lick
    policy: str
    tempo_bpm: float
    meter: Meter
    start: Stroke | None
    escape: str | None
    usual: list[str]

    def found(self) -> str:
        """The strokes that are found, ``-`` for a note that is not struck."""
        lick = finish(
            self.lick,
            tempo_bpm=self.tempo_bpm,
            policy=self.policy,
            meter=self.meter,
            start=self.start,
            escape=self.escape or "both",
        )
        return "".join(note.stroke.value if note.stroke else "-" for note in lick.notes)

    def agreeing(self) -> int:
        """Notes on which the found strokes agree with the nearest usual ones."""
        found = self.found()
        return max(sum(a == b for a, b in zip(found, usual, strict=True)) for usual in self.usual)


def read(kind: str) -> Iterator[Case]:
    """The cases of a file."""
    for line in (HERE / FILES[kind]).read_text().splitlines():
        if line.strip() and not line.startswith("#"):
            name, options, notes, rhythm, usual, _ = (part.strip() for part in line.split(";"))
            policy, *words = (word.strip() for word in options.split(","))
            said = dict(word.partition("=")[::2] for word in words)
            beats, unit = map(int, said.get("meter", "4/4").split("/"))
            start = said.get("start")
            yield Case(
                name,
                _lick(notes, rhythm, Marks(palm_mute=True) if "pm" in said else PLAIN),
                policy,
                float(said.get("tempo", "110")),
                Meter.of(beats, unit),
                Stroke(start) if start else None,
                said.get("escape"),
                [way.strip() for way in usual.split("|")],
            )


def _lick(notes: str, rhythm: str, marks: Marks) -> Lick:
    pitch = parse_pitch("E3")  # no stroke hangs on it
    values, time, found = rhythm.split(), Fraction(0), list[LickNote]()
    at = 0
    for word in notes.split():
        string, _, frets = word.partition(":")
        for sign, fret in re.findall(r"([hp,]?)(\d+)", frets):
            while values[at % len(values)].startswith("r"):
                time += Fraction(values[at % len(values)][1:]) / 4
                at += 1
            place, length = Position(int(string), int(fret)), Fraction(values[at % len(values)]) / 4
            technique = _SIGNS.get(sign, Technique.PICK)
            found.append(LickNote(place, pitch, time, length, technique=technique, marks=marks))
            time += length
            at += 1
    return Lick(tuple(found), time)


CASES = {kind: list(read(kind)) for kind in FILES}
#: Of the lines and of the strokes, those that agree at least.
LEAST = (0.92, 0.95)


@pytest.mark.parametrize("kind", FILES)
def test_strokes_are_those_of_players(kind: str) -> None:
    cases = CASES[kind]
    wholly = [case for case in cases if case.found() in case.usual]
    strokes, notes = sum(case.agreeing() for case in cases), sum(len(c.usual[0]) for c in cases)
    for case in cases:
        if case not in wholly:
            print(f"{case.name}: {case.found()}, not {' or '.join(case.usual)}")
    print(f"{kind}: {len(wholly)} of {len(cases)} lines, {strokes} of {notes} strokes agree")
    assert len(wholly) >= LEAST[0] * len(cases)
    assert strokes >= LEAST[1] * notes


def test_there_are_enough_cases() -> None:
    assert [len(cases) for cases in CASES.values()] == [60, 24]


@pytest.mark.parametrize("case", [*CASES["unseen"], *CASES["second unseen"]], ids=lambda c: c.name)
def test_every_way_is_for_every_note(case: Case) -> None:
    assert {len(way) for way in case.usual} == {len(case.lick.notes)}
