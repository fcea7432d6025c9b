from __future__ import annotations

import io
import zipfile
import zlib

import numpy as np
import pyloudnorm
import pytest
import scipy.signal
import soundfile

from lickwright.errors import OutputError
from lickwright.sound.mix.files import audio_file, decode, encode, stems_zip
from lickwright.sound.mix.ogg import with_serial
from lickwright.sound.mix.rendering import render

RATE = 44100
KINDS = ["wav", "flac", "ogg", "mp3"]


@pytest.fixture(scope="module")
def mix():
    from .conftest import make_score

    return render(make_score(), 112)


@pytest.mark.parametrize("kind", KINDS)
def test_a_file_is_at_its_loudness_and_under_its_ceiling(mix, kind):
    file = audio_file(mix, kind)
    wave, rate = soundfile.read(io.BytesIO(file.data), always_2d=True)
    assert rate == RATE
    assert wave.shape[1] == 2
    assert len(wave) / RATE == pytest.approx(file.seconds, abs=0.06)  # MP3 pads its frames
    measured = pyloudnorm.Meter(RATE).integrated_loudness(wave)
    assert measured == pytest.approx(-16.0, abs=0.25 if kind in ("ogg", "mp3") else 0.05)
    assert file.loudness_lufs == pytest.approx(measured, abs=0.05)
    peak = 20 * np.log10(np.abs(scipy.signal.resample_poly(wave, 4, 1, axis=0)).max())
    assert peak < -1.0
    assert file.true_peak_dbtp == pytest.approx(peak, abs=0.1)


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_samples_give_the_same_bytes(mix, kind):
    assert encode(mix, kind) == encode(mix, kind)


@pytest.mark.parametrize("kind", ["wav", "flac"])
def test_lossless_files_give_the_samples_back(mix, kind):
    assert np.abs(decode(encode(mix, kind)) - mix).max() < 1 / 32768


def test_a_lossy_file_of_loud_noise_stays_under_the_ceiling():
    noise = np.random.default_rng(2).standard_normal((2 * RATE, 2)).astype(np.float32)
    file = audio_file(noise, "ogg", target_lufs=-8.0)
    peak = np.abs(scipy.signal.resample_poly(decode(file.data), 4, 1, axis=0)).max()
    assert 20 * np.log10(peak) < -0.9


def test_an_ogg_page_keeps_a_checksum_that_other_writers_agree_on(mix):
    # libogg wrote the checksums (RFC 3533): putting its own serial number back changes nothing.
    buffer = io.BytesIO()
    soundfile.write(buffer, mix[:RATE], RATE, format="OGG", subtype="VORBIS")
    data = buffer.getvalue()
    serial = int.from_bytes(data[14:18], "little")
    assert with_serial(data, serial) == data
    assert with_serial(with_serial(data, 7), serial) == data


@pytest.mark.parametrize("data", [b"RIFF" + bytes(60), b"OggS"])
def test_other_bytes_are_not_taken_for_ogg(data):
    with pytest.raises(ValueError, match="Ogg"):
        with_serial(data, 1)


def test_an_unknown_kind_is_refused(mix):
    with pytest.raises(OutputError, match="'aiff' is not a kind of audio file"):
        encode(mix, "aiff")


def test_a_zip_holds_its_files_and_is_the_same_each_time():
    stems = {"lead.wav": b"lead", "backing.wav": b"backing"}
    data = stems_zip(stems)
    assert data == stems_zip(dict(stems))
    with zipfile.ZipFile(io.BytesIO(data)) as archive:
        assert archive.testzip() is None
        assert {name: archive.read(name) for name in archive.namelist()} == stems
        assert zlib.crc32(b"lead") == archive.infolist()[0].CRC
