"""What is a take, before anything is said about its notes?  One channel of samples, within bounds.

Nothing a file says about its own length is believed: it is read a block at a time, brought to the
rate at which all listening is done, and reading stops where a take is too long.
"""

from __future__ import annotations

import io
import os
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, BinaryIO

import numpy as np
import numpy.typing as npt

from lickwright.errors import Spot
from lickwright.files import is_plain_file
from lickwright.take.errors import TakeError
from lickwright.take.listening.decode import open_sound
from lickwright.take.listening.resampling import Resampler
from lickwright.take.listening.track import Store, TakeSamples

Samples = npt.NDArray[np.float32]

#: All listening is done at this rate: the highest partials of use lie below 6 kHz.
RATE_HZ = 22_050

#: Bounds of what is read.
LONGEST_S = 10_800.0
SHORTEST_S = 0.25

#: Quieter than this all through (-80 dBFS) nothing was recorded.
_SILENCE = 1e-4
#: Driven into its limit, a wave is flat at its peak for so many samples, in so many moments.
_FLAT, _FLAT_SAMPLES, _FLAT_TIMES = 0.9995, 6, 3
_MOMENTS_A_SECOND = 100


@dataclass(frozen=True, slots=True)
class Recording:
    """One channel of a take.

    Parameters
    ----------
    track : the samples, at :data:`RATE_HZ`, their peak at 1 or about it.
    name : of the file, for what is said about it.
    rate_hz : of the file.
    clipped : whether the recording was driven into its limit.
    """

    track: TakeSamples
    name: str = "take"
    rate_hz: int = RATE_HZ
    clipped: bool = False

    @property
    def samples(self) -> Samples:
        """All of it at once, float32 ``(N,)``: as much memory as it is long."""
        return self.track.stretch(0, len(self.track))

    @property
    def length_s(self) -> float:
        """Seconds of sound."""
        return len(self.track) / RATE_HZ


def read_recording(path: str | os.PathLike[str]) -> Recording:
    """Read the sound of an audio or film file.

    Parameters
    ----------
    path : a WAV, FLAC, MP3, Ogg, M4A, MP4, MOV, WebM or MKV file of at most three hours.

    Raises
    ------
    TakeError
        In one sentence: no such file, no sound in it, damaged or cut off, too long or too short,
        silent, a rate or a number of channels that no take has.
    """
    path = Path(path)
    where = Spot(str(path))
    if os.path.exists(path) and not is_plain_file(path):
        raise TakeError("this is not a file", mend="Give an audio file", where=where)
    try:
        with open(path, "rb") as file:
            return _read(file, path.name)
    except TakeError as error:
        raise error.at(where) from error
    except OSError as error:
        raise TakeError(
            f"the file cannot be read: {error.strerror or error}",
            mend="Give an audio file that exists",
            where=where,
        ) from error


def read_audio(data: bytes, name: str = "take") -> Recording:
    """Read the bytes of an audio file; raises as :func:`read_recording`."""
    return _read(io.BytesIO(data), name)


def _read(file: BinaryIO, name: str) -> Recording:
    with open_sound(file) as sound:
        return _recording(sound.blocks(LONGEST_S), sound.rate_hz, name)


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
    return _recording([np.asarray(mono, np.float32)], rate_hz, name)


def _recording(blocks: Iterable[Samples], rate_hz: int, name: str) -> Recording:
    levels = _Levels(rate_hz)
    try:
        store = Store(_brought_down(blocks, rate_hz, levels))
    except OSError as error:
        raise TakeError(
            f"there is no room to work on the take: {error.strerror or error}",
            mend="Free some space where temporary files go",
        ) from error
    length = levels.count / rate_hz
    if length < SHORTEST_S:
        raise TakeError(
            f"the take lasts {length:.2f} s", mend=f"Give at least {SHORTEST_S} s of playing"
        )
    mean = levels.total / levels.count
    peak = max(levels.highest - mean, mean - levels.lowest)
    if peak < _SILENCE:
        raise TakeError(
            "the take is silent", mend="Check the input and its level, and record again"
        )
    return Recording(TakeSamples(store, mean, peak), name, rate_hz, levels.clipped)


def _brought_down(blocks: Iterable[Samples], rate_hz: int, levels: _Levels) -> Iterator[Samples]:
    """Blocks at the file's rate as blocks at ours, their levels noted on the way."""
    resampler = Resampler(rate_hz, RATE_HZ)
    for block in blocks:
        if len(block):
            levels.note(block)
            yield resampler.feed(block)
    yield resampler.finish()


class _Levels:
    """Mean, bounds and clipping of a stream, whatever blocks it comes in."""

    def __init__(self, rate_hz: int) -> None:
        self.count, self.total = 0, 0.0
        self.highest, self.lowest = -np.inf, np.inf
        self._moment = max(rate_hz // _MOMENTS_A_SECOND, 2 * _FLAT_SAMPLES)
        self._before: Samples = np.zeros(0, np.float32)
        #: The flattest moments so far: how high each lay, and when.
        self._flattest: dict[int, float] = {}

    def note(self, block: Samples) -> None:
        """Take the next samples of the stream."""
        from scipy.ndimage import minimum_filter1d

        self.highest = max(self.highest, float(block.max()))
        self.lowest = min(self.lowest, float(block.min()))
        self.total += float(block.sum(dtype=np.float64))
        around = np.abs(np.concatenate([self._before, block]))
        first = self.count - len(self._before)
        self.count += len(block)
        self._before = np.concatenate([self._before, block])[1 - _FLAT_SAMPLES :]
        if len(around) < _FLAT_SAMPLES:
            return
        half = _FLAT_SAMPLES // 2
        stays = minimum_filter1d(around, _FLAT_SAMPLES)[half : len(around) - half + 1]
        moments = (first + np.arange(len(stays))) // self._moment
        starts = np.flatnonzero(np.diff(moments, prepend=moments[0] - 1))
        highest = np.maximum.reduceat(stays, starts)
        for at in np.argsort(-highest, kind="stable")[:_FLAT_TIMES].tolist():
            moment = int(moments[starts[at]])
            known = self._flattest.get(moment, 0.0)
            self._flattest[moment] = max(known, float(highest[at]))
        kept = sorted(self._flattest.items(), key=lambda item: (-item[1], item[0]))
        self._flattest = dict(kept[:_FLAT_TIMES])

    @property
    def clipped(self) -> bool:
        """Whether the wave was flat at its peak time and again."""
        limit = _FLAT * max(self.highest, -self.lowest)
        return len(self._flattest) == _FLAT_TIMES and min(self._flattest.values()) >= limit
