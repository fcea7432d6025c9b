"""What does the band play under a lick?

Nouns:

* :class:`BackingNote`: one note of the band: MIDI key, onset and duration in quarter notes,
  velocity 1-127.
* :class:`Backing`: the band's parts, each ascending in time; times as written, before swing.
"""

from __future__ import annotations

from lickwright.sound.band.backing import Backing, arrange
from lickwright.sound.band.beats import BackingNote
from lickwright.sound.band.feel import (
    CLEAN_GUITAR,
    FINGERED_BASS,
    HIGH_WOOD_BLOCK,
    LOW_WOOD_BLOCK,
    as_felt,
    feel_named,
)

__all__ = [
    "CLEAN_GUITAR",
    "FINGERED_BASS",
    "HIGH_WOOD_BLOCK",
    "LOW_WOOD_BLOCK",
    "Backing",
    "BackingNote",
    "arrange",
    "as_felt",
    "feel_named",
]
