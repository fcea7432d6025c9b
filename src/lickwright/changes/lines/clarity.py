"""How clearly do some notes over a bass sound as the chord that is written there?

The verdict and the readings are those of the theory room; here they become one price that
candidates can be compared by.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from lickwright.changes.lines.joins import CarryCosts
from lickwright.theory import Chord, Key, degree_semitones, pitch_classes
from lickwright.theory.hearing import TRUSTED, Reading, implied_chords, judge


@dataclass(frozen=True, slots=True)
class Clarity:
    """What some notes say to the chord that is written over them.

    Parameters
    ----------
    holds : ``"yes"``, ``"nearly"`` or ``"no"``, as :func:`lickwright.theory.hearing.claim.judge`
    has it.
    what : why not, in a sentence, where it is not ``"yes"``.
    place : how many readings come before the one on the chord's own root.
    strength : of that reading, 0 to 1; 0 where there is none.
    reading : that reading, or the first of all.
    """

    holds: str
    what: str
    place: int
    strength: float
    reading: Reading

    @property
    def trusted(self) -> bool:
        """Whether the chord is among the readings that an ear chooses from."""
        return self.holds != "no" and self.place < TRUSTED and self.strength > 0


@lru_cache(maxsize=65536)
def clarity_of(mask: int, chord: Chord, key: Key | None) -> Clarity:
    """How clearly the pitch classes of a mask, over the chord's bass, sound as the chord.

    Parameters
    ----------
    mask : 12-bit, C on bit 0; at least one bit.
    """
    notes = pitch_classes(mask)
    bass = chord.bass_note
    verdict = judge(chord, notes, bass, key)
    holds: str = verdict.holds
    what = verdict.what
    third = _third_in_suspension(mask, chord)
    if third is not None:
        holds, what = "no", f"{chord} is suspended, but its third sounds ({third})"
    every = implied_chords(notes, bass, key)
    readings = [reading for reading in every if not reading.beside] or every
    for place, reading in enumerate(readings):
        if reading.named and reading.root.pc == chord.root.pc:
            return Clarity(holds, what, place, reading.strength, reading)
    return Clarity(holds, what, len(readings), 0.0, readings[0])


def _third_in_suspension(mask: int, chord: Chord) -> str | None:
    """The third that sounds under a suspended chord, if one does: it resolves what should hang."""
    if not {"2", "4"} & set(chord.kind.degrees):
        return None
    for degree in ("3", "b3"):
        if mask >> (chord.root.pc + degree_semitones(degree)) % 12 & 1:
            return degree
    return None


def clarity_cost(clarity: Clarity, costs: CarryCosts) -> int:
    """What it costs that a chord is not heard at once, in tenths of a mm of hand travel."""
    verdict = {"yes": 0, "nearly": costs.nearly, "no": costs.contradicted}[clarity.holds]
    unsure = round(100 * (1 - clarity.strength)) * costs.unclear
    return verdict + unsure + clarity.place * costs.lesser_reading
