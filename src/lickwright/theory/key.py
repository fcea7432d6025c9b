"""Keys and modes: a tonic, a scale, a signature."""

from __future__ import annotations

import re
from dataclasses import dataclass

from lickwright.errors import TheoryError
from lickwright.theory.degree import degree_note
from lickwright.theory.pitch import LETTERS, NoteName, parse_note_name, rotate_mask
from lickwright.theory.scales import (
    DIATONIC_FIFTHS,
    PARENT_SCALES,
    Scale,
    find_scale,
    modes_of,
)

_KEY = re.compile(r"([A-Ga-g](?:##|#|bb|b|x|♯♯|♯|♭♭|♭|𝄪|𝄫)?)\s*(.*)", re.DOTALL)
_SHORT_MODES = {
    "m": "minor",
    "min": "minor",
    "mi": "minor",
    "-": "minor",
    "M": "major",
    "maj": "major",
    "ma": "major",
}


@dataclass(frozen=True, slots=True)
class Key:
    """A tonic and a mode, such as D dorian.

    Parameters
    ----------
    tonic : the spelled tonic.
    mode : a scale's name or alias; it is kept under the house name (ionian is ``major``,
        aeolian ``minor``).

    Raises
    ------
    TheoryError
        For an unknown mode, or a signature of more than seven sharps or flats; the message
        names the enharmonic key that can be written.
    """

    tonic: NoteName
    mode: str = "major"

    def __post_init__(self) -> None:
        scale = find_scale(self.mode)
        object.__setattr__(self, "mode", scale.name)
        fifths = _fifths(self.tonic, scale)
        if abs(fifths) > 7:
            sign = "sharps" if fifths > 0 else "flats"
            other = _writable(self.tonic, scale)
            raise TheoryError(
                f"{self.tonic} {scale.name} would need a signature of {abs(fifths)} {sign}",
                mend=f"Write {other} {scale.name}, which sounds the same",
            )

    @property
    def scale(self) -> Scale:
        return find_scale(self.mode)

    @property
    def fifths(self) -> int:
        """Sharps (positive) or flats (negative) in the signature, -7 to 7.

        A diatonic mode has that of its relative major.  Any other scale is written under the
        signature of the diatonic mode that :attr:`signature_mode` names.
        """
        return _fifths(self.tonic, self.scale)

    @property
    def signature_mode(self) -> str:
        """The diatonic mode whose signature on this tonic the key is written with."""
        return self.scale.signature

    @property
    def notes(self) -> tuple[NoteName, ...]:
        """The notes of the scale from the tonic up, spelled."""
        return tuple(degree_note(self.tonic, name) for name in self.scale.degrees)

    @property
    def mask(self) -> int:
        """12-bit mask of the scale's notes, C on bit 0."""
        return rotate_mask(self.scale.mask, self.tonic.pc)

    def has(self, note: NoteName | int) -> bool:
        """Whether a note, or a pitch class, sounds in the scale (however it is spelled)."""
        return bool(self.mask >> (note if isinstance(note, int) else note.pc) % 12 & 1)

    def __str__(self) -> str:
        return f"{self.tonic} {self.mode}"


def _fifths(tonic: NoteName, scale: Scale) -> int:
    return tonic.line_of_fifths + DIATONIC_FIFTHS[scale.signature]


def _writable(tonic: NoteName, scale: Scale) -> NoteName:
    """The enharmonic of a tonic whose signature has fewest accidentals."""
    others = [
        NoteName(letter, alter)
        for letter in LETTERS
        for alter in (0, 1, -1)
        if NoteName(letter, alter).pc == tonic.pc
    ]
    return min(others, key=lambda note: abs(_fifths(note, scale)))


def parse_key(text: str) -> Key:
    """Read ``D dorian``, ``F# harmonic minor``, ``Bb``, ``Am`` ...; no mode means major.

    Parameters
    ----------
    text : a tonic and a mode or scale.

    Returns
    -------
    Key
        Tonic and scale.

    Raises
    ------
    TheoryError
        With what is wrong and the nearest name.

    Examples
    --------
    >>> print(*parse_key("B dorian").notes)
    B C# D E F# G# A
    """
    match = _KEY.fullmatch(text.strip())
    if match is None:
        raise TheoryError(
            f"'{text}' is not a key", mend="Write a tonic A to G and a mode, such as D dorian"
        )
    tonic, mode = parse_note_name(match[1]), match[2].strip()
    if not mode and match[1][0].islower():
        raise TheoryError(
            f"'{text}' could be {tonic} major or {tonic} minor",
            mend=f"Write '{tonic}' or '{tonic} minor'",
        )
    try:
        scale = find_scale(_SHORT_MODES.get(mode, mode) or "major")
    except TheoryError as error:
        raise TheoryError(f"'{text}' is not a key: {error.what}", mend=error.mend) from None
    return Key(tonic, scale.name)


def relative_key(key: Key, mode: str) -> Key:
    """The key with the same notes in another mode of the same parent: D dorian is C major.

    Raises
    ------
    TheoryError
        When the two modes have no parent scale in common, or the key cannot be written.
    """
    wanted = find_scale(mode)
    own = key.scale
    if wanted.family != own.family or own.family not in PARENT_SCALES:
        raise TheoryError(
            f"no {wanted.name} key has the notes of {key}",
            mend="Ask for a mode of the same parent scale",
        )
    modes = modes_of(own.family)
    place = (modes.index(wanted) - modes.index(own)) % len(modes)
    return Key(key.notes[place], wanted.name)


def parallel_key(key: Key, mode: str) -> Key:
    """The key on the same tonic in another mode: C major and C minor."""
    return Key(key.tonic, mode)
