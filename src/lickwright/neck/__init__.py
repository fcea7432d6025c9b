"""Floor 1: the instrument, places on its neck, millimetres.

Nouns:

* :class:`Position`: one place on the neck: a string (1 = highest) and a fret (0 = open).
* :class:`Guitar`: a fretted instrument with 4 to 9 strings.
* :class:`HandProfile`: how far a hand opens along the strings.
"""

from __future__ import annotations

from lickwright.neck.fret_marks import inlays
from lickwright.neck.geometry import fret_mm, parse_scale_lengths
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import FINGER_NAMES, FINGERS, PAIRS, HandProfile, hand_profile
from lickwright.neck.tunings import TUNINGS, parse_tuning, tuning_name
from lickwright.neck.window import Span, fret_window, read_guitar, string_window

__all__ = [
    "FINGERS",
    "FINGER_NAMES",
    "PAIRS",
    "TUNINGS",
    "Guitar",
    "HandProfile",
    "Position",
    "Span",
    "fret_mm",
    "fret_window",
    "hand_profile",
    "inlays",
    "parse_scale_lengths",
    "parse_tuning",
    "read_guitar",
    "string_window",
    "tuning_name",
]
