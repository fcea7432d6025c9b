"""What sounds: pitch classes over a bass, and how the player spelled them.

Everything past this point works on a 12-bit mask relative to the bass; the spellings wait here
until names are printed.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from lickwright.errors import TheoryError
from lickwright.theory.key import Key
from lickwright.theory.pitch import NoteName, Pitch, mask_of, parse_note_name, rotate_mask
from lickwright.theory.spelling import spell, spell_root
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

    def name(self, pc: int, key: Key | None = None) -> NoteName | None:
        """The name of a pitch class: the key's for its own notes, else the caller's, if any."""
        given = self.spellings[pc]
        if key is not None and (key.has(pc) or given is None):
            return spell(pc, key)
        return given

    def bass_name(self, key: Key | None = None) -> NoteName:
        """The name of the bass; the usual one where neither key nor caller names it."""
        return self.name(self.bass, key) or spell_root(self.bass)


def read_sounding(notes: Notes, over: NoteLike | None = None) -> Sounding:
    """Read notes or triads over a bass; the bass joins the notes if it is not among them.

    Where no bass is given, the first note is the bass.

    Parameters
    ----------
    notes : text such as ``"F A C"``, or an iterable of note names, pitch classes and triads.
    over : the sounding bass.

    Returns
    -------
    Sounding
        A mask of what sounds, its bass, and how the notes were spelled.

    Raises
    ------
    TheoryError
        When there are no notes, or a note cannot be read.

    Examples
    --------
    >>> bin(read_sounding("F A C", "D").mask)
    '0b1000100101'
    """
    played = list(_each(notes))
    if not played:
        raise TheoryError(
            "there are no notes to name", mend="Give a triad, or notes such as 'F A C'"
        )
    tones = [tone for note in played for tone in _tones(note)]
    bass = tones[0] if over is None else _read_note(over)
    spellings: list[NoteName | None] = [None] * 12
    for pc, name in (bass, *tones):
        spellings[pc] = spellings[pc] or name
    return Sounding(
        mask=mask_of(pc for pc, _ in (bass, *tones)),
        bass=bass[0],
        spellings=tuple(spellings),
        triads=tuple(note for note in played if isinstance(note, Triad)),
    )


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
    # Callers without types hand over anything.
    if isinstance(note, int) and note >= 0:  # type: ignore[redundant-expr]
        return note % 12, None
    raise TheoryError(
        f"{note!r} is not a note", mend="Give a name such as F#, or a pitch class from 0 to 11"
    )
