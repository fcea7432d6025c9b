"""How does one player's hand differ from the usual one?

Nouns:

* :class:`FingeredLine`: a line with the fingers that a player gives it.
"""

from __future__ import annotations

from lickwright.lick.habits.learning import FingeredLine, fingered_line, fitted_habits

__all__ = [
    "FingeredLine",
    "fingered_line",
    "fitted_habits",
]
