"""The candidates of one chord, and what each costs alone.

A pool holds its candidates as arrays of costs and of coded ends, which is all that the search for
the best way needs; a candidate is written out only when it was chosen.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lickwright.changes.lines.clarity import Clarity
from lickwright.changes.lines.joins import End
from lickwright.changes.lines.strokes import PickedLine
from lickwright.changes.paths import Layer
from lickwright.neck import Position
from lickwright.theory import NoteName, Triad

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


#: The term of a candidate that has the lick turned round.
TURNED = "turned round"


@dataclass(frozen=True, slots=True)
class Candidate:
    """One way to play the lick's line under one chord.

    Parameters
    ----------
    positions : of the notes, in order.
    triads : those that are played, in the order of the lick's voices; empty where its notes make
        none.
    voices : which of the triads each note belongs to; ``None`` where the lick has no voices.
    names : of each note, spelled.
    hand : fret of the index finger at each note.
    picked : strokes and techniques.
    clarity : how the notes sound over the chord's bass.
    terms : named costs in tenths of a mm of hand travel.
    members : of each note, all triads that hold it, where triads are merged; else empty.
    turn : whether the line rises (1) or falls (-1) from its first note.
    """

    positions: tuple[Position, ...]
    triads: tuple[Triad, ...]
    voices: tuple[int | None, ...]
    names: tuple[NoteName, ...]
    hand: tuple[int, ...]
    picked: PickedLine
    clarity: Clarity
    terms: tuple[tuple[str, int], ...]
    members: tuple[tuple[int, ...], ...] = ()
    turn: int = 0

    @property
    def cost(self) -> int:
        return sum(cost for _, cost in self.terms)

    @property
    def entry(self) -> End:
        place = self.positions[0]
        stroke = self.picked.strokes[0]
        return End(self.hand[0], place.string, place.fret, stroke, self.picked.first, self.turn)

    @property
    def exit(self) -> End:
        place = self.positions[-1]
        stroke = self.picked.strokes[-1]
        return End(self.hand[-1], place.string, place.fret, stroke, self.picked.last)


@dataclass(frozen=True, slots=True)
class Pool:
    """All candidates of one chord that can be part of a best way.

    Parameters
    ----------
    layer : their costs and coded ends.
    candidate : writes one out by its index.
    tried : how many lines of notes there were to choose from.
    """

    layer: Layer
    candidate: Callable[[int], Candidate]
    tried: int

    def __len__(self) -> int:
        return len(self.layer.costs)


def turn_of(midi: Sequence[int]) -> int:
    """Whether a line rises (1) or falls (-1) from its first note; 0 where it does neither.

    Parameters
    ----------
    midi : its keys in order.

    Returns
    -------
    int
        1, 0 or -1.

    Examples
    --------
    >>> turn_of([60, 64]), turn_of([64, 60]), turn_of([60])
    (1, -1, 0)
    """
    return (midi[1] > midi[0]) - (midi[1] < midi[0]) if len(midi) > 1 else 0


def pool_of(candidates: list[Candidate]) -> Pool:
    """A pool of candidates that are written out already."""
    import numpy as np

    layer = Layer(
        np.asarray([candidate.cost for candidate in candidates], dtype=np.int64),
        np.asarray([candidate.entry.code for candidate in candidates], dtype=np.int64),
        np.asarray([candidate.exit.code for candidate in candidates], dtype=np.int64),
    )
    return Pool(layer, candidates.__getitem__, len(candidates))


def keep_cheapest(layer: Layer, k: int) -> NDArray[np.int64]:
    """Indices of the ``k`` cheapest candidates for each pair of entry and exit, ascending.

    No others can be part of the ``k`` best ways: between the same two ends each of the cheaper
    ones makes a better way.
    """
    return cheapest_of_each([layer.entries, layer.exits], layer.costs, k)


#: What a number of 63 bits can tell apart.
_MOST_GROUPS = 2**62


def cheapest_of_each(
    keys: Sequence[NDArray[np.int64]], costs: NDArray[np.int64], k: int
) -> NDArray[np.int64]:
    """Indices of the ``k`` least costs among all that agree in every key, ascending.

    Keys are not negative.  Equal costs go by their index.
    """
    import numpy as np

    count = len(costs)
    group, room = np.zeros(count, dtype=np.int64), 1
    for key in keys:
        span = int(key.max(initial=0)) + 1
        if room * span >= _MOST_GROUPS:  # number the groups afresh, without gaps
            _, group = np.unique(group, return_inverse=True)
            room = int(group.max(initial=0)) + 1
        group, room = group * span + key, room * span
    order = np.lexsort((costs, group))
    ordered = group[order]
    fresh = np.ones(count, dtype=bool)
    fresh[1:] = ordered[1:] != ordered[:-1]
    starts = np.maximum.accumulate(np.where(fresh, np.arange(count), 0))
    kept: NDArray[np.int64] = np.sort(order[np.arange(count) - starts < k])
    return kept
