"""Which notes does a recording hold, and when did each start?

Nouns:

* :class:`Events`: possible starts, in time.
* :class:`PlayedNote`: one note as it was heard; ``end_s`` is when it was stopped, or the next one
  started.
* :class:`Recording`: one channel of a take.
* :class:`Spectrum`: what a recording shows as a whole.
"""

from __future__ import annotations

from lickwright.take.listening.decay import RING_S, ringing
from lickwright.take.listening.events import Events, find_events
from lickwright.take.listening.played import PlayedNote, heard_line, key_range
from lickwright.take.listening.recording import Recording, read_recording
from lickwright.take.listening.spectrum import (
    HIGHEST_MIDI,
    LOWEST_MIDI,
    PITCHES,
    STEP_S,
    Spectrum,
    attack_curve,
    listen,
)

__all__ = [
    "HIGHEST_MIDI",
    "LOWEST_MIDI",
    "PITCHES",
    "RING_S",
    "STEP_S",
    "Events",
    "PlayedNote",
    "Recording",
    "Spectrum",
    "attack_curve",
    "find_events",
    "heard_line",
    "key_range",
    "listen",
    "read_recording",
    "ringing",
]
