"""How loud is it, and how high do its peaks reach?

Loudness is the integrated loudness of ITU-R BS.1770 as EBU R 128 uses it.  True peak is the peak
of the waveform between samples too, found at four times the sample rate (BS.1770, annex 2).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lickwright.score import SAMPLE_RATE
from lickwright.sound.one_thread import in_one_thread
from lickwright.sound.resample import resampled_over

Samples = npt.NDArray[np.float32]
Blocks = npt.NDArray[np.float64]

#: Integrated loudness of lesson audio; common practice, no source.
TARGET_LUFS = -16.0
#: True peak that is never passed (EBU R 128: -1 dBTP in production).
CEILING_DBTP = -1.0

_GATING_BLOCK_S = 0.4
_ABSOLUTE_GATE_LUFS, _RELATIVE_GATE_LU = -70.0, -10.0
_OVERSAMPLING = 4
_COARSE = 4
_LOOK_S = 0.004
_MARGIN_DB = 0.15


@dataclass(frozen=True, slots=True)
class Levelled:
    """Samples ``(N, C)`` brought to a loudness, and what they measure now."""

    samples: Samples
    loudness_lufs: float
    true_peak_dbtp: float


@in_one_thread
def loudness(samples: Samples) -> float:
    """Integrated loudness in LUFS of ``(N, C)`` samples; ``-inf`` for silence.

    A sound shorter than one gating block of 0.4 s is measured as that block with silence behind.
    """
    return _integrated(_blocks(samples))


@in_one_thread
def about_loudness(samples: Samples) -> float:
    """Integrated loudness in LUFS of ``(N, 2)`` samples to about half a decibel, many times faster.

    Every fourth sample of the middle of the picture: what folds back keeps its power, and what
    differs between the sides is left out.
    """
    import pyloudnorm

    middle = np.ascontiguousarray(samples[::_COARSE].mean(axis=1))
    block = math.ceil(_GATING_BLOCK_S * SAMPLE_RATE / _COARSE)
    if len(middle) < block:
        middle = np.pad(middle, (0, block - len(middle)))
    if not middle.any():
        return -math.inf
    meter = pyloudnorm.Meter(SAMPLE_RATE // _COARSE)
    return float(meter.integrated_loudness(middle)) + 10.0 * math.log10(2.0)


def _blocks(samples: Samples) -> Blocks:
    """The loudness in LUFS of each gating block, 0.4 s long and 0.1 s after the last."""
    import pyloudnorm

    block = math.ceil(_GATING_BLOCK_S * SAMPLE_RATE)
    if len(samples) < block:
        samples = np.pad(samples, ((0, block - len(samples)), (0, 0)))
    if not samples.any():
        return np.array([-math.inf])
    meter = pyloudnorm.Meter(SAMPLE_RATE)
    meter.integrated_loudness(samples)
    return np.array(meter.blockwise_loudness)


def _integrated(blocks: Blocks) -> float:
    """The loudness of all blocks that pass both gates (BS.1770-4, equations 5 to 7).

    Apart from the filters before it, so that a gain needs no second measurement: it raises each
    block by as much.
    """
    heard = blocks[blocks >= _ABSOLUTE_GATE_LUFS]
    if not len(heard):
        return -math.inf
    heard = heard[heard > _mean(heard) + _RELATIVE_GATE_LU]
    return _mean(heard)


def _mean(blocks: Blocks) -> float:
    """The mean of loudnesses by their power, in LUFS."""
    return float(10.0 * np.log10(np.mean(10.0 ** (blocks / 10.0))))


@in_one_thread
def true_peak(samples: Samples) -> float:
    """True peak in dBTP of ``(N, C)`` samples; ``-inf`` for silence."""
    highest = float(np.abs(samples).max(initial=0.0))
    for channel in samples.T:
        for _, waves in resampled_over(channel, _OVERSAMPLING, highest):
            highest = max(highest, float(np.abs(waves).max()))
    return 20.0 * math.log10(highest) if highest > 0.0 else -math.inf


def _peaks(samples: Samples, floor: float) -> Samples:
    """The highest point in any channel from each sample to the next, ``(N,)``.

    Exact where it passes the floor, and under the floor where it does not.
    """
    peaks: Samples = np.abs(samples).max(axis=1)
    for channel in samples.T:
        for places, waves in resampled_over(channel, _OVERSAMPLING, floor):
            fine = np.abs(waves).reshape(places.size, -1, _OVERSAMPLING).max(axis=2)
            at = places[:, None] + np.arange(fine.shape[1])
            inside = at < len(peaks)
            peaks[at[inside]] = np.maximum(peaks[at[inside]], fine[inside])
    return peaks


@in_one_thread
def level(
    samples: Samples, target_lufs: float = TARGET_LUFS, ceiling_dbtp: float = CEILING_DBTP
) -> Levelled:
    """Samples brought to a loudness, their peaks held under a ceiling.

    Gain alone where that is enough.  Where it is not, a limiter that looks ahead turns down the
    few milliseconds around each peak, and the gain makes up for what that takes.  Silence stays
    silence.
    """
    blocks = _blocks(samples)
    missing = target_lufs - _integrated(blocks)
    peak = true_peak(samples)
    if not math.isfinite(missing):
        return Levelled(samples, -math.inf, peak)
    if peak + missing <= ceiling_dbtp:
        return Levelled(gained(samples, missing), _integrated(blocks + missing), peak + missing)
    out, reached = samples, -math.inf
    for _ in range(4):
        out = _limit(gained(samples, missing), ceiling_dbtp)
        reached = loudness(out)
        if abs(target_lufs - reached) < 0.05:
            break
        missing += target_lufs - reached
    return Levelled(out, reached, true_peak(out))


def gained(samples: Samples, gain_db: float) -> Samples:
    """Samples made louder or softer."""
    return samples * np.float32(10.0 ** (gain_db / 20.0))


def _limit(samples: Samples, ceiling_dbtp: float) -> Samples:
    """Samples turned down around each of their peaks that passes a ceiling."""
    from scipy.ndimage import minimum_filter1d

    ceiling = 10.0 ** ((ceiling_dbtp - _MARGIN_DB) / 20.0)
    needed = np.minimum(1.0, ceiling / np.maximum(_peaks(samples, ceiling), 1e-9))
    half = int(_LOOK_S * SAMPLE_RATE)
    window = np.hanning(2 * half + 1)
    window /= window.sum()
    out = samples.copy()
    turned = np.flatnonzero(needed < 1.0)
    if not len(turned):
        return out
    # Far from every peak the gain is 1: only the stretches about them are worked on.
    for near in np.split(turned, np.flatnonzero(np.diff(turned) > 4 * half) + 1):
        first, end = max(0, near[0] - 2 * half), near[-1] + 2 * half + 1
        held = minimum_filter1d(needed[first:end], 2 * half + 1, mode="nearest")
        smooth = np.convolve(np.pad(held, half, mode="edge"), window, mode="valid")
        out[first:end] *= smooth[:, None].astype(np.float32)
    return out
