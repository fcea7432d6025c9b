"""Which frets does a player find by the marks in the board?"""

from __future__ import annotations

from lickwright.neck.instrument import Guitar

#: Frets that carry an inlay, and those with two dots.  Common practice, no source.
INLAYS = frozenset({3, 5, 7, 9, 15, 17, 19, 21, 27, 29, 31, 33})
DOUBLE_INLAYS = frozenset({12, 24, 36})


def inlays(guitar: Guitar, fret: int) -> tuple[int, ...]:
    """Below which strings the inlays of a fret stand, the fret counted from the capo.

    Parameters
    ----------
    guitar : the instrument, with its capo.
    fret : counted from the capo, from 1.

    Returns
    -------
    tuple of int
        String numbers, 1 is the highest; none for a bare fret, two at the octave.

    Examples
    --------
    >>> inlays(Guitar(), 5), inlays(Guitar(), 12), inlays(Guitar(), 6)
    ((3,), (2, 4), ())
    """
    strings, fret = guitar.string_count, fret + guitar.capo
    if fret in DOUBLE_INLAYS:
        return (2, strings - 2) if strings > 4 else (1, 3)
    return (strings // 2,) if fret in INLAYS else ()
