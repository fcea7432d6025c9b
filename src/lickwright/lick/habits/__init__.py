"""How does one player's hand differ from the usual one?

Nouns:

* :class:`FingeredLine`: a line with the fingers that a player gives it.
* :class:`LearntHand`: what lines say of a player's hand.
"""

from __future__ import annotations

from lickwright.lick.habits.learning import FingeredLine, fingered_line, fitted_habits
from lickwright.lick.habits.learnt import LearntHand, hand_in_words, learn_hand
from lickwright.lick.habits.profile import parse_profile, print_profile, read_profile

__all__ = [
    "FingeredLine",
    "LearntHand",
    "fingered_line",
    "fitted_habits",
    "hand_in_words",
    "learn_hand",
    "parse_profile",
    "print_profile",
    "read_profile",
]
