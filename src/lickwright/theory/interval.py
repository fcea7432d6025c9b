"""Intervals between spelled notes: a quality and a number, such as m3, A4 or -P5.

Conventions
-----------
* ``number`` counts letters as musicians do: 1 unison, 3 third, 8 octave, 10 tenth.  It is
  negative for an interval that goes down; there is no number 0 or -1 apart from the falling
  augmented unison (C to Cb), whose number is -1.
* ``semitones`` is signed with it: a falling minor third is ``Interval(-3, -3)``, written ``-m3``.
* Direction is that of the letters.  Where accidentals cross them over (B# up to Cb) the number
  still goes up and the quality says the rest: ``dd2``.
* Qualities: P, M, m, and A or d once for each semitone beyond (AA4 is doubly augmented).

Common practice, no source; the tests compare with ``music21.interval``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import overload

from lickwright.errors import TheoryError
from lickwright.theory.degree import MAJOR_SEMITONES
from lickwright.theory.pitch import LETTER_PC, LETTERS, NoteName, Pitch

_PERFECT = frozenset({0, 3, 4})  # letter steps of unison, fourth and fifth
_INTERVAL = re.compile(r"(-?)(P|M|m|A+|d+)(-?)([1-9]\d*)")


@dataclass(frozen=True, slots=True)
class Interval:
    """A spelled interval; ``number`` and ``semitones`` are negative where it goes down."""

    number: int
    semitones: int

    def __post_init__(self) -> None:
        if self.number == 0:
            raise TheoryError("an interval has no number 0", mend="A unison has the number 1")

    @property
    def steps(self) -> int:
        """Letters travelled, signed: 2 for a third up, -2 for a third down."""
        return self.number - 1 if self.number > 0 else self.number + 1

    @property
    def quality(self) -> str:
        """P, M, m, A.. or d.. ."""
        octaves, simple = divmod(abs(self.steps), 7)
        size = self.semitones if self.number > 0 else -self.semitones
        beyond = size - 12 * octaves - MAJOR_SEMITONES[simple]
        if simple in _PERFECT:
            return "A" * beyond if beyond > 0 else "d" * -beyond or "P"
        if beyond > 0:
            return "A" * beyond
        return ("M", "m")[-beyond] if beyond > -2 else "d" * (-beyond - 1)

    @property
    def simple(self) -> Interval:
        """The same interval within an octave: a tenth is a third; an octave stays an octave."""
        octaves = max(0, (abs(self.steps) - 1) // 7)
        sign = 1 if self.number > 0 else -1
        return Interval(self.number - sign * 7 * octaves, self.semitones - sign * 12 * octaves)

    @property
    def inverted(self) -> Interval:
        """What makes the simple interval up to an octave: m3 and M6; direction is kept."""
        simple = self.simple
        sign = 1 if simple.number > 0 else -1
        return Interval(sign * 9 - simple.number, sign * 12 - simple.semitones)

    def __add__(self, other: Interval) -> Interval:
        steps, semitones = self.steps + other.steps, self.semitones + other.semitones
        return _interval(steps, semitones)

    def __neg__(self) -> Interval:
        return _interval(-self.steps, -self.semitones)

    def __sub__(self, other: Interval) -> Interval:
        return self + -other

    def __str__(self) -> str:
        return f"{'-' if self.number < 0 else ''}{self.quality}{abs(self.number)}"


def _interval(steps: int, semitones: int) -> Interval:
    falls = steps < 0 or (steps == 0 and semitones < 0)
    return Interval(steps - 1 if falls else steps + 1, semitones)


def parse_interval(text: str) -> Interval:
    """Read ``m3``, ``P5``, ``AA4``, ``M10``, ``-m3`` (or ``m-3``) ...

    Raises
    ------
    TheoryError
        When the text is no interval, or joins a quality and a number that never meet (P3, M5).
    """
    match = _INTERVAL.fullmatch(text.strip())
    if match is None or (match[1] and match[3]):
        raise TheoryError(
            f"'{text}' is not an interval",
            mend="Write a quality (P, M, m, A, d) and a number, such as m3 or P5",
        )
    quality, steps = match[2], int(match[4]) - 1
    octaves, simple = divmod(steps, 7)
    perfect = simple in _PERFECT
    if quality in ("M", "m") if perfect else quality == "P":
        other = "P, A or d" if perfect else "M, m, A or d"
        raise TheoryError(f"'{text}' is not an interval", mend=f"A {match[4]} takes {other}")
    beyond = {"P": 0, "M": 0, "m": -1}.get(quality)
    if beyond is None:
        below = len(quality) + (0 if perfect else 1)
        beyond = len(quality) if quality[0] == "A" else -below
    semitones = 12 * octaves + MAJOR_SEMITONES[simple] + beyond
    falls = bool(match[1] or match[3])
    if steps == 0 and semitones < 0:
        raise TheoryError(f"'{text}' is not an interval", mend="A falling unison is written -A1")
    return _interval(-steps if falls else steps, -semitones if falls else semitones)


@overload
def interval_between(low: NoteName, high: NoteName) -> Interval: ...
@overload
def interval_between(low: Pitch, high: Pitch) -> Interval: ...
def interval_between(low: NoteName | Pitch, high: NoteName | Pitch) -> Interval:
    """The interval from one note to another.

    Between pitches it is exact: signed and compound.  Between note names it goes up to the next
    such letter: E to C is m6, C to C is P1, C to Cb is d8.

    Parameters
    ----------
    low, high : two pitches, or two note names.

    Returns
    -------
    Interval
        From the first to the second.

    Examples
    --------
    >>> from lickwright.theory.pitch import parse_note_name, parse_pitch
    >>> str(interval_between(parse_note_name("E"), parse_note_name("C")))
    'm6'
    >>> str(interval_between(parse_pitch("E2"), parse_pitch("G3")))
    'm10'
    """
    if isinstance(low, Pitch) and isinstance(high, Pitch):
        return _interval(high.staff_step - low.staff_step, high.midi - low.midi)
    if isinstance(low, Pitch) or isinstance(high, Pitch):
        raise TheoryError(
            f"no interval between {low} and {high}: one has an octave, the other has none",
            mend="Give two note names or two pitches",
        )
    steps = (LETTERS.index(high.letter) - LETTERS.index(low.letter)) % 7
    if steps == 0 and high.alter < low.alter:
        steps = 7
    natural = (LETTER_PC[high.letter] - LETTER_PC[low.letter]) % 12 if steps != 7 else 12
    return _interval(steps, natural + high.alter - low.alter)


@overload
def note_above(note: NoteName, interval: Interval) -> NoteName: ...
@overload
def note_above(note: Pitch, interval: Interval) -> Pitch: ...
def note_above(note: NoteName | Pitch, interval: Interval) -> NoteName | Pitch:
    """The note an interval away (below where the interval is negative), spelled by its letter."""
    if isinstance(note, Pitch):
        octave, index = divmod(note.staff_step + interval.steps, 7)
        letter = LETTERS[index]
        natural = 12 * (octave + 1) + LETTER_PC[letter]
        return Pitch(NoteName(letter, note.midi + interval.semitones - natural), octave)
    octaves, index = divmod(LETTERS.index(note.letter) + interval.steps, 7)
    letter = LETTERS[index]
    natural = 12 * octaves + LETTER_PC[letter] - LETTER_PC[note.letter]
    return NoteName(letter, note.alter + interval.semitones - natural)
