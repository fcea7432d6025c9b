"""Which lines does a long recording hold, and where?

Nouns:

* :class:`Alongside`: where a recording lies beside another one.
* :class:`ListenedFilm`: a recording that was listened to once, to be asked about many lines.
* :class:`Playthrough`: a line as it was played once, wholly or in part.
* :class:`SharedPassage`: notes of a playing that belong to another line too.
"""

from __future__ import annotations

from lickwright.take.finding.finder import (
    ListenedFilm,
    Playthrough,
    find_playings,
    listen_through,
    playing_between,
)
from lickwright.take.finding.shared import SharedPassage
from lickwright.take.finding.together import Alongside, alongside

__all__ = [
    "Alongside",
    "ListenedFilm",
    "Playthrough",
    "SharedPassage",
    "alongside",
    "find_playings",
    "listen_through",
    "playing_between",
]
