"""The instrument: open strings, frets, scale length, string spacing, capo.

String 1 is the highest-sounding string of a standard guitar, as players and MusicXML count.
Frets count from the nut; with a capo, fret 0 is *at* the capo and ``frets`` still counts the real
frets of the neck.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from lickwright.errors import NeckError
from lickwright.neck.geometry import finger_mm, fret_mm
from lickwright.theory import Pitch, parse_pitch

STANDARD = "E2 A2 D3 G3 B3 E4"


@dataclass(frozen=True, slots=True, order=True)
class Position:
    """One place on the neck: a string (1 = highest) and a fret (0 = open)."""

    string: int
    fret: int

    def __str__(self) -> str:
        return f"string {self.string} fret {self.fret}"


def _standard_strings() -> tuple[Pitch, ...]:
    return tuple(parse_pitch(text) for text in reversed(STANDARD.split()))


@dataclass(frozen=True, slots=True)
class Guitar:
    """A fretted instrument with 4 to 9 strings.

    Parameters
    ----------
    open_strings : open pitches, string 1 first, without the capo.
    frets : number of fret wires on the neck.
    scale_mm : vibrating length of each string, string 1 first (fanned frets differ); empty for
        648 mm (25.5 in) throughout.
    spacing_mm : distance between neighbouring strings under the left hand.
    capo : fret of the capo, 0 for none.
    left_handed : diagrams are mirrored; nothing else changes.
    """

    open_strings: tuple[Pitch, ...] = field(default_factory=_standard_strings)
    frets: int = 24
    scale_mm: tuple[float, ...] = ()
    spacing_mm: float = 8.0
    capo: int = 0
    left_handed: bool = False

    def __post_init__(self) -> None:
        count = len(self.open_strings)
        if not 4 <= count <= 9:
            raise NeckError(f"a tuning of {count} strings", mend="Give 4 to 9 open strings")
        if not 1 <= self.frets <= 36:
            raise NeckError(f"a neck of {self.frets} frets", mend="Give 1 to 36 frets")
        if not 0 <= self.capo < self.frets:
            raise NeckError(f"a capo at fret {self.capo}", mend="Put the capo on the neck")
        if not self.scale_mm:
            object.__setattr__(self, "scale_mm", (648.0,) * count)
        if len(self.scale_mm) != count:
            raise NeckError(
                f"{len(self.scale_mm)} scale lengths for {count} strings",
                mend="Give one scale length, or one for each string",
            )

    @property
    def string_count(self) -> int:
        return len(self.open_strings)

    @property
    def tuning(self) -> str:
        """The open strings as players write them: lowest string first."""
        return " ".join(str(pitch) for pitch in reversed(self.open_strings))

    @property
    def last_fret(self) -> int:
        """The highest playable fret number, counted from the capo."""
        return self.frets - self.capo

    def has(self, position: Position) -> bool:
        """Whether the instrument has this string and fret."""
        return 1 <= position.string <= self.string_count and 0 <= position.fret <= self.last_fret

    def midi_at(self, position: Position) -> int:
        """MIDI key number that sounds at a position.

        Raises
        ------
        NeckError
            When the instrument has no such string or fret.
        """
        if not self.has(position):
            raise NeckError(
                f"there is no {position} on this instrument",
                mend=f"It has strings 1 to {self.string_count} and frets 0 to {self.last_fret}",
            )
        return self.open_strings[position.string - 1].midi + self.capo + position.fret

    def finger_mm(self, position: Position) -> float:
        """Where along the string a finger stops it, in mm from the nut."""
        return finger_mm(self.scale_mm[position.string - 1], position.fret + self.capo)

    def fret_mm(self, position: Position) -> float:
        """Where along the string the fret wire stands, in mm from the nut."""
        return fret_mm(self.scale_mm[position.string - 1], position.fret + self.capo)

    def along(self, position: Position) -> float:
        """Where a finger stops the string, as a fraction of the string's scale length.

        Strings of unlike length (fanned frets) are compared by it: a hand lies along the fan.
        """
        return finger_mm(1.0, position.fret + self.capo) if position.fret else 0.0
