"""On which strings and frets do some pitches lie best?"""

from __future__ import annotations

from lickwright.lick.strings.choice import choose_strings

__all__ = [
    "choose_strings",
]
