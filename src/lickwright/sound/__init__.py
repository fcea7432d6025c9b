"""Floor 6: a Score as sound."""

from __future__ import annotations

from lickwright.sound.midi import midi_bytes

__all__ = [
    "midi_bytes",
]
