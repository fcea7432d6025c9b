"""Audio files as they come, whole and broken.  libsndfile writes the good ones."""

from __future__ import annotations

import io
import random
from contextlib import suppress
from pathlib import Path

import numpy as np
import pytest
import soundfile

from lickwright.errors import LickwrightError
from lickwright.take.errors import TakeError
from lickwright.take.listening import recording as module
from lickwright.take.listening.recording import RATE_HZ, read_audio, read_recording, recording_of

FORMATS = {"wav": "PCM_16", "flac": "PCM_16", "ogg": "VORBIS", "mp3": "MPEG_LAYER_III"}


def tone(rate: int, seconds: float = 0.6, hz: float = 440.0) -> np.ndarray:
    return 0.5 * np.sin(2 * np.pi * hz * np.arange(int(rate * seconds)) / rate)


def coded(samples: np.ndarray, rate: int, kind: str, subtype: str | None = None) -> bytes:
    buffer = io.BytesIO()
    soundfile.write(buffer, samples, rate, format=kind.upper(), subtype=subtype or FORMATS[kind])
    return buffer.getvalue()


def loudest_hz(samples: np.ndarray) -> float:
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples)), 1 << 17))
    return float(np.argmax(spectrum) * RATE_HZ / (1 << 17))


@pytest.mark.parametrize("kind", FORMATS)
def test_every_kind_of_file_gives_the_tone_that_was_written(kind: str, tmp_path: Path) -> None:
    path = tmp_path / f"take.{kind}"
    path.write_bytes(coded(tone(44100), 44100, kind))
    read = read_recording(path)
    assert abs(read.length_s - 0.6) < 0.06  # MP3 pads its ends
    assert abs(loudest_hz(read.samples) - 440.0) < 0.5
    assert read.rate_hz == 44100


@pytest.mark.parametrize("rate", [8000, 22050, 32000, 44101, 48000, 96000, 192000])
def test_any_usual_rate_keeps_pitch_and_length(rate: int) -> None:
    read = read_audio(coded(tone(rate), rate, "wav"))
    assert abs(read.length_s - 0.6) < 1e-3
    assert abs(loudest_hz(read.samples) - 440.0) < 0.5


def test_channels_are_mixed() -> None:
    stereo = np.stack([tone(44100), np.zeros(26460)], axis=1)
    assert abs(loudest_hz(read_audio(coded(stereo, 44100, "wav")).samples) - 440.0) < 0.5


def test_an_overdriven_recording_is_known() -> None:
    assert read_audio(coded(np.clip(4 * tone(44100), -1, 1), 44100, "wav")).clipped
    assert not read_audio(coded(tone(44100), 44100, "wav")).clipped


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"", "not audio"),
        (b"lesson: not a sound\n" * 40, "not audio"),
        (coded(tone(44100), 44100, "wav")[:30], "not audio"),
        (coded(tone(44100, 0.1), 44100, "wav"), "lasts 0.10 s"),
        (coded(np.zeros(30000), 44100, "wav"), "silent"),
        (coded(tone(4000), 4000, "wav"), "4000 samples a second"),
        (coded(np.stack([tone(44100)] * 17, axis=1), 44100, "wav"), "17 channels"),
        (coded(np.full(30000, np.nan), 44100, "wav", "FLOAT"), "not sound"),
    ],
)
def test_what_is_no_take_is_refused_in_one_sentence(data: bytes, what: str) -> None:
    with pytest.raises(TakeError, match=what) as caught:
        read_audio(data)
    assert caught.value.mend


def test_a_place_without_a_file_is_told(tmp_path: Path) -> None:
    for path in (tmp_path, tmp_path / "none.wav"):
        with pytest.raises(TakeError) as caught:
            read_recording(path)
        assert str(path) in str(caught.value)


def test_a_take_that_is_too_long_is_not_read_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "LONGEST_S", 2.0)
    with pytest.raises(TakeError, match="longer than"):
        read_audio(coded(tone(8000, 60.0), 8000, "wav"))


def test_samples_in_memory_are_taken_at_any_rate() -> None:
    read = recording_of(np.stack([tone(48000), tone(48000)], axis=1), 48000)
    assert len(read.samples) == pytest.approx(0.6 * RATE_HZ, abs=1)


def mutated(draw: random.Random, seeds: list[bytes]) -> bytes:
    """A good file with some bytes changed, most of them in its header; or cut, or doubled."""
    data = bytearray(draw.choice(seeds))
    for _ in range(draw.randint(1, 12)):
        at = draw.randrange(min(len(data), draw.choice((48, 128, len(data)))))
        data[at] = draw.choice((0, 1, 127, 128, 255, draw.randrange(256)))
    if draw.random() < 0.3:
        data = data[: draw.randrange(len(data))]
    if draw.random() < 0.1:
        data += data[: draw.randrange(len(data) + 1)]
    return bytes(data)


def test_broken_files_end_in_a_sentence_or_in_sound() -> None:
    short = tone(8000, 0.3)
    seeds = [coded(short, 8000, kind) for kind in FORMATS]
    draw = random.Random(8)
    for _ in range(1000):
        with suppress(LickwrightError):
            assert np.isfinite(read_audio(mutated(draw, seeds)).samples).all()
