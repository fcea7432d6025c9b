"""How loud is it, and how high do its peaks reach?

Loudness is the integrated loudness of ITU-R BS.1770 as EBU R 128 uses it.  True peak is the peak
of the waveform between samples too, found at four times the sample rate (BS.1770, annex 2).
"""

from __future__ import annotations

import math
from functools import cache

import numpy as np
import numpy.typing as npt

from lickwright.sound.timeline import SAMPLE_RATE

Samples = npt.NDArray[np.float32]

#: Integrated loudness of lesson audio; common practice, no source.
TARGET_LUFS = -16.0
#: True peak that is never passed (EBU R 128: -1 dBTP in production).
CEILING_DBTP = -1.0

_GATING_BLOCK_S = 0.4
_PHASES, _TAPS = 4, 24
_LOOK_S = 0.004
_MARGIN_DB = 0.15


def loudness(samples: Samples) -> float:
    """Integrated loudness in LUFS of ``(N, C)`` samples; ``-inf`` for silence.

    A sound shorter than one gating block of 0.4 s is measured as that block with silence behind.
    """
    import pyloudnorm

    block = math.ceil(_GATING_BLOCK_S * SAMPLE_RATE)
    if len(samples) < block:
        samples = np.pad(samples, ((0, block - len(samples)), (0, 0)))
    if not samples.any():
        return -math.inf
    return float(pyloudnorm.Meter(SAMPLE_RATE).integrated_loudness(samples))


def true_peak(samples: Samples) -> float:
    """True peak in dBTP of ``(N, C)`` samples; ``-inf`` for silence."""
    highest = float(np.abs(samples).max(initial=0.0))
    if highest == 0.0:
        return -math.inf
    # Between samples the wave reaches at most the filter's gain times the samples around it, so
    # stretches that are too low to matter are left out.
    reach = np.abs(_interpolator()).sum(axis=1).max()
    step = 2048
    for start in range(0, len(samples), step):
        piece = samples[max(start - _TAPS, 0) : start + step + _TAPS]
        if np.abs(piece).max() * reach > highest:
            highest = max(highest, float(_peaks(piece).max()))
    return 20.0 * math.log10(highest)


@cache
def _interpolator() -> Samples:
    """A windowed sinc at three places between two samples, (3, taps)."""
    place = np.arange(1, _PHASES)[:, None] / _PHASES
    at = np.arange(_TAPS) - (_TAPS // 2 - 1) - place
    window = np.i0(8.0 * np.sqrt(np.maximum(1.0 - (at / (_TAPS / 2)) ** 2, 0.0))) / np.i0(8.0)
    return (np.sinc(at) * window).astype(np.float32)


def _peaks(samples: Samples) -> Samples:
    """The highest point in any channel from each sample to the next, ``(N,)``."""
    peaks = np.abs(samples).max(axis=1)
    for channel in samples.T:
        for taps in _interpolator():
            between = np.convolve(channel, taps[::-1])[_TAPS // 2 : _TAPS // 2 + len(channel)]
            np.maximum(peaks, np.abs(between), out=peaks)
    return peaks


def level(
    samples: Samples, target_lufs: float = TARGET_LUFS, ceiling_dbtp: float = CEILING_DBTP
) -> Samples:
    """Samples brought to a loudness, their peaks held under a ceiling.

    Gain alone where that is enough.  Where it is not, a limiter that looks ahead turns down the
    few milliseconds around each peak; it works within half a decibel, so that what it takes from
    the loudness can be given back.  Silence stays silence.
    """
    out = samples
    for _ in range(4):
        missing = target_lufs - loudness(out)
        if not math.isfinite(missing):
            return samples
        if out is not samples and abs(missing) < 0.05:
            break
        out = limit(out * np.float32(10.0 ** (missing / 20.0)), ceiling_dbtp)
    return out


def limit(samples: Samples, ceiling_dbtp: float) -> Samples:
    """Samples whose true peak stays under a ceiling; unchanged where it does already."""
    if true_peak(samples) <= ceiling_dbtp - _MARGIN_DB / 2:
        return samples
    from scipy.ndimage import minimum_filter1d

    ceiling = 10.0 ** ((ceiling_dbtp - _MARGIN_DB) / 20.0)
    peaks = _peaks(samples)
    needed = np.minimum(1.0, ceiling / np.maximum(peaks, 1e-9))
    half = int(_LOOK_S * SAMPLE_RATE)
    held = minimum_filter1d(needed, 2 * half + 1, mode="nearest")
    window = np.hanning(2 * half + 1)
    smooth = np.convolve(np.pad(held, half, mode="edge"), window / window.sum(), mode="valid")
    return (samples * smooth[:, None]).astype(np.float32)
