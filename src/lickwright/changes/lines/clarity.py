"""How clearly do some notes over a bass sound as the chord that is written there?

The verdict and the readings are those of the theory room; here they become one price that
candidates can be compared by.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from lickwright.changes.lines.joins import CarryCosts
from lickwright.theory import (
    Chord,
    Key,
    NoteName,
    degree_semitones,
    pitch_classes,
    rotate_mask,
    spell_root,
)
from lickwright.theory.hearing import TRUSTED, Reading, implied_chords, judge


@dataclass(frozen=True, slots=True)
class ChordStanding:
    """How clearly some notes say a chord, whatever their names: the same in every key.

    Parameters
    ----------
    holds, place, strength : as of :class:`Clarity`.
    """

    holds: str
    place: int
    strength: float


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
    def standing(self) -> ChordStanding:
        """The verdict without its words and its spelling."""
        return ChordStanding(self.holds, self.place, self.strength)

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


#: The root on which every chord is judged once for all twelve.
_ANY_ROOT = NoteName("C")


def standing_of(mask: int, chord: Chord) -> ChordStanding:
    """As :func:`clarity_of`, without words and spelling: worked out once for all twelve roots.

    Parameters
    ----------
    mask : 12-bit, C on bit 0; at least one bit.
    chord : that is written over the notes.

    Returns
    -------
    ChordStanding
        The same for notes and chord moved together.

    Examples
    --------
    >>> from lickwright.theory import parse_chord
    >>> standing_of(0b100010010001, parse_chord("Cmaj7")).holds
    'yes'
    """
    if chord.upper is not None:
        return clarity_of(mask, chord, None).standing
    root = chord.root.pc
    bass = None if chord.bass is None else spell_root((chord.bass.pc - root) % 12)
    on_c = replace(chord, root=_ANY_ROOT, bass=bass)
    return clarity_of(rotate_mask(mask, -root % 12), on_c, None).standing


def clarity_cost(clarity: Clarity | ChordStanding, costs: CarryCosts) -> int:
    """What it costs that a chord is not heard at once, in tenths of a mm of hand travel."""
    verdict = {"yes": 0, "nearly": costs.nearly, "no": costs.contradicted}[clarity.holds]
    unsure = round(100 * (1 - clarity.strength)) * costs.unclear
    return verdict + unsure + clarity.place * costs.lesser_reading
