"""Every shape of a triad as arrays, so that thousands of pairs can be compared at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from lickwright.changes.hand_places import HandPlaces
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import HandProfile
from lickwright.neck.shape_search import ranked_shapes
from lickwright.theory.spelling import spell_root
from lickwright.theory.triad import Triad, TriadQuality

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Ints = NDArray[np.int64]


@dataclass(frozen=True, slots=True)
class ShapeTable:
    """Shapes of equal size; all arrays have a row a shape.

    Parameters
    ----------
    strings, frets, midi : (shapes, rungs), low to high.
    rank : how unusual each is, in tenths of a mm of stretch.
    holds : (shapes, most places) frets of the index finger that hold it, padded with -1.
    """

    strings: Ints
    frets: Ints
    midi: Ints
    rank: Ints
    holds: Ints

    def __len__(self) -> int:
        return len(self.rank)

    def positions(self, shape: int) -> tuple[Position, ...]:
        """The places of one shape, low to high."""
        pairs = zip(self.strings[shape].tolist(), self.frets[shape].tolist(), strict=True)
        return tuple(Position(string, fret) for string, fret in pairs)


def shape_table(
    triad: Triad,
    rungs: int,
    guitar: Guitar,
    hand: HandProfile,
    frets: tuple[int, int] | None,
    strings: tuple[int, int] | None,
) -> ShapeTable | None:
    """The shapes of a triad with so many rungs within some windows; ``None`` where none is."""
    tables = _tables(triad.root.pc, triad.quality, guitar, hand, frets, strings)
    return tables.get(rungs)


@lru_cache(maxsize=2048)
def _tables(
    root: int,
    quality: TriadQuality,
    guitar: Guitar,
    hand: HandProfile,
    frets: tuple[int, int] | None,
    strings: tuple[int, int] | None,
) -> dict[int, ShapeTable]:
    """By number of rungs."""
    triad = Triad(spell_root(root), quality)
    by_rungs: dict[int, list[tuple[float, tuple[Position, ...]]]] = {}
    for rank, shape in ranked_shapes(triad, guitar, frets, strings, None, hand):
        by_rungs.setdefault(len(shape.positions), []).append((rank, shape.positions))
    places = HandPlaces(guitar, hand)
    return {rungs: _table(found, places) for rungs, found in by_rungs.items()}


def _table(found: Sequence[tuple[float, tuple[Position, ...]]], places: HandPlaces) -> ShapeTable:
    import numpy as np

    guitar = places.guitar
    strings = np.asarray([[p.string for p in row] for _, row in found], dtype=np.int64)
    frets = np.asarray([[p.fret for p in row] for _, row in found], dtype=np.int64)
    open_midi = np.asarray(
        [guitar.midi_at(Position(s, 0)) for s in range(1, guitar.string_count + 1)], dtype=np.int64
    )
    holds = [places.holding(row) for _, row in found]
    widest = max(map(len, holds))
    return ShapeTable(
        strings,
        frets,
        open_midi[strings - 1] + frets,
        np.asarray([round(10 * rank) for rank, _ in found], dtype=np.int64),
        np.asarray([row + (-1,) * (widest - len(row)) for row in holds], dtype=np.int64),
    )


def stacked(tables: Sequence[ShapeTable]) -> ShapeTable:
    """Several tables of equal size one below the other."""
    import numpy as np

    widest = max(table.holds.shape[1] for table in tables)
    holds = [
        np.pad(t.holds, ((0, 0), (0, widest - t.holds.shape[1])), constant_values=-1)
        for t in tables
    ]
    return ShapeTable(
        np.concatenate([t.strings for t in tables]),
        np.concatenate([t.frets for t in tables]),
        np.concatenate([t.midi for t in tables]),
        np.concatenate([t.rank for t in tables]),
        np.concatenate(holds),
    )
