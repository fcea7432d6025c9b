"""At which moment exactly does a note start?

Pick and string make their first noise high up, where strings that ring on have little left.  So
above 1.5 kHz the moment is taken at which the energy after it exceeds most the energy before it.
Where nothing is heard there, the first guess stays.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
import numpy.typing as npt

from lickwright.take.listening.recording import RATE_HZ, Recording
from lickwright.take.listening.track import TakeSamples

Floats = npt.NDArray[np.float64]

_ABOVE_HZ = 1500.0
_WINDOW = 256  # samples compared on each side: 11.6 ms
_SILENCE = 1024  # samples put before and after, so that a take may begin with a note
_GRAIN = 4  # samples from one moment tried to the next: 0.2 ms
_REACH = int(0.020 * RATE_HZ)
_LEASH_S, _LEASH = 0.006, 0.05  # what going away from the first guess costs, in log energy
#: A curve that compares windows of 23 ms peaks as a note enters them, so much before its start.
_EARLY_S = 0.006
_LOOKED_AT = 2 * _REACH + 2 * _WINDOW + 1
_BLOCK = 1 << 18  # samples
_AT_ONCE = 512  # starts


def sharpen(recording: Recording, time_s: Floats, block: int = _BLOCK) -> Floats:
    """First guesses of some starts, each moved to where its note begins, in seconds.

    Parameters
    ----------
    time_s : rising.
    block : samples worked at a time; it decides about memory alone.
    """
    block = max(1, block // _WINDOW) * _WINDOW
    floor = _floor(recording.track, block)
    # Of each start, the samples that are looked at, in the sound with its silence before it.
    centre = np.round((time_s + _EARLY_S) * RATE_HZ + _SILENCE).astype(np.int64)
    first = centre - _REACH - _WINDOW
    moved = np.zeros(len(centre), np.int64)
    kept, begins, done = np.zeros(0), 0, 0
    for heard in _heard(recording.track, block):
        kept = np.concatenate([kept, heard])
        ends = begins + len(kept)
        ready = int(np.searchsorted(first, ends - _LOOKED_AT, "right"))
        for some in range(done, ready, _AT_ONCE):
            which = slice(some, min(some + _AT_ONCE, ready))
            at = first[which, None] - begins + np.arange(_LOOKED_AT)
            moved[which] = _best(kept[at], floor)
        done = ready
        drop = max(len(kept) - _LOOKED_AT, 0)
        kept, begins = kept[drop:], begins + drop
    found = (centre - _REACH + _GRAIN * moved - _SILENCE) / RATE_HZ
    return np.asarray(np.maximum(found, 0.0), np.float64)


def _best(squares: Floats, floor: float) -> npt.NDArray[np.int64]:
    """Which of the moments tried begins a note, ``(starts,)``, by the energy around them."""
    energy = np.cumsum(squares, axis=1)
    at = _WINDOW + np.arange(0, 2 * _REACH + 1, _GRAIN)
    after = energy[:, at + _WINDOW] - energy[:, at]
    before = energy[:, at] - energy[:, at - _WINDOW]
    away = (at - _WINDOW - _REACH) / RATE_HZ / _LEASH_S
    gain = np.log((after + floor) / (before + floor)) - _LEASH * away**2
    return np.asarray(np.argmax(gain, axis=1), np.int64)


def _floor(track: TakeSamples, block: int) -> float:
    """The energy of a window in which nothing starts."""
    windows = [
        heard[: len(heard) // _WINDOW * _WINDOW].reshape(-1, _WINDOW).sum(axis=1)
        for heard in _heard(track, block)
    ]
    return float(2.0 * np.percentile(np.concatenate(windows), 10) + 1e-9)


def _heard(track: TakeSamples, block: int) -> Iterator[Floats]:
    """The squares of what lies high up, block by block, silence before and after it."""
    from scipy.signal import butter, sosfilt

    high = butter(2, _ABOVE_HZ, "high", fs=RATE_HZ, output="sos")
    state = np.zeros((len(high), 2))
    yield np.zeros(_SILENCE)
    for first in range(0, len(track), block):
        last = min(first + block, len(track))
        heard, state = sosfilt(high, track.stretch(first, last).astype(np.float64), zi=state)
        yield heard * heard
    yield np.zeros(_SILENCE)
