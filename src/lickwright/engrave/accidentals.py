"""Which accidentals are printed? Those the signature and the bar do not imply, and reminders.

An accidental holds for its line or space to the end of the bar; a note tied over the bar line
keeps its own without a new sign.  A reminder in brackets stands where a reader would doubt: the
first note on a letter that an accidental changed in the bar before, or in another octave of the
same bar.  Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from lickwright.theory.pitch import NoteName

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
    """What the reader knows while reading along; one book per staff."""

    fifths: int = 0
    _in_force: dict[int, int] = field(default_factory=dict)  # staff step -> alter
    _heard: dict[str, set[int]] = field(default_factory=dict)  # letter -> alters of this bar
    _doubts: dict[str, set[int]] = field(default_factory=dict)  # the same of the bar before

    def start_bar(self, fifths: int) -> None:
        """Forget the bar before, but for what the reader may still have in the ear."""
        self._doubts = {
            letter: alters - {signature_alter(self.fifths, letter)}
            for letter, alters in self._heard.items()
        }
        self._heard = {}
        self._in_force = {}
        self.fifths = fifths

    def sign(self, name: NoteName, step: int, *, tied: bool = False) -> Accidental | None:
        """The sign before a note on a staff step, ``None`` for none; the reader learns it."""
        self._heard.setdefault(name.letter, set()).add(name.alter)
        if tied:
            # The tie carries the alteration over the bar line, but not to the next note there.
            return None
        usual = signature_alter(self.fifths, name.letter)
        implied = self._in_force.get(step, usual)
        first_here = step not in self._in_force
        self._in_force[step] = name.alter
        before = self._doubts.pop(name.letter, set())
        if name.alter != implied:
            return Accidental(ACCIDENTALS[name.alter])
        elsewhere = {alter for other, alter in self._in_force.items() if (other - step) % 7 == 0}
        doubtful = (first_here and elsewhere != {name.alter}) or before - {name.alter}
        return Accidental(ACCIDENTALS[name.alter], reminder=True) if doubtful else None
