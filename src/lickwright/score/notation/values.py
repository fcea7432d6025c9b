"""Which note values does the page have? Plain and once-dotted ones, by their quarter notes."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

#: MusicXML 4.0 ``note-type-value`` by length in quarter notes.
NOTE_TYPES: dict[Fraction, str] = {
    Fraction(8): "breve",
    Fraction(4): "whole",
    Fraction(2): "half",
    Fraction(1): "quarter",
    Fraction(1, 2): "eighth",
    Fraction(1, 4): "16th",
    Fraction(1, 8): "32nd",
    Fraction(1, 16): "64th",
    Fraction(1, 32): "128th",
}


@dataclass(frozen=True, slots=True)
class NoteValue:
    """A written value: ``plain`` quarter notes long, half as long again when dotted."""

    plain: Fraction
    dotted: bool = False

    @property
    def quarters(self) -> Fraction:
        return self.plain * Fraction(3, 2) if self.dotted else self.plain

    @property
    def type(self) -> str:
        """The name that MusicXML gives it."""
        return NOTE_TYPES[self.plain]

    @property
    def flags(self) -> int:
        """Flags of a single note, beams of a beamed one: 1 for an eighth."""
        return max(0, (1 / self.plain).numerator.bit_length() - 1) if self.plain < 1 else 0


def value_of(quarters: Fraction) -> NoteValue | None:
    """The single written value of a length, ``None`` where it takes more than one.

    Parameters
    ----------
    quarters : a length in quarter notes.

    Returns
    -------
    NoteValue or None
        Its value with dots; ``None`` where it takes two notes and a tie.

    Examples
    --------
    >>> value_of(Fraction(5)) is None, value_of(Fraction(3, 2)) == value_of(Fraction(6, 4))
    (True, True)
    """
    if quarters in NOTE_TYPES:
        return NoteValue(quarters)
    plain = quarters * Fraction(2, 3)
    return NoteValue(plain, dotted=True) if plain in NOTE_TYPES else None


#: Every value, the longest first.
VALUES: tuple[NoteValue, ...] = tuple(
    sorted(
        (NoteValue(plain, dotted) for plain in NOTE_TYPES for dotted in (True, False)),
        key=lambda value: -value.quarters,
    )
)
