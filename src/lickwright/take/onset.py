"""At which moment exactly does a note start?

Pick and string make their first noise high up, where strings that ring on have little left.  So
above 1.5 kHz the moment is taken at which the energy after it exceeds most the energy before it.
Where nothing is heard there, the first guess stays.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from lickwright.take.recording import RATE_HZ, Recording

Floats = npt.NDArray[np.float64]

_ABOVE_HZ = 1500.0
_WINDOW = 256  # samples compared on each side: 11.6 ms
_SILENCE = 1024  # samples put before and after, so that a take may begin with a note
_GRAIN = 4  # samples from one moment tried to the next: 0.2 ms
_REACH_S = 0.020
_LEASH_S, _LEASH = 0.006, 0.05  # what going away from the first guess costs, in log energy
#: A curve that compares windows of 23 ms peaks as a note enters them, so much before its start.
_EARLY_S = 0.006


def sharpen(recording: Recording, time_s: Floats) -> Floats:
    """First guesses of some starts, each moved to where its note begins, in seconds."""
    from scipy.signal import butter, sosfilt

    high = butter(2, _ABOVE_HZ, "high", fs=RATE_HZ, output="sos")
    heard = sosfilt(high, recording.samples.astype(np.float64))
    silence = np.zeros(_SILENCE)
    energy = np.cumsum(np.concatenate([silence, heard * heard, silence]))
    floor = 2.0 * np.percentile(np.diff(energy[::_WINDOW]), 10) + 1e-9
    guess = time_s + _EARLY_S + _SILENCE / RATE_HZ
    reach = int(_REACH_S * RATE_HZ)
    away = np.arange(-reach, reach + 1, _GRAIN)
    at = np.clip(
        np.round(guess * RATE_HZ).astype(np.int64)[:, None] + away,
        _WINDOW,
        len(energy) - 1 - _WINDOW,
    )
    after = energy[at + _WINDOW] - energy[at]
    before = energy[at] - energy[at - _WINDOW]
    gain = np.log((after + floor) / (before + floor)) - _LEASH * (away / RATE_HZ / _LEASH_S) ** 2
    best = np.argmax(gain, axis=1)
    found = (at[np.arange(len(at)), best] - _SILENCE) / RATE_HZ
    return np.asarray(np.maximum(found, 0.0), np.float64)
