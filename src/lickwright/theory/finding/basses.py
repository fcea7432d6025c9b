"""The same shape over another bass: what do these notes imply over each of the twelve?"""

from __future__ import annotations

from dataclasses import replace

from lickwright.theory.hearing import Notes, Reading, read_sounding, readings_of
from lickwright.theory.key import Key, parse_key
from lickwright.theory.pitch import NoteName


def over_every_bass(notes: Notes, key: Key | str | None = None) -> dict[NoteName, list[Reading]]:
    """The ranked readings of some notes over each bass, in semitones up from their first note.

    Parameters
    ----------
    notes : as for :func:`lickwright.theory.hearing.implied.implied_chords`.
    key : spells the basses and the chords, and marks the readings that stay inside it.

    Returns
    -------
    dict of NoteName to list of Reading
        Twelve rows.  A bass among the notes keeps the caller's spelling.

    Raises
    ------
    TheoryError
        When a note or the key cannot be read, or there are no notes.

    Examples
    --------
    >>> rows = over_every_bass("D F# A C#")
    >>> {str(bass): readings[0].symbol for bass, readings in rows.items() if str(bass) in "BEG"}
    {'E': 'E13sus4', 'G': 'Dmaj7/G', 'B': 'Bm9'}
    """
    in_key = parse_key(key) if isinstance(key, str) else key
    shape = read_sounding(notes)
    rows: dict[NoteName, list[Reading]] = {}
    for up in range(12):
        bass = (shape.bass + up) % 12
        sounding = replace(shape, mask=shape.mask | 1 << bass, bass=bass)
        rows[sounding.bass_name(in_key)] = list(readings_of(sounding, in_key))
    return rows
