"""How the backing band plays: the feels, as data.

Every pattern is written on the felt beats of a bar, so that it fits any meter.  The patterns are
common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from lickwright.errors import RhythmError, did_you_mean

#: General MIDI percussion keys (GM System Level 1, percussion map).
KICK, SIDE_STICK, SNARE, CLOSED_HAT, RIDE = 36, 37, 38, 42, 51
HIGH_WOOD_BLOCK, LOW_WOOD_BLOCK = 76, 77

#: General MIDI programs, counted from 0.
ELECTRIC_PIANO, FINGERED_BASS, WARM_PAD, CLEAN_GUITAR = 4, 33, 89, 27

Subdivision = tuple[Fraction, ...]
_BEAT: Subdivision = (Fraction(0),)
_HALVES: Subdivision = (Fraction(0), Fraction(1, 2))
_THIRDS: Subdivision = (Fraction(0), Fraction(1, 3), Fraction(2, 3))
_SHUFFLED: Subdivision = (Fraction(0), Fraction(2, 3))


@dataclass(frozen=True, slots=True)
class Feel:
    """What each player of the band does.

    Parameters
    ----------
    cymbal, cymbal_at : percussion key, and where in each beat it strikes (fractions of a beat).
    backbeat : "even" strikes beats 2, 4 ..., "middle" the middle beat of the bar.
    snare : percussion key of the backbeat.
    bass : "held" struck anew in each bar, "roots" on strong beats, "walking" on every beat.
    chords : "held" struck anew in each bar, "pushed" on 1 and after 2, "beats" on backbeats,
        "drone" the bass note alone, in two octaves, held.
    program : General MIDI program of the chord player, counted from 0.
    """

    name: str
    cymbal: int | None
    cymbal_at: Subdivision
    backbeat: Literal["none", "even", "middle"]
    snare: int
    bass: Literal["held", "roots", "walking"]
    chords: Literal["held", "pushed", "beats", "drone"]
    program: int

    def cymbal_in(self, beat: Fraction) -> Subdivision:
        """Where the cymbal strikes in a beat of this length; a dotted beat has no halves."""
        dotted = beat.numerator % 3 == 0
        return _THIRDS if dotted and self.cymbal_at == _HALVES else self.cymbal_at


FEELS: dict[str, Feel] = {
    feel.name: feel
    for feel in (
        Feel("drone", None, (), "none", SNARE, "held", "drone", WARM_PAD),
        Feel("chords", None, (), "none", SNARE, "held", "held", ELECTRIC_PIANO),
        Feel("straight", CLOSED_HAT, _HALVES, "even", SNARE, "roots", "held", ELECTRIC_PIANO),
        Feel("shuffle", RIDE, _SHUFFLED, "even", SNARE, "walking", "beats", ELECTRIC_PIANO),
        Feel("half-time", CLOSED_HAT, _HALVES, "middle", SNARE, "roots", "held", ELECTRIC_PIANO),
        Feel("vamp", RIDE, _BEAT, "even", SIDE_STICK, "roots", "pushed", ELECTRIC_PIANO),
    )
}


def feel_named(name: str) -> Feel:
    """The feel of this name.

    Raises
    ------
    RhythmError
        With the nearest name.
    """
    if name not in FEELS:
        raise RhythmError(
            f"there is no feel '{name}'",
            mend=did_you_mean(name, FEELS).rstrip("?") or f"Use one of: {', '.join(FEELS)}",
        )
    return FEELS[name]
