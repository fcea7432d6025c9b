"""The same sound at another sample rate.

A windowed sinc (Kaiser window; Smith, *Digital Audio Resampling*, CCRMA) whose phases repeat after
``up`` outputs and ``down`` inputs, so that a whole signal is one product of overlapping stretches
with one small matrix.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import numpy.typing as npt

Samples = npt.NDArray[np.float32]

_KAISER = 8.0  # side lobes under -80 dB
_LEAST_BLOCK = 32


def resample(signal: Samples, up: int, down: int, taps: int = 24) -> Samples:
    """A signal ``(N,)`` at ``up / down`` times its rate: ``ceil(N * up / down)`` samples.

    Parameters
    ----------
    taps : length of the sinc, in periods of the lower of the two rates; a longer one keeps more
        of the top of the band.
    """
    matrix, block, reach = _matrix(up, down, taps)
    count = -(-len(signal) * up // down)
    blocks = max(1, -(-len(signal) // block))
    padded = np.zeros(blocks * block + 2 * reach, np.float32)
    padded[reach : reach + len(signal)] = signal
    stretches = np.lib.stride_tricks.sliding_window_view(padded, block + 2 * reach)[::block]
    result: Samples = (np.ascontiguousarray(stretches) @ matrix).ravel()[:count]
    return result


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
