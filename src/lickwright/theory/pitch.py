"""Spelled pitches: a letter, its accidentals, an octave.

Conventions
-----------
* A *note name* (F#) has no octave; a *pitch* (F#4) has one.  Octaves are numbered as in
  scientific pitch notation (ASA, Young 1939): C4 is middle C, A4 = 440 Hz (ISO 16:1975).
* A *pitch class* is an int 0-11 with C = 0; a *mask* is a 12-bit int with bit ``pc`` set.
* Everything here is sounding pitch.  That guitar music is *written* an octave above its sound
  is the engraver's business.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from lickwright.errors import TheoryError

LETTERS = "CDEFGAB"
LETTER_PC = {"C": 0, "D": 2, "E": 4, "F": 5, "G": 7, "A": 9, "B": 11}

_ACCIDENTALS = {
    "": 0,
    "n": 0,
    "♮": 0,
    "#": 1,
    "♯": 1,
    "##": 2,
    "x": 2,
    "♯♯": 2,
    "𝄪": 2,
    "###": 3,
    "b": -1,
    "♭": -1,
    "bb": -2,
    "♭♭": -2,
    "𝄫": -2,
    "bbb": -3,
}
_NAME = re.compile(r"([A-Ga-g])(#{1,3}|b{1,3}|♯{1,2}|♭{1,2}|[xn♮𝄪𝄫])?")
_PITCH = re.compile(_NAME.pattern + r"(-?\d)")


@dataclass(frozen=True, slots=True)
class NoteName:
    """A letter with its accidentals; ``alter`` is +1 for each sharp, -1 for each flat."""

    letter: str
    alter: int = 0

    @property
    def pc(self) -> int:
        """Pitch class, 0-11."""
        return (LETTER_PC[self.letter] + self.alter) % 12

    @property
    def line_of_fifths(self) -> int:
        """Steps along the line of fifths from C (F = -1, G = 1, F# = 6, Bb = -2)."""
        return "FCGDAEB".index(self.letter) - 1 + 7 * self.alter

    def __str__(self) -> str:
        return self.letter + ("#" * self.alter if self.alter > 0 else "b" * -self.alter)


@dataclass(frozen=True, slots=True)
class Pitch:
    """A note name in an octave.  The octave belongs to the letter: B#3 sounds as C4."""

    name: NoteName
    octave: int

    @property
    def midi(self) -> int:
        """MIDI key number of the sound; A4 = 69."""
        return 12 * (self.octave + 1) + LETTER_PC[self.name.letter] + self.name.alter

    @property
    def staff_step(self) -> int:
        """Diatonic steps above C0: the place on a staff, whatever the accidental."""
        return 7 * self.octave + LETTERS.index(self.name.letter)

    @property
    def frequency_hz(self) -> float:
        """Equal-tempered frequency at A4 = 440 Hz (ISO 16)."""
        return float(440.0 * 2.0 ** ((self.midi - 69) / 12))

    def __str__(self) -> str:
        return f"{self.name}{self.octave}"


def parse_note_name(text: str) -> NoteName:
    """Read ``F#``, ``Bb``, ``Cx``, ``E♭`` ... (a small letter is forgiven).

    Parameters
    ----------
    text : a letter A to G and its accidentals.

    Returns
    -------
    NoteName
        The name, free of any octave.

    Raises
    ------
    TheoryError
        When it is no note.

    Examples
    --------
    >>> parse_note_name("F#").pc
    6
    """
    match = _NAME.fullmatch(text.strip())
    if match is None:
        raise TheoryError(
            f"'{text}' is not a note name",
            mend="Write a letter A to G with # or b, such as F# or Bb",
        )
    return NoteName(match[1].upper(), _ACCIDENTALS[match[2] or ""])


def parse_pitch(text: str) -> Pitch:
    """Read a note name with its octave, such as ``E2`` or ``F#4``.

    Parameters
    ----------
    text : a note name and an octave; C4 is middle C.

    Returns
    -------
    Pitch
        The name in its octave.

    Raises
    ------
    TheoryError
        When it is no pitch.

    Examples
    --------
    >>> parse_pitch("E2").midi
    40
    """
    match = _PITCH.fullmatch(text.strip())
    if match is None:
        raise TheoryError(
            f"'{text}' is not a pitch", mend="Write a note name and an octave, such as E2 or F#4"
        )
    return Pitch(NoteName(match[1].upper(), _ACCIDENTALS[match[2] or ""]), int(match[3]))


def pitch_from_midi(midi: int, name: NoteName) -> Pitch:
    """The pitch that sounds as ``midi`` spelled as ``name``; their pitch classes must agree.

    Parameters
    ----------
    midi : a MIDI key number; 60 is middle C.
    name : how it is spelled.

    Returns
    -------
    Pitch
        The name in the octave where it sounds so.

    Raises
    ------
    TheoryError
        When the name is another pitch class.

    Examples
    --------
    >>> str(pitch_from_midi(42, parse_note_name("F#")))
    'F#2'
    """
    natural = midi - name.alter
    octave, rest = divmod(natural, 12)
    if rest != LETTER_PC[name.letter]:
        raise TheoryError(f"MIDI key {midi} cannot be spelled {name}")
    return Pitch(name, octave - 1)


@lru_cache(maxsize=4096)  # the same few hundred are asked for at every turn of a search
def name_above(root: NoteName, steps: int, semitones: int) -> NoteName:
    """The note ``steps`` letters and ``semitones`` above ``root``, whatever accidental it takes.

    Parameters
    ----------
    root : the note counted from.
    steps : letters up; a third is 2.
    semitones : half steps up; a minor third is 3.

    Returns
    -------
    NoteName
        The note, with as many accidentals as that takes.

    Examples
    --------
    >>> str(name_above(parse_note_name("B"), 2, 3))
    'D'
    """
    letter = LETTERS[(LETTERS.index(root.letter) + steps) % 7]
    alter = (root.pc + semitones - LETTER_PC[letter] + 6) % 12 - 6
    return NoteName(letter, alter)


def mask_of(pitch_classes: Iterable[int]) -> int:
    """The 12-bit mask of some pitch classes.

    Parameters
    ----------
    pitch_classes : numbers 0 to 11, C first.

    Returns
    -------
    int
        12 bits, C on bit 0.

    Examples
    --------
    >>> bin(mask_of([0, 4, 7]))
    '0b10010001'
    """
    mask = 0
    for pc in pitch_classes:
        mask |= 1 << (pc % 12)
    return mask


def pitch_classes(mask: int) -> tuple[int, ...]:
    """The pitch classes of a mask, ascending from C.

    Parameters
    ----------
    mask : 12 bits, C on bit 0.

    Returns
    -------
    tuple of int
        Numbers 0 to 11.

    Examples
    --------
    >>> pitch_classes(0b10010001)
    (0, 4, 7)
    """
    return tuple(pc for pc in range(12) if mask >> pc & 1)


def rotate_mask(mask: int, semitones: int) -> int:
    """Transpose a mask up by ``semitones`` (any sign).

    Parameters
    ----------
    mask : 12 bits, C on bit 0.
    semitones : how far up; below 0 is down.

    Returns
    -------
    int
        The mask of the transposed notes.

    Examples
    --------
    >>> pitch_classes(rotate_mask(mask_of([0, 4, 7]), 2))
    (2, 6, 9)
    """
    n = semitones % 12
    return ((mask << n) | (mask >> (12 - n))) & 0xFFF
