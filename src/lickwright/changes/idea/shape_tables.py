"""Every shape of a triad as arrays, so that thousands of pairs can be compared at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

from lickwright.changes.idea.idea import Passing
from lickwright.changes.lines import HandPlaces
from lickwright.neck import Guitar, HandProfile, Position
from lickwright.neck.shapes import Shape, ranked_shapes
from lickwright.theory import Triad, TriadQuality, spell_root

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
    return _table(triad.root.pc, triad.quality, rungs, guitar, hand, frets, strings)


@lru_cache(maxsize=256)
def _ranked(
    root: int,
    quality: TriadQuality,
    guitar: Guitar,
    hand: HandProfile,
    frets: tuple[int, int] | None,
    strings: tuple[int, int] | None,
) -> list[tuple[float, Shape]]:
    """Shapes do not know how their root is spelled."""
    triad = Triad(spell_root(root), quality)
    return ranked_shapes(triad, guitar, frets, strings, None, hand)


@lru_cache(maxsize=2048)
def _table(
    root: int,
    quality: TriadQuality,
    rungs: int,
    guitar: Guitar,
    hand: HandProfile,
    frets: tuple[int, int] | None,
    strings: tuple[int, int] | None,
) -> ShapeTable | None:
    import numpy as np

    found = [
        (rank, shape.positions)
        for rank, shape in _ranked(root, quality, guitar, hand, frets, strings)
        if len(shape.positions) == rungs
    ]
    if not found:
        return None
    strings_ = np.asarray([[p.string for p in row] for _, row in found], dtype=np.int64)
    frets_ = np.asarray([[p.fret for p in row] for _, row in found], dtype=np.int64)
    open_midi = np.asarray(
        [guitar.midi_at(Position(s, 0)) for s in range(1, guitar.string_count + 1)], dtype=np.int64
    )
    places = HandPlaces(guitar, hand)
    holds = [places.holding(row) for _, row in found]
    widest = max(map(len, holds))
    return ShapeTable(
        strings_,
        frets_,
        open_midi[strings_ - 1] + frets_,
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


def with_passing_tones(
    table: ShapeTable,
    passing: Sequence[Passing],
    scale_mask: int,
    guitar: Guitar,
    hand: HandProfile,
    frets: tuple[int, int] | None,
    strings: tuple[int, int] | None,
) -> ShapeTable | None:
    """Shapes with a column more for each passing tone; ``None`` where the hand reaches none.

    A passing tone a semitone off its chord tone stays so; one a whole step off takes the next
    note of the scale on that side; any other stays as far off as it was.
    """
    import numpy as np

    if not passing:
        return table
    open_midi = np.asarray(
        [guitar.midi_at(Position(s, 0)) for s in range(1, guitar.string_count + 1)], dtype=np.int64
    )
    low, high = frets or (0, guitar.last_fret)
    first, last = strings or (1, guitar.string_count)
    columns = []
    good = np.ones(len(table), dtype=bool)
    for tone in passing:
        string = table.strings[:, tone.rung] + tone.strings
        good &= (string >= first) & (string <= last)
        off = np.asarray([_step_off(pc, tone.semitones, scale_mask) for pc in range(12)])
        midi = table.midi[:, tone.rung] + off[table.midi[:, tone.rung] % 12]
        fret = midi - open_midi[np.clip(string, 1, guitar.string_count) - 1]
        good &= (fret >= low) & (fret <= high)
        columns.append((string, fret, midi))
    along = np.asarray([guitar.along(Position(1, fret)) for fret in range(guitar.last_fret + 1)])
    every_fret = np.column_stack([table.frets, *(fret for _, fret, _ in columns)])
    where = along[np.clip(every_fret, 0, guitar.last_fret)]
    stopped = every_fret > 0
    lowest = np.where(stopped, where, np.inf).min(axis=1)
    highest = np.where(stopped, where, -np.inf).max(axis=1)
    good &= (highest - lowest) * max(guitar.scale_mm) <= hand.greatest_reach_mm
    if not good.any():
        return None
    return ShapeTable(
        np.column_stack([table.strings, *(string for string, _, _ in columns)])[good],
        every_fret[good],
        np.column_stack([table.midi, *(midi for _, _, midi in columns)])[good],
        table.rank[good],
        table.holds[good],
    )


def _step_off(pc: int, semitones: int, scale_mask: int) -> int:
    """How far a passing tone lies from a chord tone on this pitch class."""
    if abs(semitones) != 2:
        return semitones
    way = 1 if semitones > 0 else -1
    near = [size for size in (1, 2) if scale_mask >> (pc + way * size) % 12 & 1]
    return way * (near[0] if near else 2)
