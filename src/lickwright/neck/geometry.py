"""Millimetres on a neck.

The distance from nut to fret ``n`` is ``L (1 - 2**(-n/12))`` for a scale length ``L``: twelve-tone
equal temperament, so fret 12 stands at ``L/2``.
"""

from __future__ import annotations

INCH_MM = 25.4


def fret_mm(scale_mm: float, fret: float) -> float:
    """Distance in mm from the nut to a fret wire; fractional frets are allowed."""
    return float(scale_mm * (1.0 - 2.0 ** (-fret / 12.0)))


def finger_mm(scale_mm: float, fret: int) -> float:
    """Distance in mm from the nut to where a finger stops ``fret``: just behind the wire.

    Players press close behind the wire; the place used is a quarter of the way back to the wire
    before (common practice, no source).
    """
    if fret == 0:
        return 0.0
    return fret_mm(scale_mm, fret) - 0.25 * (fret_mm(scale_mm, fret) - fret_mm(scale_mm, fret - 1))
