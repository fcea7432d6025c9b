"""Which note of which triad resolves to which guide tone of the next chord?

A tension or a seventh that one line plays moves by a half or whole step to a third or seventh that
the next line plays (common practice): 7 to 3, 9 to 7 and so on.  The octave does not matter: an
ear follows the tone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from lickwright.changes.lines import Candidate
from lickwright.lick.phrase import guide_tones
from lickwright.theory import Chord, NoteName, Triad, degree_between

#: Degrees that ask to be resolved: sevenths first, then tensions; the rest is at rest.
_SEVENTHS = frozenset({"7", "b7", "bb7"})
_AT_REST = frozenset({"1", "3", "b3", "5"})
_TENSION_OF = {"2": "9", "b2": "b9", "#2": "#9", "4": "11", "#4": "#11", "6": "13", "b6": "b13"}
#: So many are told: more is a table, not a reason.
_MOST = 2


@dataclass(frozen=True, slots=True)
class Resolution:
    """A note of a triad that moves to a guide tone.

    Parameters
    ----------
    name, triad, degree : the note, the triad that it is of, and its degree over its chord.
    semitones : 1 or 2 up, -1 or -2 down.
    to, to_degree : the guide tone, and its degree over the next chord.
    """

    name: NoteName
    triad: Triad
    degree: str
    semitones: int
    to: NoteName
    to_degree: str

    def __str__(self) -> str:
        size = "a half step" if abs(self.semitones) == 1 else "a whole step"
        way = "up" if self.semitones > 0 else "down"
        return (
            f"{self.name} of {self.triad} (the {self.degree}) resolves {size} {way} to {self.to},"
            f" the {self.to_degree}"
        )


def resolutions(
    before: Candidate, chord: Chord, after: Candidate, following: Chord
) -> tuple[Resolution, ...]:
    """The resolutions from one chord's line to the next one's, the plainest first."""
    played = {name.pc for name in after.names}
    targets = [(d, name) for d, name in guide_tones(following) if name.pc in played]
    found = sorted(_every(before, chord, targets), key=_plainness)
    chosen: list[Resolution] = []
    for one in found:
        taken = {(other.name.pc, other.to.pc) for other in chosen}
        if not any(one.name.pc == a or one.to.pc == b for a, b in taken):
            chosen.append(one)
    return tuple(chosen[:_MOST])


def _every(
    before: Candidate, chord: Chord, targets: Sequence[tuple[str, NoteName]]
) -> Iterator[Resolution]:
    own = dict(zip(chord.kind.degrees, chord.tones, strict=True))
    degrees = {name.pc: degree for degree, name in own.items()}
    sounding = {name.pc for name in before.names}
    for triad in before.triads:
        for name in triad.notes:
            written = degree_between(chord.root, name)
            degree = degrees.get(name.pc, _TENSION_OF.get(written, written))
            if name.pc not in sounding or degree in _AT_REST:
                continue
            for to_degree, to in targets:
                semitones = (to.pc - name.pc + 6) % 12 - 6
                if 1 <= abs(semitones) <= 2:
                    yield Resolution(name, triad, degree, semitones, to, to_degree)


def _plainness(one: Resolution) -> tuple[bool, bool, int, int]:
    """Sevenths before tensions, down before up, half steps before whole steps."""
    return one.degree not in _SEVENTHS, one.semitones > 0, abs(one.semitones), one.name.pc
