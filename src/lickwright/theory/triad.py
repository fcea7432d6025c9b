"""The six triads that lessons are made of, spelled from their root."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache

from lickwright.errors import TheoryError
from lickwright.theory.chord import parse_chord
from lickwright.theory.degree import degree_semitones, degree_steps
from lickwright.theory.pitch import NoteName, mask_of
from lickwright.theory.pitch import name_above as name_above
from lickwright.theory.symbols import parse_suffix


class TriadQuality(StrEnum):
    """Quality, by the suffix that the house prints after the root."""

    MAJOR = ""
    MINOR = "m"
    DIMINISHED = "dim"
    AUGMENTED = "aug"
    SUS2 = "sus2"
    SUS4 = "sus4"


#: Per quality: (letter steps, semitones) above the root for each of the three tones, and the
#: degree names, as the chord vocabulary has them.
TRIAD_TONES: dict[TriadQuality, tuple[tuple[int, int, str], ...]] = {
    quality: tuple(
        (degree_steps(name), degree_semitones(name), name)
        for name in parse_suffix(quality.value).degrees
    )
    for quality in TriadQuality
}
_QUALITIES = {quality.value: quality for quality in TriadQuality}


@dataclass(frozen=True, slots=True)
class Triad:
    """Three notes on a root."""

    root: NoteName
    quality: TriadQuality

    @property
    def notes(self) -> tuple[NoteName, NoteName, NoteName]:
        """Root, third (or second, or fourth) and fifth, each on its own letter."""
        return _notes(self.root, self.quality)

    @property
    def mask(self) -> int:
        """12-bit mask of the three notes, C on bit 0."""
        root = self.root.pc
        return mask_of(root + semitones for _, semitones, _ in TRIAD_TONES[self.quality])

    def __str__(self) -> str:
        return f"{self.root}{self.quality.value}"


@lru_cache(maxsize=512)
def _notes(root: NoteName, quality: TriadQuality) -> tuple[NoteName, NoteName, NoteName]:
    first, second, third = (
        name_above(root, steps, semitones) for steps, semitones, _ in TRIAD_TONES[quality]
    )
    return first, second, third


def parse_triad(text: str) -> Triad:
    """Read ``F``, ``Am``, ``F# dim``, ``Caug``, ``C+``, ``Dsus4`` ... as any chord is read.

    Parameters
    ----------
    text : a root and a quality.

    Returns
    -------
    Triad
        Three notes on a root.

    Raises
    ------
    TheoryError
        With the nearest valid spelling, or with what the chord has that a triad has not.

    Examples
    --------
    >>> print(*parse_triad("F#m").notes)
    F# A C#
    """
    try:
        chord = parse_chord(text)
    except TheoryError as error:
        what = error.what.replace("is not a chord", "is not a triad", 1)
        raise TheoryError(what, mend=error.mend) from None
    quality = _QUALITIES.get(chord.kind.suffix)
    if chord.bass or chord.upper:
        raise TheoryError(
            f"'{text}' is not a triad: it has a slash", mend="Write the three notes' chord alone"
        )
    if quality is None:
        raise TheoryError(
            f"'{text}' is not a triad: {chord} is {' '.join(map(str, chord.tones))}",
            mend="Use one of: major, m, dim, aug, sus2, sus4",
        )
    return Triad(chord.root, quality)
