"""What sounds: pitch classes over a bass, and how the player spelled them.

Everything past this point works on a 12-bit mask relative to the bass; the spellings wait here
until names are printed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from lickwright.errors import TheoryError
from lickwright.theory.pitch import NoteName, Pitch, parse_note_name, rotate_mask
from lickwright.theory.triad import Triad

#: A note as callers may give it: a spelled name, a spelled pitch, or a number (a pitch class,
#: or a MIDI key number, of which only the pitch class is read).
NoteLike = str | NoteName | Pitch | int
#: What may sound: text such as ``"F A C"``, a triad, a note, or any mixture in an iterable.
Notes = str | Triad | NoteName | Pitch | Iterable["str | NoteName | Pitch | int | Triad"]

_BETWEEN_NOTES = re.compile(r"[\s,]+")


@dataclass(frozen=True, slots=True)
class Sounding:
    """Pitch classes that sound together, the bass among them.

    Parameters
    ----------
    mask : absolute pitch classes (bit 0 is C), the bass included.
    bass : pitch class of the bass.
    spellings : for each pitch class 0-11 the name the caller gave it, or ``None``.
    triads : the triads among what was given.
    """

    mask: int
    bass: int
    spellings: tuple[NoteName | None, ...]
    triads: tuple[Triad, ...] = ()

    @property
    def over_bass(self) -> int:
        """The mask relative to the bass: bit 0 is the bass."""
        return rotate_mask(self.mask, -self.bass)


def read_sounding(notes: Notes, over: NoteLike) -> Sounding:
    """Read notes or triads over a bass; the bass joins the notes if it is not among them.

    Raises
    ------
    TheoryError
        When there are no notes, or a note cannot be read.
    """
    bass_pc, bass_name = _read_note(over)
    spellings: list[NoteName | None] = [None] * 12
    spellings[bass_pc] = bass_name
    mask = 1 << bass_pc
    played = 0
    triads = []
    for note in _each(notes):
        if isinstance(note, Triad):
            triads.append(note)
        for pc, name in _tones(note):
            played |= 1 << pc
            spellings[pc] = spellings[pc] or name
    if not played:
        raise TheoryError(
            "there are no notes to name", mend="Give a triad, or notes such as 'F A C'"
        )
    return Sounding(mask | played, bass_pc, tuple(spellings), tuple(triads))


def _each(notes: Notes) -> Iterable[NoteLike | Triad]:
    if isinstance(notes, str):
        return [text for text in _BETWEEN_NOTES.split(notes.strip()) if text]
    if isinstance(notes, Triad | NoteName | Pitch):
        return [notes]
    return notes


def _tones(note: NoteLike | Triad) -> list[tuple[int, NoteName | None]]:
    if isinstance(note, Triad):
        return [(name.pc, name) for name in note.notes]
    return [_read_note(note)]


def _read_note(note: NoteLike) -> tuple[int, NoteName | None]:
    if isinstance(note, str):
        name = parse_note_name(note)
        return name.pc, name
    if isinstance(note, NoteName):
        return note.pc, note
    if isinstance(note, Pitch):
        return note.name.pc, note.name
    if isinstance(note, int) and note >= 0:
        return note % 12, None
    raise TheoryError(
        f"{note!r} is not a note", mend="Give a name such as F#, or a pitch class from 0 to 11"
    )
