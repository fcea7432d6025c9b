"""Which accidentals are printed? Those the signature and the bar do not imply, and reminders.

An accidental holds for its line or space to the end of the bar; a note tied over the bar line
keeps its own without a new sign.  A reminder in brackets stands where a reader would doubt: the
first note on a letter that an accidental changed in the bar before, or in another octave of the
same bar.  Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from lickwright.theory import NoteName

#: MusicXML 4.0 ``accidental-value`` by alteration in semitones.
ACCIDENTALS: dict[int, str] = {
    -3: "triple-flat",
    -2: "flat-flat",
    -1: "flat",
    0: "natural",
    1: "sharp",
    2: "double-sharp",
    3: "triple-sharp",
}


@dataclass(frozen=True, slots=True)
class Accidental:
    """A printed sign; ``reminder`` for one in brackets."""

    sign: str
    reminder: bool = False


def signature_alter(fifths: int, letter: str) -> int:
    """What a signature of so many sharps (or, below 0, flats) does to a letter, in semitones."""
    place = "FCGDAEB".index(letter)
    if fifths > place:
        return (fifths - place + 6) // 7
    if -fifths > 6 - place:
        return -((-fifths - (6 - place) + 6) // 7)
    return 0


@dataclass(slots=True)
class AccidentalBook:
    """What the reader knows while reading along, per staff step; one book per staff."""

    fifths: int = 0
    _in_force: dict[int, int] = field(default_factory=dict)
    _heard: dict[int, int] = field(default_factory=dict)
    _heard_before: dict[int, int] = field(default_factory=dict)

    def start_bar(self, fifths: int) -> None:
        """Forget the bar before, but for what the reader may still have in the ear."""
        self._heard_before = self._heard
        self._heard = {}
        self._in_force = {}
        self.fifths = fifths

    def sign(self, name: NoteName, step: int, *, tied: bool = False) -> Accidental | None:
        """The sign before a note on a staff step, ``None`` for none; the reader learns it."""
        doubtful = step not in self._heard and self._doubtful(name, step)
        self._heard[step] = name.alter
        if tied:
            # The tie carries the alteration over the bar line, but not to the next note there.
            return None
        implied = self._in_force.get(step, signature_alter(self.fifths, name.letter))
        self._in_force[step] = name.alter
        if name.alter != implied:
            return Accidental(ACCIDENTALS[name.alter])
        return Accidental(ACCIDENTALS[name.alter], reminder=True) if doubtful else None

    def _doubtful(self, name: NoteName, step: int) -> bool:
        """Whether the last note on the same place, or else in another octave, was altered."""
        here = self._other_octaves(self._heard, step)
        if here:
            return bool(here - {name.alter})
        if step in self._heard_before:
            return self._heard_before[step] != name.alter
        return bool(self._other_octaves(self._heard_before, step) - {name.alter})

    @staticmethod
    def _other_octaves(heard: dict[int, int], step: int) -> set[int]:
        return {alter for other, alter in heard.items() if (other - step) % 7 == 0}
