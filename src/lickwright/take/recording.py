"""What does an audio file hold?  One channel of samples, read within bounds.

WAV, FLAC, MP3 and Ogg are told by their content, not by their name.  Nothing a file says about
its own length is believed: it is read in pieces, and reading stops where a take is too long.
"""

from __future__ import annotations

import io
import os
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

from lickwright.errors import Spot
from lickwright.take.errors import TakeError

Samples = npt.NDArray[np.float32]

#: All listening is done at this rate: the highest partials of use lie below 6 kHz.
RATE_HZ = 22_050

#: Bounds of what is read.  A take of an example lasts seconds to a few minutes.
LONGEST_S = 600.0
SHORTEST_S = 0.25
MOST_BYTES = 512_000_000
MOST_CHANNELS = 16
RATES_HZ = (8_000, 384_000)

_CONTAINERS = frozenset({"WAV", "WAVEX", "RF64", "W64", "FLAC", "OGG", "MP3", "MPEG"})
_BLOCK = 65_536
_FINEST_RATIO = 4000
#: Quieter than this all through (-80 dBFS) nothing was recorded.
_SILENCE = 1e-4
#: Driven into its limit, a wave is flat at its peak for so many samples, so many times.
_FLAT, _FLAT_SAMPLES, _FLAT_TIMES = 0.9995, 6, 3


@dataclass(frozen=True, slots=True)
class Recording:
    """One channel of a take.

    Parameters
    ----------
    samples : float32 ``(N,)`` at :data:`RATE_HZ`, its peak at 1 or below.
    name : of the file, for what is said about it.
    rate_hz : of the file.
    clipped : whether the recording was driven into its limit.
    """

    samples: Samples
    name: str = "take"
    rate_hz: int = RATE_HZ
    clipped: bool = False

    @property
    def length_s(self) -> float:
        """Seconds of sound."""
        return len(self.samples) / RATE_HZ


def read_recording(path: str | os.PathLike[str]) -> Recording:
    """Read an audio file.

    Parameters
    ----------
    path : a WAV, FLAC, MP3 or Ogg file of at most ten minutes.

    Raises
    ------
    TakeError
        In one sentence: no such file, no audio, too long or too short, silent, a rate or a number
        of channels that no take has.
    """
    path = Path(path)
    where = Spot(str(path))
    try:
        size = path.stat().st_size
        if not path.is_file():
            raise TakeError("this is not a file", mend="Give an audio file", where=where)
        if size > MOST_BYTES:
            raise TakeError(
                f"the file has {size / 1e6:.0f} MB",
                mend=f"Give a take of at most {MOST_BYTES / 1e6:.0f} MB",
                where=where,
            )
        data = path.read_bytes()
    except OSError as error:
        raise TakeError(
            f"the file cannot be read: {error.strerror or error}",
            mend="Give an audio file that exists",
            where=where,
        ) from error
    try:
        return read_audio(data, path.name)
    except TakeError as error:
        raise error.at(where) from error


def read_audio(data: bytes, name: str = "take") -> Recording:
    """Read the bytes of an audio file; raises as :func:`read_recording`."""
    import soundfile

    try:
        with soundfile.SoundFile(io.BytesIO(data)) as file:
            _check_format(file)
            rate = int(file.samplerate)
            samples = _read_mono(file, int(LONGEST_S * rate))
    except (soundfile.SoundFileError, RuntimeError, ValueError, TypeError, OSError) as error:
        raise TakeError(
            "the file is not audio that can be read, or is damaged",
            mend="Give a WAV, FLAC, MP3 or Ogg file",
        ) from error
    if not np.isfinite(samples).all():
        raise TakeError("the file holds values that are not sound", mend="Export the take again")
    return recording_of(samples, rate, name)


def recording_of(
    samples: npt.NDArray[np.floating[Any]], rate_hz: int, name: str = "take"
) -> Recording:
    """Samples ``(N,)`` or ``(N, channels)`` at any rate as a recording.

    Raises
    ------
    TakeError
        Where they are too few, or silent.
    """
    mono = samples if samples.ndim == 1 else samples.mean(axis=1)
    mono = np.asarray(mono, np.float32)
    length = len(mono) / rate_hz
    if length < SHORTEST_S:
        raise TakeError(
            f"the take lasts {length:.2f} s", mend=f"Give at least {SHORTEST_S} s of playing"
        )
    mono = mono - np.float32(mono.mean(dtype=np.float64))
    peak = float(np.abs(mono).max())
    if peak < _SILENCE:
        raise TakeError(
            "the take is silent", mend="Check the input and its level, and record again"
        )
    clipped = _clipped(mono, peak)
    return Recording(_resampled(mono / np.float32(peak), rate_hz), name, rate_hz, clipped)


def _clipped(samples: Samples, peak: float) -> bool:
    at_limit = np.abs(samples) >= _FLAT * peak
    runs = np.convolve(at_limit, np.ones(_FLAT_SAMPLES, np.int64), "valid") == _FLAT_SAMPLES
    return int(np.sum(runs[1:] & ~runs[:-1])) >= _FLAT_TIMES


def _check_format(file: Any) -> None:
    if file.format not in _CONTAINERS:
        raise TakeError(
            f"the file is {file.format} audio", mend="Give a WAV, FLAC, MP3 or Ogg file"
        )
    if not RATES_HZ[0] <= file.samplerate <= RATES_HZ[1]:
        raise TakeError(
            f"the file claims {file.samplerate} samples a second",
            mend=f"Give audio of {RATES_HZ[0]} to {RATES_HZ[1]} samples a second",
        )
    if not 1 <= file.channels <= MOST_CHANNELS:
        raise TakeError(
            f"the file has {file.channels} channels", mend=f"Give 1 to {MOST_CHANNELS} channels"
        )


def _read_mono(file: Any, most: int) -> Samples:
    """The mean of all channels, read in pieces until the end or the bound."""
    pieces: list[Samples] = []
    count = 0
    while True:
        block = file.read(_BLOCK, dtype="float32", always_2d=True)
        if not len(block):
            break
        count += len(block)
        if count > most:
            raise TakeError(
                f"the take is longer than {LONGEST_S / 60:.0f} minutes",
                mend="Cut it down to the example",
            )
        with np.errstate(over="ignore", invalid="ignore"):
            pieces.append(block.mean(axis=1))
    return np.concatenate(pieces) if pieces else np.zeros(0, np.float32)


def _resampled(samples: Samples, rate_hz: int) -> Samples:
    if rate_hz == RATE_HZ:
        return samples
    from scipy.signal import resample_poly

    # Odd rates go by the nearest simple ratio: off by a millionth, which nobody hears.
    ratio = Fraction(RATE_HZ, rate_hz).limit_denominator(_FINEST_RATIO)
    out = resample_poly(samples, ratio.numerator, ratio.denominator)
    return np.asarray(out, np.float32)
