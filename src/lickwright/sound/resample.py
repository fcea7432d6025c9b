"""The same sound at another sample rate.

A windowed sinc (Kaiser window; Smith, *Digital Audio Resampling*, CCRMA) whose phases repeat after
``up`` outputs and ``down`` inputs, so that a whole signal is one product of overlapping stretches
with one small matrix.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache

import numpy as np
import numpy.typing as npt

Samples = npt.NDArray[np.float32]
Places = npt.NDArray[np.intp]

_KAISER = 8.0  # side lobes under -80 dB
_LEAST_BLOCK = 32
_TAPS = 24
_AT_ONCE = 4096  # stretches; bounds the memory that the long ones take


def resample(signal: Samples, up: int, down: int, taps: int = _TAPS) -> Samples:
    """A signal ``(N,)`` at ``up / down`` times its rate: ``ceil(N * up / down)`` samples.

    Parameters
    ----------
    taps : length of the sinc, in periods of the lower of the two rates; a longer one keeps more
        of the top of the band.
    """
    matrix, _, _ = _matrix(up, down, taps)
    count = -(-len(signal) * up // down)
    stretches = np.ascontiguousarray(_stretches(signal, up, down, taps))
    result: Samples = (stretches @ matrix).ravel()[:count]
    return result


def resampled_over(signal: Samples, up: int, floor: float) -> Iterator[tuple[Places, Samples]]:
    """Those stretches of :func:`resample` by ``up`` that may pass a floor to either side.

    A stretch is left out where not even the most that its samples could add up to, in the sum of
    the sinc's own values, passes the floor; that spares nearly all of the work on music.

    Yields
    ------
    Where stretches begin in the signal, ``(K,)``, and their waves, ``(K, up * stretch)``; a wave
    at the end may run past the signal.
    """
    matrix, block, _ = _matrix(up, 1, _TAPS)
    stretches = _stretches(signal, up, 1, _TAPS)
    highest = np.zeros(len(stretches) + 2, np.float32)  # of each block, and of none at both ends
    if len(signal):
        highest[1:-1] = np.maximum.reduceat(np.abs(signal), np.arange(0, len(signal), block))
    # The sinc reaches into the blocks beside its own, and no further.
    most = np.maximum(np.maximum(highest[:-2], highest[2:]), highest[1:-1])
    able = np.flatnonzero(most * np.abs(matrix).sum(axis=0).max() > floor)
    for start in range(0, len(able), _AT_ONCE):
        some = able[start : start + _AT_ONCE]
        yield some * block, stretches[some] @ matrix


def _stretches(signal: Samples, up: int, down: int, taps: int) -> Samples:
    """The signal in blocks, each with what the sinc reaches to its sides; a view, not a copy."""
    _, block, reach = _matrix(up, down, taps)
    blocks = max(1, -(-len(signal) // block))
    padded = np.zeros(blocks * block + 2 * reach, np.float32)
    padded[reach : reach + len(signal)] = signal
    return np.lib.stride_tricks.sliding_window_view(padded, block + 2 * reach)[::block]


@cache
def _matrix(up: int, down: int, taps: int) -> tuple[Samples, int, int]:
    """The phases as a matrix, inputs to a block, and how far the sinc reaches to each side."""
    repeats = max(1, _LEAST_BLOCK // down)
    block, outputs = down * repeats, up * repeats
    band = min(1.0, up / down)  # in units of the input's own band
    reach = int(np.ceil(taps / 2 / band))
    at = np.arange(block + 2 * reach)[:, None] - reach - np.arange(outputs)[None, :] * (down / up)
    inside = np.maximum(1.0 - (at * band / (taps / 2)) ** 2, 0.0)
    window = np.where(inside > 0, np.i0(_KAISER * np.sqrt(inside)) / np.i0(_KAISER), 0.0)
    return (band * np.sinc(at * band) * window).astype(np.float32), block, reach
