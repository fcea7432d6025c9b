"""What does a lick sound like on an electric guitar?

Nouns:

* :class:`Touch`: how the two hands touch the strings.
"""

from __future__ import annotations

from lickwright.sound.strings.amplifier import amplify, tone_named, voiced_tone
from lickwright.sound.strings.pluck import Touch, lead

__all__ = [
    "Touch",
    "amplify",
    "lead",
    "tone_named",
    "voiced_tone",
]
