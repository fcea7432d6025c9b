"""How do lead, band and click become files at the loudness of a lesson?

Nouns:

* :class:`AudioFile`: the bytes of an audio file and what was measured in it, as a listener
  decodes it.
* :class:`Levelled`: samples brought to a loudness, and what they measure now.
* :class:`Playing`: how an example is played.
"""

from __future__ import annotations

from lickwright.sound.mix.bank import bank_path
from lickwright.sound.mix.click import clicks
from lickwright.sound.mix.files import AudioFile, audio_file, encode, levelled_file, stems_zip
from lickwright.sound.mix.ladders import ladder
from lickwright.sound.mix.levels import TARGET_LUFS, Levelled, level, loudness
from lickwright.sound.mix.rendering import Playing, Samples, loop, render, start_s, stems

__all__ = [
    "TARGET_LUFS",
    "AudioFile",
    "Levelled",
    "Playing",
    "Samples",
    "audio_file",
    "bank_path",
    "clicks",
    "encode",
    "ladder",
    "level",
    "levelled_file",
    "loop",
    "loudness",
    "render",
    "start_s",
    "stems",
    "stems_zip",
]
