"""When was each moment of the score due, at the tempo the player really kept?

The tempo line is the smoothest line through the starts that were found.  It bends with a tempo
that drifts and does not bend for single notes: they are what early and late are measured against.
Robust penalised least squares: each start pulls at the line, less the further away it lies
(Tukey's biweight, after Huber's weights have found the line), and every bend of the line pays.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Floats = npt.NDArray[np.float64]

#: Over about so many quarter notes to each side the tempo may bend.
_BEND_QUARTERS = 2.0
_ROUNDS = 12
_HUBER_ROUNDS = 4
_LEAST_SCALE_S = 0.004
#: 95 % as good as least squares where all errors are normal (Huber and Ronchetti, *Robust
#: Statistics*, 2009).
_HUBER, _BIWEIGHT = 1.345, 4.685


@dataclass(frozen=True, slots=True)
class TempoLine:
    """Moments of the score (quarter notes, rising) and the seconds at which they were due."""

    quarters: tuple[float, ...]
    seconds: tuple[float, ...]

    def at(self, quarters: Floats) -> Floats:
        """Seconds of some moments; beyond both ends the tempo goes on as it was."""
        knots, times = np.array(self.quarters), np.array(self.seconds)
        inside = np.interp(quarters, knots, times)
        before = np.minimum(quarters - knots[0], 0.0) * self._pace(0, 1)
        after = np.maximum(quarters - knots[-1], 0.0) * self._pace(-2, -1)
        return np.asarray(inside + before + after)

    def bpm(self, low: float, high: float) -> float:
        """Quarter notes a minute between two moments."""
        first, last = self.at(np.array([low, high]))
        return float(60.0 * (high - low) / max(last - first, 1e-6))

    def _pace(self, first: int, last: int) -> float:
        """Seconds a quarter note between two knots."""
        span = self.quarters[last] - self.quarters[first]
        return (self.seconds[last] - self.seconds[first]) / span


def fit_tempo(quarters: Floats, time_s: Floats, tempo_bpm: float) -> TempoLine:
    """The tempo line through some starts.

    Parameters
    ----------
    quarters, time_s : moments of the score that were found, rising, and when they sounded.
    tempo_bpm : about the tempo; it decides where fewer than three moments were found.
    """
    if len(quarters) < 3 or quarters[-1] <= quarters[0]:
        start = float(quarters[0]) if len(quarters) else 0.0
        time = float(time_s[0]) if len(quarters) else 0.0
        return TempoLine((start, start + 1.0), (time, time + 60.0 / tempo_bpm))
    low, high = float(quarters[0]), float(quarters[-1])
    knots = np.linspace(low, high, max(3, int(np.ceil(high - low)) + 1))
    spacing = knots[1] - knots[0]
    design = _hats(quarters, knots)
    bends = np.diff(np.eye(len(knots)), 2, axis=0) / spacing**2
    density = len(quarters) / (high - low)
    penalty = density * _BEND_QUARTERS**4 * spacing * bends.T @ bends
    weights = np.ones(len(quarters))
    line = knots
    for turn in range(_ROUNDS):
        pull = design * weights[:, None]
        line = np.linalg.solve(pull.T @ design + penalty, pull.T @ time_s)
        off = np.abs(time_s - design @ line)
        scale = max(1.4826 * float(np.median(off)), _LEAST_SCALE_S)
        if turn < _HUBER_ROUNDS:
            weights = np.minimum(1.0, _HUBER * scale / np.maximum(off, 1e-9))
        else:
            weights = np.maximum(1.0 - (off / (_BIWEIGHT * scale)) ** 2, 1e-2) ** 2
    return TempoLine(tuple(knots.tolist()), tuple(line.tolist()))


def _hats(at: Floats, knots: Floats) -> Floats:
    """Weights of linear interpolation between equally spaced knots, ``(moments, knots)``."""
    position = (at - knots[0]) / (knots[1] - knots[0])
    return np.asarray(np.maximum(1.0 - np.abs(position[:, None] - np.arange(len(knots))), 0.0))
