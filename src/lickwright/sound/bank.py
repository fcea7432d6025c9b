"""The backing instruments: General MIDI through a sound bank.

One function, :func:`sound_midi`, turns a MIDI file into samples; another renderer could stand
behind it.
"""

from __future__ import annotations

import io
from functools import cache
from importlib.util import find_spec
from pathlib import Path

import numpy as np
import numpy.typing as npt

from lickwright.errors import OutputError
from lickwright.sound.timeline import SAMPLE_RATE

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
    return resample(samples, rate)


def resample(samples: Samples, rate: int) -> Samples:
    """Samples ``(N, C)`` at ``rate`` brought to 44.1 kHz, band-limited, by the FFT."""
    if rate == SAMPLE_RATE:
        return samples
    step = int(np.gcd(rate, SAMPLE_RATE))
    down, up = rate // step, SAMPLE_RATE // step
    # whole periods of both rates, in a number the FFT divides well
    periods = _fast(-(-(len(samples) + rate // 10) // down))
    spectrum = np.fft.rfft(samples, periods * down, axis=0)
    kept = spectrum[: periods * up // 2 + 1] if up < down else spectrum
    wave = np.fft.irfft(kept, periods * up, axis=0) * (up / down)
    return wave[: -(-len(samples) * up // down)].astype(np.float32)


def _fast(least: int) -> int:
    """The next number without prime factors above 3, even."""
    best = 2
    while best < least:
        best *= 2
    if best * 3 // 4 >= least:
        return best * 3 // 4
    return best
