"""On which rhythm do some starts lie?

Beat by beat: each quarter note is cut into 1, 2, 3, 4, 5, 6, 7 or 8 equal parts, and the cheapest
cuts are searched with a beam.  Starts pay for their distance from the grid, cuts for being unusual
and for changing; the beat itself follows the player.  The same weighing of fit against simplicity
as in Cemgil, Desain and Kappen, "Rhythm Quantization for Transcription", Computer Music Journal
24:2, 2000.
"""

from __future__ import annotations

import heapq
from bisect import bisect_left
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import pairwise
from math import gcd, hypot, log2
from statistics import median

import numpy as np
import numpy.typing as npt

from lickwright.errors import RhythmError
from lickwright.lick import Tuplet
from lickwright.lick.rhythm import USUAL_NORMAL

Floats = npt.NDArray[np.float64]

#: What a cut of the beat costs, in nats; common practice, no source.
_CUTS = {1: 0.0, 2: 0.4, 4: 0.8, 3: 1.2, 6: 2.0, 8: 2.8, 5: 2.8, 7: 4.0}
_CHANGED = 0.7
_SPREAD_S, _SPREAD_SHARE = 0.008, 0.02
_LATE_NEXT = 0.06  # a start this near before a beat, as a share of it, belongs to it
_FOLLOW, _FOLLOW_PACE, _PACE_BOUND = 0.5, 0.12, 0.12
_BEAM = 24
#: To find the tempo, so many first notes are tried with so narrow a beam.
_BEGINNING, _NARROW, _TRIED = 24, 6, 4
_SLOWEST_BPM, _FASTEST_BPM, _STEP = 40.0, 240.0, 1.03
#: What a tempo an octave from an expected one costs, a note.
_OCTAVE = 1.5
_LONGEST_BEATS = 4000


@dataclass(frozen=True, slots=True)
class RhythmGrid:
    """Starts in the time of a score.

    Parameters
    ----------
    onsets : quarter notes, the first 0.
    cuts : into how many parts each quarter note is cut.
    tempo_bpm : quarter notes a minute.
    cost : in nats; less is a better and simpler rhythm.
    """

    onsets: tuple[Fraction, ...]
    cuts: tuple[int, ...]
    tempo_bpm: float
    cost: float

    def nearest(self, quarters: float) -> Fraction:
        """The nearest moment of the grid."""
        beat = int(np.floor(quarters))
        cut = self.cuts[beat] if 0 <= beat < len(self.cuts) else 4
        parts = cut if cut in (3, 5, 6, 7, 8) else 4
        return beat + Fraction(round((quarters - beat) * parts), parts)

    def tuplets(self) -> tuple[Tuplet, ...]:
        """The beats that are cut into 3, 5, 6 or 7."""
        return tuple(
            Tuplet(Fraction(beat), Fraction(1), cut, USUAL_NORMAL[cut])
            for beat, cut in enumerate(self.cuts)
            if cut in (3, 5, 6, 7)
        )


@dataclass(frozen=True, slots=True)
class _GridSearch:
    """A way through the beats so far; each start at (beat, slot, slots of the beat)."""

    cost: float
    start_s: float
    beat_s: float
    taken: int
    cuts: tuple[int, ...]
    places: tuple[tuple[int, int, int], ...]


def find_grid(
    onsets_s: Floats, tempo_bpm: float | None = None, near_bpm: tuple[float, ...] = (100.0,)
) -> RhythmGrid:
    """The simplest rhythm near some starts, of which the first lies on a beat.

    Parameters
    ----------
    onsets_s : rising, in seconds.
    tempo_bpm : the tempo, in quarter notes a minute; estimated where not given.
    near_bpm : tempi that are likely, when it is estimated: a rhythm in sixteenths is also one in
        eighths at twice the tempo.

    Raises
    ------
    RhythmError
        Where there are no starts, or no tempo fits.
    """
    if not len(onsets_s):
        raise RhythmError("there are no notes to write down", mend="Play a line of single notes")
    tempi = [tempo_bpm] if tempo_bpm is not None else _likely_tempi(onsets_s, near_bpm)
    grids = [grid for tempo in tempi if (grid := _grid(onsets_s, tempo, _BEAM)) is not None]
    if not grids:
        raise RhythmError("no tempo fits these notes", mend="Give the tempo of the take")
    return min(grids, key=lambda grid: _price(grid, near_bpm))


def _price(grid: RhythmGrid, near_bpm: tuple[float, ...]) -> float:
    """What a grid costs a note, with what its tempo costs."""
    octaves = min(abs(log2(grid.tempo_bpm / near)) for near in near_bpm)
    return grid.cost / len(grid.onsets) + _OCTAVE * octaves


def _likely_tempi(onsets_s: Floats, near_bpm: tuple[float, ...]) -> list[float]:
    """The tempi that fit the beginning best."""
    count = int(np.log(_FASTEST_BPM / _SLOWEST_BPM) / np.log(_STEP)) + 1
    beginning = onsets_s[:_BEGINNING]
    grids = [_grid(beginning, float(_SLOWEST_BPM * _STEP**k), _NARROW) for k in range(count)]
    tried = sorted((g for g in grids if g is not None), key=lambda g: _price(g, near_bpm))
    return [grid.tempo_bpm for grid in tried[:_TRIED]]


def _grid(onsets_s: Floats, tempo_bpm: float, width: int) -> RhythmGrid | None:
    """The cheapest grid from one tempo on; ``None`` where none fits."""
    times = onsets_s.tolist()
    usual_s = 60.0 / tempo_bpm
    beams = [_GridSearch(0.0, times[0], usual_s, 0, (), ())]
    for beat in range(_LONGEST_BEATS):
        following: list[_GridSearch] = []
        for beam in beams:
            following += _after(beam, beat, times, usual_s)
        if not following:
            return None
        beams = heapq.nsmallest(width, following, key=lambda beam: beam.cost)
        best = beams[0]
        if best.taken == len(times):
            tempo = 60.0 * len(best.cuts) / (best.start_s - times[0])
            onsets = tuple(at + Fraction(slot, cut) for at, slot, cut in best.places)
            return RhythmGrid(onsets, best.cuts, tempo, best.cost)
    return None


def _after(beam: _GridSearch, beat: int, times: list[float], usual_s: float) -> list[_GridSearch]:
    """The beam one beat on, for every cut of that beat."""
    last = bisect_left(times, beam.start_s + beam.beat_s * (1.0 - _LATE_NEXT), beam.taken)
    inside = [time - beam.start_s for time in times[beam.taken : last]]
    if not inside:
        start = beam.start_s + beam.beat_s
        return [replace(beam, start_s=start, cuts=(*beam.cuts, 1))]
    spread = hypot(_SPREAD_S, _SPREAD_SHARE * beam.beat_s)
    found = []
    for cut, price in _CUTS.items():
        part = beam.beat_s / cut
        slots = [max(round(time / part), 0) for time in inside]
        if slots[-1] >= cut or any(b <= a for a, b in pairwise(slots)):
            continue
        off = [time - slot * part for time, slot in zip(inside, slots, strict=True)]
        cost = beam.cost + price + sum(0.5 * (error / spread) ** 2 for error in off)
        real = cut // gcd(cut, *slots)
        cost += _CHANGED * (bool(beam.cuts) and beam.cuts[-1] != real)
        drift = median(off)
        pace = beam.beat_s + _FOLLOW_PACE * drift
        pace = min(max(pace, usual_s * (1 - _PACE_BOUND)), usual_s * (1 + _PACE_BOUND))
        places = (*beam.places, *((beat, slot, cut) for slot in slots))
        start = beam.start_s + pace + _FOLLOW * drift
        found.append(_GridSearch(cost, start, pace, last, (*beam.cuts, real), places))
    return found
