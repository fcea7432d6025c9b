"""What rises in a recording, when, and at which pitch?

A note that starts is new energy at the partials of one pitch; a string that rings on only decays.
So every moment is judged by the *rise* of the spectrum: what stands in the window after it and did
not stand in the window before.  That keeps the strings that still ring out of the judgement.

Two time scales: windows of 70 ms tell the pitches apart, windows of 23 ms tell when.

Sources
-------
* Rise of the compressed magnitude as onset strength: Bello et al., "A Tutorial on Onset Detection
  in Music Signals", IEEE Trans. Speech and Audio Processing 13:5, 2005.
* Pitch as the best match of a spectrum with harmonic templates: Klapuri and Davy (eds.), *Signal
  Processing Methods for Music Transcription*, 2006, chapter 8.
* Main lobe of the Hann window: Harris, "On the Use of Windows for Harmonic Analysis with the
  Discrete Fourier Transform", Proc. IEEE 66:1, 1978.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from lickwright.take.listening.recording import RATE_HZ, Recording
from lickwright.take.listening.track import TakeSamples

Floats = npt.NDArray[np.float32]

#: Pitches that are told apart, as MIDI keys: below the low F#1 of eight strings, to above fret 24.
LOWEST_MIDI, HIGHEST_MIDI = 28, 95
PITCHES = np.arange(LOWEST_MIDI, HIGHEST_MIDI + 1)

#: Samples from one moment to the next: 2.9 ms.
HOP = 64
STEP_S = HOP / RATE_HZ

_WINDOW, _PADDED = 1536, 2048
_SHORT = 512
_TOP_HZ = 5200.0
_BINS = int(_TOP_HZ * _PADDED / RATE_HZ)
#: Half the distance between the windows before and after, in steps: they overlap in their skirts.
LAG = round(0.4 * _WINDOW / HOP)
_SHORT_LAG = _SHORT // 2 // HOP
_PARTIALS = 20
_STIFFNESS = 3e-5  # of a plain string; from memory
_ROLL_OFF = 0.75  # amplitude of partial k is 1 / k to this power, before compression
_FLOOR_PERCENTILE = 15.0
_FLOOR_WIDTH = 41  # bins, 440 Hz: wide enough that partials do not raise the floor
_FLOOR_MARGIN = 1.5
BLOCK = 1024  # steps worked at a time, so that memory does not grow with the take
_AT_ONCE = 1024  # frames from anywhere
#: From so many moments, evenly spread, it is told how loud the bands of a recording are.
_MOMENTS = 1 << 16


@dataclass(frozen=True, slots=True)
class Spectrum:
    """What a recording shows as a whole, at steps of :data:`STEP_S` seconds.

    Parameters
    ----------
    track : the samples.
    attack : ``(steps,)``: how suddenly energy enters, over all bands.
    floor : ``(bins,)``: the steady noise.
    tuning_cents : how far the recording's pitch lies from A4 = 440 Hz.
    """

    track: TakeSamples
    attack: Floats
    floor: Floats
    tuning_cents: float

    @property
    def steps(self) -> int:
        return len(self.attack)


@dataclass(frozen=True, slots=True)
class Rises:
    """What rises over some steps in a row, those from ``first`` up to ``last``.

    Parameters
    ----------
    low : the step of the first row; there are rows beyond ``first`` and ``last`` too.
    rise : ``(rows, pitches)``: how much of each pitch is new.
    norm : ``(rows,)``: how much is new altogether; ``rise / norm`` is a cosine.
    """

    first: int
    last: int
    low: int
    rise: Floats
    norm: Floats


def listen(recording: Recording, block: int = BLOCK) -> Spectrum:
    """What a recording shows as a whole.

    Parameters
    ----------
    block : steps worked at a time; it decides about memory alone.
    """
    track = recording.track
    attack = _attack(track, block)
    floor = _floor(track)
    return Spectrum(track, attack, floor, _tuning(track, floor, attack))


def attack_curve(recording: Recording, block: int = BLOCK) -> npt.NDArray[np.float64]:
    """How suddenly energy enters a recording at each step of :data:`STEP_S`, over all bands.

    Returns
    -------
    numpy.ndarray
        ``(steps,)``, from 0.
    """
    return np.asarray(_attack(recording.track, block), np.float64)


def rises(sound: Spectrum, beyond: int, block: int = BLOCK) -> Iterator[Rises]:
    """What rises at every step, some steps at a time.

    Parameters
    ----------
    beyond : so many rows are given on both sides of the steps in question, where there are any.
    """
    templates = harmonic_templates(round(sound.tuning_cents)).T
    for first in range(0, sound.steps, block):
        last = min(first + block, sound.steps)
        low, high = max(first - beyond, 0), min(last + beyond, sound.steps)
        compressed = _compressed(sound.track, sound.floor, np.arange(low - LAG, high + LAG))
        new = _new(compressed)
        yield Rises(first, last, low, new @ templates, np.linalg.norm(new, axis=1))


def levels(sound: Spectrum, steps: npt.NDArray[np.int64]) -> Floats:
    """How much of each pitch sounds at some steps, rising: ``(len(steps), pitches)``."""
    templates = harmonic_templates(round(sound.tuning_cents)).T
    out = np.zeros((len(steps), len(PITCHES)), np.float32)
    for first in range(0, len(steps), _AT_ONCE):
        some = slice(first, first + _AT_ONCE)
        out[some] = _compressed(sound.track, sound.floor, steps[some]) @ templates
    return out


@lru_cache(maxsize=16)
def harmonic_templates(tuning_cents: int = 0) -> Floats:
    """The spectrum of every pitch in the long window, ``(pitches, bins)``, each of norm 1."""
    hz = np.arange(_BINS) * RATE_HZ / _PADDED
    number = np.arange(1, _PARTIALS + 1)
    stretch = number * np.sqrt(1.0 + _STIFFNESS * number**2)
    rows = []
    for key in PITCHES:
        partials = 440.0 * 2.0 ** ((key - 69 + tuning_cents / 100.0) / 12.0) * stretch
        partials = partials[partials < _TOP_HZ - 100.0]
        lobes = _main_lobe((hz - partials[:, None]) * _WINDOW / RATE_HZ)
        row = np.sqrt((lobes / number[: len(partials), None] ** _ROLL_OFF).max(axis=0))
        rows.append(row / np.linalg.norm(row))
    return np.array(rows, np.float32)


def _main_lobe(bins: npt.NDArray[np.float64]) -> npt.NDArray[np.float64]:
    """Magnitude of a Hann window's transform, so many bins of its own length from its centre."""
    grid, lobe = _lobe_table()
    return np.interp(np.abs(bins), grid, lobe, right=0.0)


@lru_cache(maxsize=1)
def _lobe_table() -> tuple[npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    grid = np.linspace(0.0, 2.0, 400)  # never exactly 1, where the quotient is 0 / 0
    return grid, np.abs(np.sinc(grid) / (1.0 - grid * grid))


def _magnitudes(
    track: TakeSamples, centres: npt.NDArray[np.int64], size: int, padded: int
) -> Floats:
    """Magnitude spectra of Hann windows around some samples, rising; silence beyond both ends."""
    from scipy.fft import rfft

    half = size // 2
    frames = track.frames(np.clip(centres, 0, len(track) + half) - half, size)
    window = np.hanning(size + 1)[:-1]
    spectra = rfft(frames * (window / window.sum()).astype(np.float32), padded, axis=1)
    return np.abs(spectra).astype(np.float32)


def _step_count(track: TakeSamples) -> int:
    return len(track) // HOP + 1


def _floor(track: TakeSamples) -> Floats:
    """The steady noise in every bin: what is nearly always there, without the peaks of partials."""
    from scipy.ndimage import median_filter

    count = _step_count(track)
    centres = np.linspace(0, count - 1, min(count, 1500)).astype(np.int64) * HOP
    spectra = _magnitudes(track, centres, _WINDOW, _PADDED)[:, :_BINS]
    quiet = np.percentile(spectra, _FLOOR_PERCENTILE, axis=0)
    return np.asarray(_FLOOR_MARGIN * median_filter(quiet, _FLOOR_WIDTH), np.float32)


def _compressed(track: TakeSamples, floor: Floats, steps: npt.NDArray[np.int64]) -> Floats:
    spectra = _magnitudes(track, steps * HOP, _WINDOW, _PADDED)[:, :_BINS]
    out: Floats = np.sqrt(np.maximum(spectra - floor, 0.0))
    return out


def _new(compressed: Floats) -> Floats:
    """What stands after each step and not before it."""
    rise: Floats = np.maximum(compressed[2 * LAG :] - compressed[: -2 * LAG], 0.0)
    return rise


def _tuning(track: TakeSamples, floor: Floats, attack: Floats) -> float:
    """The tuning that best matches what is new at the strongest attacks, within a quarter tone."""
    peaks = local_peaks(attack, 0.0, 20)
    strongest = np.sort(peaks[np.argsort(-attack[peaks])][:200])
    after = _compressed(track, floor, strongest + LAG)
    before = _compressed(track, floor, strongest - LAG)
    new = np.maximum(after - before, 0.0)
    tried = range(-50, 51, 10)
    fit = np.array([np.sum((new @ harmonic_templates(c).T).max(axis=1) ** 2) for c in tried])
    best = int(np.argmax(fit))
    if not 0 < best < len(tried) - 1 or fit[best] <= 0:
        return float(tried[best]) if fit[best] > 0 else 0.0
    left, middle, right = fit[best - 1 : best + 2]
    bend = left - 2 * middle + right
    return float(tried[best] + (5.0 * (left - right) / bend if bend < 0 else 0.0))


def _attack(track: TakeSamples, block: int) -> Floats:
    """Mean rise of log energy over half-octave bands, from one short window to the next."""
    count = _step_count(track)
    loudness = _loudness(track, count)
    attack = np.zeros(count, np.float32)
    for first in range(0, count, block):
        last = min(first + block, count)
        low, high = max(first - _SHORT_LAG, 0), min(last + _SHORT_LAG, count)
        log = np.log1p(_energies(track, np.arange(low, high)) / loudness)
        # Before the beginning and after the end there is silence.
        before, after = _SHORT_LAG - (first - low), _SHORT_LAG - (high - last)
        around = np.pad(log, ((before, after), (0, 0)))
        up = np.maximum(around[2 * _SHORT_LAG :] - around[: -2 * _SHORT_LAG], 0.0)
        attack[first:last] = up.mean(axis=1)
    return attack


def _loudness(track: TakeSamples, count: int) -> Floats:
    """The energy in every band that counts as loud: more than is there all the time."""
    moments = np.arange(0, count, -(-count // _MOMENTS))
    blocks = (moments[k : k + _AT_ONCE] for k in range(0, len(moments), _AT_ONCE))
    energy = np.concatenate([_energies(track, steps) for steps in blocks])
    quiet = np.percentile(energy, _FLOOR_PERCENTILE, axis=0)
    loud = np.percentile(energy, 95.0)
    return np.asarray(3.0 * quiet + 1e-3 * loud + 1e-12, np.float32)


def _energies(track: TakeSamples, steps: npt.NDArray[np.int64]) -> Floats:
    """The energy of some steps, rising, in every band."""
    energy: Floats = _magnitudes(track, steps * HOP, _SHORT, _SHORT) @ _bands()
    return energy


@lru_cache(maxsize=1)
def _bands() -> Floats:
    """Bands a quarter octave apart and half an octave wide, ``(bins, bands)``."""
    hz = np.arange(_SHORT // 2 + 1) * RATE_HZ / _SHORT
    edges = np.geomspace(70.0, 9000.0, 30)
    bands = np.array(
        [(low <= hz) & (hz < high) for low, high in zip(edges, edges[2:], strict=False)]
    )
    return bands[bands.any(axis=1)].T.astype(np.float32)


def local_peaks(curve: Floats, least: float, apart: int) -> npt.NDArray[np.int64]:
    """Indices of maxima above ``least`` that no neighbour within ``apart`` steps exceeds."""
    from scipy.ndimage import maximum_filter1d

    highest = maximum_filter1d(curve, 2 * apart + 1, mode="nearest")
    return np.flatnonzero((curve >= highest) & (curve > least))
