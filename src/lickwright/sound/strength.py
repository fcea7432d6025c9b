"""How hard is each note of a line struck?

A line breathes: it leans on the beats of its meter, on the first note of each cell and on the notes
where it comes to rest, and it grows towards its top.  All of it together stays within a few
decibels.  The amounts are common practice, no source.
"""

from __future__ import annotations

from fractions import Fraction

from lickwright.lick import LickNote, Stroke, Technique
from lickwright.score import Score

#: Decibels that each thing adds.
_STRONG, _BEAT, _OFF = 1.5, 0.6, -0.9
_CELL, _REST, _UP, _TOP = 0.8, 1.4, -0.5, 1.2
_SPREAD = 0.5


def strengths_db(score: Score) -> tuple[float, ...]:
    """How hard each note of the line is struck, in decibels about 0; how it starts apart.

    Parameters
    ----------
    score : whose line it is.

    Returns
    -------
    tuple of float
        One for each note, in order.
    """
    notes = score.lick.notes
    pitches = [note.pitch.midi for note in notes]
    low, high = (min(pitches), max(pitches)) if pitches else (0, 0)
    found = []
    for index, note in enumerate(notes):
        strength = _leaning(score, note.onset) + _SPREAD * spread(index, 0)
        strength += _TOP * ((note.pitch.midi - low) / max(high - low, 1) - 0.5)
        before = notes[index - 1] if index else None
        if _begins_cell(before, note):
            strength += _CELL
        after = notes[index + 1] if index + 1 < len(notes) else None
        if note.duration >= 1 or after is None or after.onset > note.end:
            strength += _REST
        if note.stroke is Stroke.UP and note.technique is Technique.PICK:
            strength += _UP
        found.append(strength)
    return tuple(found)


def _leaning(score: Score, moment: Fraction) -> float:
    """What the meter adds at a moment."""
    bar = score.bar_at(moment)
    beats = dict(bar.felt_beats)
    if moment not in beats:
        return _OFF
    number, count = beats[moment], len(bar.beat_lengths)
    middle = count > 3 and count % 2 == 0 and number == count // 2 + 1
    return _STRONG if number == 1 or middle else _BEAT


def _begins_cell(before: LickNote | None, note: LickNote) -> bool:
    """Whether another triad or another part begins with a note."""
    if before is None:
        return True
    return before.voice != note.voice or before.belongs.part != note.belongs.part


def spread(index: int, kind: int) -> float:
    """A number from -1 to 1 for each note, spread evenly: no two strokes of a hand are alike.

    Multiples of the golden ratio, so that the same lick always sounds the same.

    Parameters
    ----------
    index : number of the note in its lick.
    kind : 0 or 1, for two spreads that have nothing to do with each other.

    Returns
    -------
    float
    """
    return 2.0 * ((index + 1) * (0.6180339887498949, 0.7548776662466927)[kind] % 1.0) - 1.0
