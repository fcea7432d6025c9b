"""Samples as audio files at the loudness of a lesson, and what was measured in them."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from lickwright.errors import OutputError
from lickwright.score import SAMPLE_RATE
from lickwright.sound.mix.levels import (
    CEILING_DBTP,
    TARGET_LUFS,
    Levelled,
    gained,
    level,
    loudness,
    true_peak,
)
from lickwright.sound.mix.ogg import with_serial

Samples = npt.NDArray[np.float32]
AudioKind = Literal["wav", "flac", "ogg", "mp3"]

#: Per kind, the container and coding that libsndfile knows it by.
_CODINGS: dict[str, tuple[str, str]] = {
    "wav": ("WAV", "PCM_16"),
    "flac": ("FLAC", "PCM_16"),
    "ogg": ("OGG", "VORBIS"),
    "mp3": ("MP3", "MPEG_LAYER_III"),
}
_LOSSY = ("ogg", "mp3")
# A lossy file may be this far from its loudness, and is kept this far under its ceiling when it
# has to be coded anew.
_LOSSY_LOUDNESS_LU, _LOSSY_MARGIN_DB = 0.2, 0.1


@dataclass(frozen=True, slots=True)
class AudioFile:
    """The bytes of an audio file and what was measured in it, as a listener decodes it.

    Parameters
    ----------
    loudness_lufs : integrated loudness, ``-inf`` for silence.
    true_peak_dbtp : true peak, ``-inf`` for silence.
    """

    data: bytes
    kind: AudioKind
    seconds: float
    loudness_lufs: float
    true_peak_dbtp: float


def audio_file(
    samples: Samples,
    kind: AudioKind = "wav",
    *,
    target_lufs: float = TARGET_LUFS,
    ceiling_dbtp: float = CEILING_DBTP,
) -> AudioFile:
    """Samples ``(N, 2)`` at 44.1 kHz as a file at the target loudness.

    A lossy coding moves peaks and may lose loudness: such a file is decoded again, and if need be
    coded anew with what is missing given back, as far as the ceiling allows.

    Raises
    ------
    OutputError
        When this kind of file cannot be written here.
    """
    levelled = level(samples, target_lufs, ceiling_dbtp)
    return levelled_file(levelled, kind, target_lufs=target_lufs, ceiling_dbtp=ceiling_dbtp)


def levelled_file(
    levelled: Levelled,
    kind: AudioKind = "wav",
    *,
    target_lufs: float = TARGET_LUFS,
    ceiling_dbtp: float = CEILING_DBTP,
) -> AudioFile:
    """:func:`audio_file` of samples that :func:`level` gave for the same loudness and ceiling."""
    seconds = len(levelled.samples) / SAMPLE_RATE
    if kind not in _LOSSY:
        data = encode(levelled.samples, kind)
        return AudioFile(data, kind, seconds, levelled.loudness_lufs, levelled.true_peak_dbtp)
    file = _lossy(levelled.samples, kind)
    if file.loudness_lufs > -np.inf:
        wanted = target_lufs - file.loudness_lufs
        allowed = ceiling_dbtp - _LOSSY_MARGIN_DB - file.true_peak_dbtp
        change_db = min(wanted, allowed)
        if abs(wanted) > _LOSSY_LOUDNESS_LU or file.true_peak_dbtp > ceiling_dbtp:
            file = _lossy(gained(levelled.samples, change_db), kind)
    return file


def _lossy(samples: Samples, kind: AudioKind) -> AudioFile:
    """Samples coded, and measured as they sound when they are decoded again."""
    data = encode(samples, kind)
    heard = decode(data)
    return AudioFile(data, kind, len(samples) / SAMPLE_RATE, loudness(heard), true_peak(heard))


def encode(samples: Samples, kind: AudioKind) -> bytes:
    """Samples as the bytes of a file, as they are."""
    import soundfile

    if kind not in _CODINGS:
        raise OutputError(
            f"'{kind}' is not a kind of audio file", mend=f"Use one of: {', '.join(_CODINGS)}"
        )
    container, coding = _CODINGS[kind]
    buffer = io.BytesIO()
    try:
        soundfile.write(buffer, samples, SAMPLE_RATE, format=container, subtype=coding)
    except (soundfile.LibsndfileError, ValueError) as error:
        raise OutputError(
            f"{kind} audio could not be written: {error}", mend="Use wav or flac"
        ) from error
    data = buffer.getvalue()
    return with_serial(data, 1) if kind == "ogg" else data


def decode(data: bytes) -> Samples:
    """The samples ``(N, C)`` of an audio file's bytes."""
    import soundfile

    samples, _ = soundfile.read(io.BytesIO(data), dtype="float32", always_2d=True)
    result: Samples = samples
    return result


def stems_zip(stems: Mapping[str, bytes]) -> bytes:
    """Files by name in one zip, stored as they are, without dates."""
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_STORED) as archive:
        for name, data in stems.items():
            archive.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), data)
    return buffer.getvalue()
