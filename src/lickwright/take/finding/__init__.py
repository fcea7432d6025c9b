"""Which lines does a long recording hold, and where?

Nouns:

* :class:`Playthrough`: a line as it was played once, wholly or in part.
* :class:`SharedPassage`: notes of a playing that belong to another line too.
"""

from __future__ import annotations

from lickwright.take.finding.finder import Playthrough, find_playings
from lickwright.take.finding.shared import SharedPassage

__all__ = [
    "Playthrough",
    "SharedPassage",
    "find_playings",
]
