"""How far do eighths or sixteenths swing?

In swing the first of two written notes is held longer than the second.  How much longer depends on
the tempo: measured drummers go from 2:1 and more at slow tempi down to even notes near 300 beats a
minute, and soloists keep below the drummers (Friberg and Sundstrom, "Swing ratios and ensemble
timing in jazz performance", Music Perception 19:3, 2002; from memory).  A band that teaches plays
together, so here all have one ratio: 2:1 up to 120 beats a minute, then in a straight line down to
even notes at 300.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction

from lickwright.errors import RhythmError

#: Beats a minute up to which the ratio is 2:1, and from which notes are even.
_FULL_BPM, _EVEN_BPM = 120.0, 300.0
#: Ratios are kept to a 240th of a pair, so that every tick of a MIDI file can hold them.
_GRAIN = 240
_WORDS = re.compile(r"(?:(8ths|16ths)\s+)?(?:(by tempo)|(\d+(?:\.\d+)?)\s*(?::|to)\s*(\d+))")


@dataclass(frozen=True, slots=True)
class Swing:
    """How written pairs are played.

    Parameters
    ----------
    ratio : how much longer the first of a pair is than the second; ``None`` for as much as the
        tempo lets, 1 for even notes.
    unit : the written value that swings, in quarter notes.

    >>> Swing(Fraction(2)).share(90)
    Fraction(2, 3)
    >>> Swing().share(300)
    Fraction(1, 2)
    """

    ratio: Fraction | None = None
    unit: Fraction = Fraction(1, 2)

    def share(self, tempo_bpm: float) -> Fraction:
        """The share of a pair that its first note takes, from 1/2 on."""
        ratio = self.ratio
        if ratio is None:
            pairs = tempo_bpm / float(2 * self.unit)
            even = (pairs - _FULL_BPM) / (_EVEN_BPM - _FULL_BPM)
            ratio = Fraction(2.0 - min(1.0, max(0.0, even))).limit_denominator(1000)
        return Fraction(round(_GRAIN * ratio / (1 + ratio)), _GRAIN)


#: Even notes, said so.
STRAIGHT = Swing(Fraction(1))


def parse_swing(text: str) -> Swing:
    """Read ``straight``, ``by tempo``, ``2:1``, ``16ths 3:2`` or ``16ths by tempo``.

    Parameters
    ----------
    text : what swings (``8ths`` where it is left out) and how far.

    Returns
    -------
    Swing

    Raises
    ------
    RhythmError
        Where it is none of these, or the first note would be the shorter or over three times as
        long.

    Examples
    --------
    >>> parse_swing("3:2").ratio
    Fraction(3, 2)
    >>> parse_swing("16ths by tempo").unit
    Fraction(1, 4)
    """
    words = " ".join(text.lower().split())
    if words == "straight":
        return STRAIGHT
    match = _WORDS.fullmatch(words)
    if match is None:
        raise RhythmError(
            f"'{text}' is no swing",
            mend="Write straight, by tempo, or a ratio of long to short such as 2:1 or 16ths 3:2",
        )
    unit = Fraction(1, 4) if match[1] == "16ths" else Fraction(1, 2)
    if match[2]:
        return Swing(None, unit)
    long, short = Fraction(match[3]), Fraction(match[4])
    if not short or not 1 <= long / short <= 3:
        raise RhythmError(
            f"a swing of {match[3]}:{match[4]}", mend="Give a ratio from 1:1 (even) to 3:1"
        )
    return Swing(long / short, unit)
