"""Linear filters as impulse responses, applied block by block with the FFT.

Filters are given as analogue second-order sections, evaluated on the imaginary axis: what a
loudspeaker or pickup does, without the warping of a digital design.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import numpy as np
import numpy.typing as npt

from lickwright.score import SAMPLE_RATE

Samples = npt.NDArray[np.float32]
Response = npt.NDArray[np.complex128]
Section = Callable[[Response], Response]

_BLOCK = 1 << 16


def low_pass(corner_hz: float, q: float = 0.7071) -> Section:
    """A second-order low-pass section as a function of ``s = j f`` in Hz."""
    return lambda s: 1.0 / ((s / corner_hz) ** 2 + s / (corner_hz * q) + 1.0)


def high_pass(corner_hz: float, q: float = 0.7071) -> Section:
    """A second-order high-pass section."""
    return lambda s: (s / corner_hz) ** 2 / ((s / corner_hz) ** 2 + s / (corner_hz * q) + 1.0)


def bell(centre_hz: float, gain_db: float, q: float) -> Section:
    """A boost or cut around a frequency."""
    root = 10.0 ** (gain_db / 40.0)
    return lambda s: (
        ((s / centre_hz) ** 2 + s * (root / (centre_hz * q)) + 1.0)
        / ((s / centre_hz) ** 2 + s / (centre_hz * q * root) + 1.0)
    )


def impulse_response(sections: tuple[Section, ...], length: int = 4096) -> Samples:
    """The impulse response of a chain of sections, ``(length,)``."""
    size = 4 * length
    s = np.asarray(1j * np.fft.rfftfreq(size, 1.0 / SAMPLE_RATE), np.complex128)
    response = np.ones_like(s)
    for section in sections:
        response = response * section(s)
    taps = np.fft.irfft(response, size)[:length]
    fade = length // 4
    taps[-fade:] *= 0.5 + 0.5 * np.cos(np.pi * np.arange(fade) / fade)
    return taps.astype(np.float32)


def convolve(signal: Samples, taps: Samples) -> Samples:
    """``signal`` (N,) through one or more filters: taps (L,) gives (N,), taps (L, C) gives (N, C).

    The tail beyond the last sample is dropped: leave room for it.

    ``scipy.signal.oaconvolve`` does the same, but takes up to twice as long on an example through
    a room in single precision, longer in double, and moves four samples of five in their last bits.
    """
    columns = taps if taps.ndim == 2 else taps[:, None]
    size = _BLOCK if len(taps) <= _BLOCK // 2 else 1 << (2 * len(taps)).bit_length()
    response = np.fft.rfft(columns, size, axis=0).T
    out = np.zeros((columns.shape[1], len(signal)), np.float32)
    step = size - len(taps) + 1
    for start in range(0, len(signal), step):
        spectrum = np.fft.rfft(signal[start : start + step], size)
        for channel, filtered in enumerate(response):
            piece = np.fft.irfft(spectrum * filtered, size)
            room = out[channel, start : start + size]
            room += piece[: len(room)]
    return out.T.copy() if taps.ndim == 2 else out[0]


@cache
def room_response(seconds: float, dark_hz: float, seed: int) -> Samples:
    """A small room: two unlike tails of decaying noise, ``(length, 2)``.

    A steady tone in the band comes out about as strong as it went in.  Exponentially decaying
    Gaussian noise as a model of late reverberation: Moorer, "About This Reverberation Business",
    Computer Music Journal 3:2, 1979.
    """
    length = int(seconds * SAMPLE_RATE)
    noise = np.random.default_rng(seed).standard_normal((length, 2))
    time = np.arange(length) / SAMPLE_RATE
    noise *= (10.0 ** (-3.0 * time / seconds))[:, None]
    noise[: int(0.008 * SAMPLE_RATE)] = 0.0  # the nearest wall is a few metres off
    noise /= np.sqrt((noise**2).sum(axis=0))
    tone = impulse_response((high_pass(180.0), low_pass(dark_hz)), 2048)
    tails = [convolve(noise[:, c].astype(np.float32), tone) for c in range(2)]
    return np.stack(tails, axis=1)
