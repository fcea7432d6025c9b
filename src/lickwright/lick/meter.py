"""Where is the beat felt?"""

from __future__ import annotations

from fractions import Fraction


def felt_beats(beats: int, unit: int) -> tuple[Fraction, ...]:
    """Lengths of the felt beats of a time signature, in quarter notes.

    3/4 has three; 6/8, 9/8 and 12/8 are felt in dotted beats; other eighth-note meters in twos
    with a three at the end (5/8 = 2+3, 7/8 = 2+2+3).  Common practice, no source.
    """
    pulse = Fraction(4, unit)
    if unit < 8 or beats <= 3:
        return (pulse,) * beats
    if beats % 3 == 0:
        return (3 * pulse,) * (beats // 3)
    if beats % 2 == 0:
        return (2 * pulse,) * (beats // 2)
    return (2 * pulse,) * ((beats - 3) // 2) + (3 * pulse,)
