"""The count-in: short wooden ticks, exact to the sample."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from lickwright.score import SAMPLE_RATE, CountIn, seconds

Samples = npt.NDArray[np.float32]

_ACCENT_HZ, _BEAT_HZ = 1760.0, 1320.0
_LEVEL = 0.3
#: A free wooden bar: its second mode is 2.76 times the first (Fletcher and Rossing, 2.15).
_SECOND_MODE = 2.756
_LENGTH_S = 0.05


def clicks(count: CountIn, tempo_bpm: float, samples: int) -> Samples:
    """The clicks of a count-in as ``(samples, 2)`` at 44.1 kHz; the first of a bar is higher."""
    out = np.zeros((samples, 2), np.float32)
    time = np.arange(int(_LENGTH_S * SAMPLE_RATE)) / SAMPLE_RATE
    for click in count.clicks:
        hz = _ACCENT_HZ if click.accent else _BEAT_HZ
        low = np.exp(-time / 0.007) * np.sin(2 * np.pi * hz * time)
        high = np.exp(-time / 0.003) * np.sin(2 * np.pi * _SECOND_MODE * hz * time)
        tick = (_LEVEL * (low + 0.3 * high)).astype(np.float32)
        first = round(seconds(click.onset, tempo_bpm) * SAMPLE_RATE)
        out[first : first + len(tick)] += tick[: samples - first, None]
    return out
