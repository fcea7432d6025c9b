"""How long does a note sound: over the next one, or until it is stopped?

Ringing on is heard at the partials that the later note does not share: how long they stay within
12 dB of what they were before it started.  Where all partials are shared (an octave up), nothing
can be told.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from lickwright.lick import LickNote
from lickwright.take.listening.recording import RATE_HZ, Recording
from lickwright.take.report import HeardNote

Floats = npt.NDArray[np.float64]

#: From here on a string that rings over is worth a word.  Common practice, no source.
RING_S = 0.060

_WINDOW, _PADDED = 1024, 2048
_STEP_S = 0.010
_LONGEST_S = 0.4
_DROP_STEPS = 8
_GONE = 10.0 ** (-12.0 / 20.0)
_PARTIALS = 10
_TOP_HZ = 4000.0
_APART_HZ = 2.0 * RATE_HZ / _WINDOW  # half the width of a Hann window's main lobe
_LEAST_PARTIALS = 2
_AT_ONCE = 256  # windows


def ringing(
    recording: Recording,
    tuning_cents: float,
    heard: Sequence[HeardNote],
    printed: Sequence[LickNote],
) -> list[float | None]:
    """For each note, how long it sounds on after the next one starts, in seconds.

    ``None`` where it or the next was not heard, the next lies on the same string, their partials
    cannot be told apart, or its pitch sounded before it started (an earlier note, or the band).
    """
    rings: list[float | None] = [None] * len(heard)
    for index, (note, after) in enumerate(pairwise(heard)):
        strings = printed[index].position.string, printed[index + 1].position.string
        if strings[0] == strings[1] or note.heard_s is None or after.heard_s is None:
            continue
        if note.heard_midi is None or after.heard_midi is None:
            continue
        bins = _own_bins(note.heard_midi, after.heard_midi, tuning_cents)
        if len(bins) < _LEAST_PARTIALS:
            continue
        until = heard[index + 2].heard_s if index + 2 < len(heard) else None
        room = _LONGEST_S if until is None else min(_LONGEST_S, until - after.heard_s)
        rings[index] = _ring_s(recording, bins, note.heard_s, after.heard_s, room)
    return rings


def ends(
    recording: Recording, tuning_cents: float, onsets_s: Floats, keys: npt.NDArray[np.int64]
) -> Floats:
    """When each note of a line is stopped, or else the next one starts, in seconds.

    A string that is stopped loses 12 dB in the time of a window; one that rings does not.
    """
    length = len(recording.samples) / RATE_HZ
    stops = np.append(onsets_s[1:], length)
    half = _WINDOW / RATE_HZ / 2.0
    for index, (onset, stop) in enumerate(zip(onsets_s.tolist(), stops.tolist(), strict=True)):
        centres = np.arange(onset + half, stop - half / 2.0, _STEP_S)
        if len(centres) <= _DROP_STEPS:
            continue
        partials = _hz(int(keys[index]), tuning_cents) * np.arange(1, _PARTIALS + 1)
        bins = np.asarray(np.round(partials[partials < _TOP_HZ] * _PADDED / RATE_HZ), np.int64)
        level = _strength(recording, bins, centres)
        fallen = np.flatnonzero(level[_DROP_STEPS:] < _GONE * level[:-_DROP_STEPS])
        if len(fallen):
            stops[index] = centres[fallen[0]] + _DROP_STEPS * _STEP_S / 2.0
    return np.asarray(stops, np.float64)


def _hz(midi: int, tuning_cents: float) -> float:
    return float(440.0 * 2.0 ** ((midi - 69 + tuning_cents / 100.0) / 12.0))


def _own_bins(midi: int, other: int, tuning_cents: float) -> npt.NDArray[np.int64]:
    """Bins of the partials of a pitch that no partial of the other comes near."""
    own = _hz(midi, tuning_cents) * np.arange(1, _PARTIALS + 1)
    own = own[own < _TOP_HZ]
    others = _hz(other, tuning_cents) * np.arange(1, 40)
    clear = np.abs(own[:, None] - others[None, :]).min(axis=1) > _APART_HZ
    return np.asarray(np.round(own[clear] * _PADDED / RATE_HZ), np.int64)


def _ring_s(
    recording: Recording, bins: npt.NDArray[np.int64], onset_s: float, next_s: float, room_s: float
) -> float | None:
    """Seconds after ``next_s`` until the partials are 12 dB below what they were before it."""
    half = _WINDOW / RATE_HZ / 2.0
    moments = np.array([onset_s - half, max(next_s - half, onset_s)])
    background, before = _strength(recording, bins, moments)
    if background >= _GONE * before:
        return None
    centres = next_s + half + np.arange(0.0, room_s, _STEP_S)
    after = _strength(recording, bins, centres)
    gone = np.flatnonzero(after < _GONE * before)
    return float(_STEP_S * gone[0]) if len(gone) else float(room_s)


def _strength(recording: Recording, bins: npt.NDArray[np.int64], centres_s: Floats) -> Floats:
    """Sum of the magnitudes at some bins, in windows around some moments, rising."""
    window = np.hanning(_WINDOW)
    firsts = np.round(centres_s * RATE_HZ).astype(np.int64) - _WINDOW // 2
    strength = np.zeros(len(firsts))
    for some in range(0, len(firsts), _AT_ONCE):
        which = slice(some, some + _AT_ONCE)
        frames = recording.track.frames(firsts[which], _WINDOW)
        spectra = np.abs(np.fft.rfft(frames * window, _PADDED, axis=1))
        strength[which] = spectra[:, bins].sum(axis=1)
    return strength
