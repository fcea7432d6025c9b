"""Where do the fingers stand?  States of the hand as arrays, one entry for each state.

This module needs numpy and is loaded by the searches alone.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from lickwright.lick.fingering.weights import OFFSETS
from lickwright.neck import Guitar, Position

Array = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

#: The states of one note stopped alone: finger, frets off its own.
STATE_FINGER: Array = np.array([finger for finger, _ in OFFSETS], np.int64)
STATE_OFFSET: Array = np.array([offset for _, offset in OFFSETS], np.int64)


@dataclass(frozen=True, slots=True)
class Held:
    """Fingers on notes: arrays that broadcast against each other.

    Parameters
    ----------
    finger : 1-4, or 0 for an open string.
    string, fret : where the note lies.
    along : where the finger stands, as a fraction of its string's scale length.
    scale_mm : that scale length.  Two strings of a fanned neck are compared on the longer.
    place : fret of the index.
    index_along : where the index lies, as a fraction of the scale length.
    """

    finger: Array
    string: Array
    fret: Array
    along: Floats
    scale_mm: Floats
    place: Array
    index_along: Floats

    def before(self) -> Held:
        """With an axis for the state that follows."""
        return self._each(lambda array: array[..., :, None])

    def after(self) -> Held:
        """With an axis for the state that went before."""
        return self._each(lambda array: array[..., None, :])

    def rows(self, index: Any) -> Held:
        """A part along the first axis."""
        return self._each(lambda array: array[index])

    def _each(self, change: Callable[[Any], Any]) -> Held:
        return Held(
            change(self.finger),
            change(self.string),
            change(self.fret),
            change(self.along),
            change(self.scale_mm),
            change(self.place),
            change(self.index_along),
        )


def hold(guitar: Guitar, finger: Array, string: Array, fret: Array, place: Array) -> Held:
    """Fingers on the notes of an instrument, with the index over ``place``; all broadcast."""
    frets = range(guitar.last_fret + 1)
    along = np.array([guitar.along(Position(1, n)) for n in frets])
    scales = np.array([0.0, *guitar.scale_mm])
    finger, string, fret, place = np.broadcast_arrays(finger, string, fret, place)
    index_along = along[np.clip(place, 0, guitar.last_fret)]
    return Held(finger, string, fret, along[fret], scales[string], place, index_along)
