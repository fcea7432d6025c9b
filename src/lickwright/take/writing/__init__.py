"""Which example would print what was played?"""

from __future__ import annotations

from lickwright.take.writing.transcribing import transcribe

__all__ = [
    "transcribe",
]
