"""How loud is it, and how high do its peaks reach?

Loudness is the integrated loudness of ITU-R BS.1770 as EBU R 128 uses it.  True peak is the peak
of the waveform between samples too, found at four times the sample rate (BS.1770, annex 2).
"""

from __future__ import annotations

import math

import numpy as np
import numpy.typing as npt

from lickwright.sound.resample import resample
from lickwright.sound.timeline import SAMPLE_RATE

Samples = npt.NDArray[np.float32]

#: Integrated loudness of lesson audio; common practice, no source.
TARGET_LUFS = -16.0
#: True peak that is never passed (EBU R 128: -1 dBTP in production).
CEILING_DBTP = -1.0

_GATING_BLOCK_S = 0.4
_OVERSAMPLING = 4
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
    fine = [_finer(channel) for channel in samples.T]
    highest = max((max(wave.max(), -wave.min()) for wave in fine if len(wave)), default=0.0)
    return 20.0 * math.log10(highest) if highest > 0.0 else -math.inf


def _finer(channel: Samples) -> Samples:
    return resample(channel, _OVERSAMPLING, 1)


def _peaks(samples: Samples) -> Samples:
    """The highest point in any channel from each sample to the next, ``(N,)``."""
    peaks = np.zeros(len(samples), np.float32)
    for channel in samples.T:
        fine = np.abs(_finer(channel))
        for phase in range(_OVERSAMPLING):
            np.maximum(peaks, fine[phase::_OVERSAMPLING], out=peaks)
    return peaks


def level(
    samples: Samples, target_lufs: float = TARGET_LUFS, ceiling_dbtp: float = CEILING_DBTP
) -> Samples:
    """Samples brought to a loudness, their peaks held under a ceiling.

    Gain alone where that is enough.  Where it is not, a limiter that looks ahead turns down the
    few milliseconds around each peak, and the gain makes up for what that takes.  Silence stays
    silence.
    """
    missing = target_lufs - loudness(samples)
    if not math.isfinite(missing):
        return samples
    for _ in range(4):
        out = samples * np.float32(10.0 ** (missing / 20.0))
        if true_peak(out) <= ceiling_dbtp:
            return out
        out = _limit(out, ceiling_dbtp)
        lost = target_lufs - loudness(out)
        if abs(lost) < 0.05:
            break
        missing += lost
    return out


def _limit(samples: Samples, ceiling_dbtp: float) -> Samples:
    """Samples turned down around each of their peaks that passes a ceiling."""
    from scipy.ndimage import minimum_filter1d

    ceiling = 10.0 ** ((ceiling_dbtp - _MARGIN_DB) / 20.0)
    needed = np.minimum(1.0, ceiling / np.maximum(_peaks(samples), 1e-9))
    half = int(_LOOK_S * SAMPLE_RATE)
    held = minimum_filter1d(needed, 2 * half + 1, mode="nearest")
    window = np.hanning(2 * half + 1)
    smooth = np.convolve(np.pad(held, half, mode="edge"), window / window.sum(), mode="valid")
    return (samples * smooth[:, None]).astype(np.float32)
