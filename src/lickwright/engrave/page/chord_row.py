"""The chord symbols over a system: each where its chord begins, none into the next.

A symbol that would run into its neighbour or over the edge of the page first moves to the left,
as far as there is room, then is set smaller.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from lickwright.drawing import text_width

SIZE = 390.0
#: Between two symbols, in units.
GAP = 130.0
SMALLEST = 0.6


@dataclass(frozen=True, slots=True)
class ChordWord:
    """A printed chord symbol: left end of its base line, and its size."""

    text: str
    x: float
    y: float
    size: float = SIZE

    @property
    def right(self) -> float:
        return self.x + text_width(self.text, self.size)


def set_chords(words: Sequence[ChordWord], width: float) -> list[ChordWord]:
    """The symbols of one system, in time, so that none meets the next or the page's edge."""
    settled = list(words)
    limit = width
    for index in range(len(settled) - 1, -1, -1):
        word = settled[index]
        over = word.right - limit
        if over > 0:
            before = settled[index - 1].right + GAP if index else 0.0
            x = max(min(word.x, before), word.x - over)
            room = (limit - x) / (word.right - word.x)
            word = replace(word, x=x, size=word.size * max(SMALLEST, min(1.0, room)))
            settled[index] = word
        limit = word.x - GAP
    return settled
