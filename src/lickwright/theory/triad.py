"""The six triads that lessons are made of, spelled from their root."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum

from lickwright.errors import TheoryError, did_you_mean
from lickwright.theory.pitch import LETTER_PC, LETTERS, NoteName, mask_of, parse_note_name


class TriadQuality(StrEnum):
    """Quality, by the suffix that the house prints after the root."""

    MAJOR = ""
    MINOR = "m"
    DIMINISHED = "dim"
    AUGMENTED = "aug"
    SUS2 = "sus2"
    SUS4 = "sus4"


#: Per quality: (letter steps, semitones) above the root for each of the three tones, and the
#: degree names.  Common practice, no source.
TRIAD_TONES: dict[TriadQuality, tuple[tuple[int, int, str], ...]] = {
    TriadQuality.MAJOR: ((0, 0, "1"), (2, 4, "3"), (4, 7, "5")),
    TriadQuality.MINOR: ((0, 0, "1"), (2, 3, "b3"), (4, 7, "5")),
    TriadQuality.DIMINISHED: ((0, 0, "1"), (2, 3, "b3"), (4, 6, "b5")),
    TriadQuality.AUGMENTED: ((0, 0, "1"), (2, 4, "3"), (4, 8, "#5")),
    TriadQuality.SUS2: ((0, 0, "1"), (1, 2, "2"), (4, 7, "5")),
    TriadQuality.SUS4: ((0, 0, "1"), (3, 5, "4"), (4, 7, "5")),
}

_SPELLINGS: dict[str, TriadQuality] = {
    "": TriadQuality.MAJOR,
    "maj": TriadQuality.MAJOR,
    "major": TriadQuality.MAJOR,
    "M": TriadQuality.MAJOR,
    "m": TriadQuality.MINOR,
    "min": TriadQuality.MINOR,
    "minor": TriadQuality.MINOR,
    "-": TriadQuality.MINOR,
    "dim": TriadQuality.DIMINISHED,
    "diminished": TriadQuality.DIMINISHED,
    "°": TriadQuality.DIMINISHED,
    "o": TriadQuality.DIMINISHED,
    "aug": TriadQuality.AUGMENTED,
    "augmented": TriadQuality.AUGMENTED,
    "+": TriadQuality.AUGMENTED,
    "sus2": TriadQuality.SUS2,
    "sus4": TriadQuality.SUS4,
    "sus": TriadQuality.SUS4,
}
_TRIAD = re.compile(r"([A-Ga-g](?:#{1,3}|b{1,3}|[♯♭x𝄪𝄫])?)\s*(.*)")


@dataclass(frozen=True, slots=True)
class Triad:
    """Three notes on a root."""

    root: NoteName
    quality: TriadQuality

    @property
    def notes(self) -> tuple[NoteName, NoteName, NoteName]:
        """Root, third (or second, or fourth) and fifth, each on its own letter."""
        first, second, third = (
            name_above(self.root, steps, semitones)
            for steps, semitones, _ in TRIAD_TONES[self.quality]
        )
        return first, second, third

    @property
    def mask(self) -> int:
        return mask_of(note.pc for note in self.notes)

    def __str__(self) -> str:
        return f"{self.root}{self.quality.value}"


def name_above(root: NoteName, steps: int, semitones: int) -> NoteName:
    """The note ``steps`` letters and ``semitones`` above ``root``, whatever accidental it takes."""
    letter = LETTERS[(LETTERS.index(root.letter) + steps) % 7]
    alter = (root.pc + semitones - LETTER_PC[letter] + 6) % 12 - 6
    return NoteName(letter, alter)


def parse_triad(text: str) -> Triad:
    """Read ``F``, ``Am``, ``F# dim``, ``Caug``, ``C+``, ``Dsus4`` ...

    Raises
    ------
    TheoryError
        With the nearest valid spelling.
    """
    match = _TRIAD.fullmatch(text.strip())
    if match is None:
        raise TheoryError(
            f"'{text}' is not a triad", mend="Write a root and a quality, such as F# dim"
        )
    quality = _SPELLINGS.get(match[2].strip())
    if quality is None:
        hint = did_you_mean(match[2].strip(), [s for s in _SPELLINGS if s])
        raise TheoryError(
            f"'{text}' is not a triad: no quality '{match[2].strip()}'",
            mend=hint.rstrip("?") or "Use one of: major, m, dim, aug, sus2, sus4",
        )
    return Triad(parse_note_name(match[1]), quality)
