"""How does a Score become lines of engraved music?

Nouns:

* :class:`Engraving`: a whole example: its systems in order, and all of them in one picture,
  ``svg``.
"""

from __future__ import annotations

from lickwright.engrave.page.engine import MUSIC_FONT
from lickwright.engrave.page.systems import Engraving, engrave

__all__ = [
    "MUSIC_FONT",
    "Engraving",
    "engrave",
]
