"""Where is the beat felt?"""

from __future__ import annotations

from fractions import Fraction


def bar_length(beats: int, unit: int) -> Fraction:
    """Length of a bar of a time signature.

    Parameters
    ----------
    beats, unit : the two numbers of the signature.

    Returns
    -------
    Fraction
        In quarter notes.

    Examples
    --------
    >>> bar_length(7, 8)
    Fraction(7, 2)
    """
    return Fraction(4 * beats, unit)


def felt_beats(beats: int, unit: int) -> tuple[Fraction, ...]:
    """Lengths of the felt beats of a time signature.

    3/4 has three; 6/8, 9/8 and 12/8 are felt in dotted beats; other eighth-note meters in threes
    with twos for the rest (5/8 = 3+2, 8/8 = 3+3+2), but 7/8 = 2+2+3.  A bar of three short notes is
    counted in three.  Common practice; the groups are those in which music21 beams.

    Parameters
    ----------
    beats, unit : the two numbers of the signature.

    Returns
    -------
    tuple of Fraction
        In quarter notes; they add up to the bar.

    Examples
    --------
    >>> [str(beat) for beat in felt_beats(7, 8)]
    ['1', '1', '3/2']
    """
    pulse = Fraction(4, unit)
    if unit < 8 or beats <= 3:
        return (pulse,) * beats
    return tuple(count * pulse for count in _groups(beats))


def _groups(count: int) -> list[int]:
    """How players count more than three short notes: in threes where they fit, then twos."""
    if count % 3 == 0:
        return [3] * (count // 3)
    if count == 7:
        return [2, 2, 3]
    if count == 4:
        return [2, 2]
    threes = count // 3 if count % 3 == 2 else count // 3 - 1
    return [3] * threes + [2] * ((count - 3 * threes) // 2)
