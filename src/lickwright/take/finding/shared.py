"""Which other lines have the very notes that were played, and up to where?

Lessons take a line up again: one opens with another's bars, or is another at half the note
values.  What was played then is both; a listener can only say so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from lickwright.take.finding.walking import SoughtLine

#: Two lines agree about a step between notes where its lengths differ by less than this share.
_SAME_STEP = 0.02
#: Fewer notes in common are no passage.
_LEAST_SHARED = 6


@dataclass(frozen=True, slots=True)
class SharedPassage:
    """Notes of a playing that belong to another line too.

    Parameters
    ----------
    line : the other line, by its place.
    first, last : of the playing's own line, places in it, both included.
    other_first : the place in the other line that goes with ``first``.
    pace : tempo of the other line, against the playing's own.
    """

    line: int
    first: int
    last: int
    other_first: int
    pace: float


def shared_passages(
    lines: Sequence[SoughtLine], own: int, first: int, last: int
) -> tuple[SharedPassage, ...]:
    """The longest passage that each other line has in common with the beginning of a playing.

    Parameters
    ----------
    own, first, last : which line was played, and from where to where.

    Returns
    -------
    tuple of SharedPassage
        One for each line that has at least six notes of the beginning, in the order of the lines.
    """
    found = []
    for place, other in enumerate(lines):
        if place == own:
            continue
        best: SharedPassage | None = None
        for start in range(len(other.keys)):
            count, pace = _in_common(lines[own], first, last, other, start)
            if count >= _LEAST_SHARED and (best is None or first + count - 1 > best.last):
                best = SharedPassage(place, first, first + count - 1, start, pace)
        if best is not None:
            found.append(best)
    return tuple(found)


def _in_common(
    own: SoughtLine, first: int, last: int, other: SoughtLine, start: int
) -> tuple[int, float]:
    """How many notes two lines share from two places on, and how much faster the other goes."""
    count = min(last - first + 1, len(other.keys) - start)
    same = own.keys[first : first + count] == other.keys[start : start + count]
    count = count if same.all() else int(np.argmin(same))
    if count < 2:
        return count, 1.0
    mine = np.diff(own.quarters[first : first + count])
    theirs = np.diff(other.quarters[start : start + count])
    pace = float(theirs[0] / mine[0])
    agree = np.abs(theirs - pace * mine) <= _SAME_STEP * np.maximum(theirs, pace * mine)
    return (count if agree.all() else int(np.argmin(agree)) + 1), pace
