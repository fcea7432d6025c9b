"""Names by the million: the surest name of every mask over every bass, in one table.

The table has 12 x 4096 entries and is built the first time it is asked for (about a quarter of a
second); from then on a name is a look-up.  Roots and basses take their usual names, since a mask
carries no spelling.
"""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

from lickwright.errors import TheoryError
from lickwright.theory.hearing.implied import spelled_chord
from lickwright.theory.hearing.sounding import Sounding
from lickwright.theory.hearing.strength import hear
from lickwright.theory.pitch import rotate_mask

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray

_MASKS = 1 << 12
_UNSPELLED = (None,) * 12


def name_over(mask: int, bass: int) -> str:
    """The surest name that holds all of a mask over a bass, ``""`` where no common name does.

    Parameters
    ----------
    mask : 12-bit, C on bit 0; the bass joins it.
    bass : pitch class, 0-11.

    Returns
    -------
    str
        A chord symbol, with its bass where that is not the root.

    Raises
    ------
    TheoryError
        When the mask or the bass is out of range.

    Examples
    --------
    >>> name_over(0b10010001, 0), name_over(0b10010001, 4)
    ('C', 'C/E')
    """
    if not (0 <= mask < _MASKS and 0 <= bass < 12):
        raise _out_of_range()
    return _names()[bass << 12 | mask]


def names_over(masks: ArrayLike, basses: ArrayLike) -> NDArray[np.object_]:
    """As :func:`name_over`, for any number of masks and basses at once.

    Parameters
    ----------
    masks : integers, shape (n,): 12-bit masks, C on bit 0.
    basses : integers, shape (n,) or (): pitch classes.

    Returns
    -------
    array of str, shape (n,)

    Raises
    ------
    TheoryError
        When a mask or a bass is out of range.

    Examples
    --------
    >>> list(names_over([0b10010001, 0b10001001], 0))
    ['C', 'Cm']
    """
    import numpy as np

    try:
        mask_array = np.asarray(masks, dtype=np.int64)
        bass_array = np.asarray(basses, dtype=np.int64)
    except (TypeError, ValueError, OverflowError):
        raise _out_of_range() from None
    for array, limit in ((mask_array, _MASKS), (bass_array, 12)):
        if array.size and not (array.min() >= 0 and array.max() < limit):
            raise _out_of_range()
    names: NDArray[np.object_] = _name_array()[(bass_array << 12) | mask_array]
    return names


def _out_of_range() -> TheoryError:
    return TheoryError(
        "a mask or a bass is out of range",
        mend="Give 12-bit masks with C on bit 0, and basses from 0 to 11",
    )


@cache
def _names() -> list[str]:
    names = [""] * (12 * _MASKS)
    for over_bass in range(1, _MASKS, 2):
        whole = [way for way in hear(over_bass) if not way.beside]
        for bass in range(12) if whole else ():
            mask = rotate_mask(over_bass, bass)
            chord, _ = spelled_chord(whole[0], Sounding(mask, bass, _UNSPELLED))
            # The bass sounds whether or not the caller's mask says so.
            for at in (mask, mask & ~(1 << bass)):
                names[bass << 12 | at] = str(chord)
    return names


@cache
def _name_array() -> NDArray[np.object_]:
    import numpy as np

    return np.array(_names(), dtype=object)
