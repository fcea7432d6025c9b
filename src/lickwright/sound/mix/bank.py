"""The backing instruments: General MIDI through a sound bank.

One function, :func:`sound_midi`, turns a MIDI file into samples; another renderer could stand
behind it.
"""

from __future__ import annotations

import io
from functools import cache
from importlib.util import find_spec
from math import gcd
from pathlib import Path

import numpy as np
import numpy.typing as npt

from lickwright.errors import OutputError
from lickwright.score import SAMPLE_RATE
from lickwright.sound.one_thread import in_one_thread
from lickwright.sound.resample import resample

Samples = npt.NDArray[np.float32]

_BANK_PACKAGE, _BANK_FILE = "pretty_midi", "TimGM6mb.sf2"


def bank_path() -> Path:
    """Where the General MIDI bank lies; the package that ships it is not imported.

    Raises
    ------
    OutputError
        When the bank is missing.
    """
    spec = find_spec(_BANK_PACKAGE)
    if spec is not None and spec.origin is not None:
        path = Path(spec.origin).with_name(_BANK_FILE)
        if path.is_file():
            return path
    raise OutputError(
        f"the General MIDI sound bank {_BANK_FILE} is missing",
        mend=f"Install the Python package {_BANK_PACKAGE}, which ships it",
    )


@cache
def _bank() -> bytes:
    path = bank_path()
    try:
        return path.read_bytes()
    except OSError as error:
        raise OutputError(
            f"the General MIDI sound bank {path.name} cannot be read: {error.strerror}",
            mend=f"Install the Python package {_BANK_PACKAGE} again",
        ) from error


@in_one_thread
def sound_midi(midi: bytes) -> Samples:
    """The samples of a standard MIDI file, ``(samples, 2)`` at 44.1 kHz, from its first tick.

    Notes start on a grid of 64 samples, 1.5 ms, which is the renderer's own.

    Raises
    ------
    OutputError
        When the bank is missing or the renderer refuses the file.
    """
    import midirenderer
    import soundfile

    try:
        wave = midirenderer.render_wave_from(_bank(), midi)
        samples, rate = soundfile.read(io.BytesIO(wave), dtype="float32", always_2d=True)
    except (ValueError, RuntimeError) as error:
        raise OutputError(
            f"the backing could not be sounded: {error}", mend="Install midirenderer again"
        ) from error
    if rate == SAMPLE_RATE:
        return samples  # type: ignore[no-any-return]
    step = gcd(rate, SAMPLE_RATE)
    channels = [resample(c, SAMPLE_RATE // step, rate // step, taps=64) for c in samples.T]
    return np.stack(channels, axis=1)
