"""Sound out of any container.  FFmpeg's own writers make the files; nothing of ours does."""

from __future__ import annotations

import io
import random
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest
import soundfile

from lickwright.take.errors import TakeError
from lickwright.take.listening import recording as module
from lickwright.take.listening.decode import open_sound
from lickwright.take.listening.recording import RATE_HZ, read_audio, read_recording

SECONDS = 2.0
HZ = 440.0


def written(
    kind: str,
    codec: str | None,
    video: str | None = None,
    rate: int = 48_000,
    layout: str = "stereo",
    options: dict[str, str] | None = None,
) -> bytes:
    """A file with a tone and, where asked for, a film beside it."""
    file = io.BytesIO()
    with av.open(file, "w", format=kind, options=options or {}) as container:
        picture = None if video is None else container.add_stream(video, rate=30)
        sound = None if codec is None else container.add_stream(codec, rate=rate, layout=layout)
        if picture is not None:
            picture.width, picture.height, picture.pix_fmt = 64, 48, "yuv420p"
            for number in range(int(30 * SECONDS)):
                frame = av.VideoFrame.from_ndarray(
                    np.full((48, 64, 3), number, np.uint8), format="rgb24"
                )
                frame.pts, frame.time_base = number, Fraction(1, 30)
                container.mux(picture.encode(frame))
            container.mux(picture.encode())
        if sound is not None:
            time = np.arange(int(rate * SECONDS)) / rate
            tone = (0.5 * np.sin(2 * np.pi * HZ * time)).astype(np.float32)
            rows = np.stack([tone] * (2 if layout == "stereo" else 1))
            frame = av.AudioFrame.from_ndarray(rows, format="fltp", layout=layout)
            frame.sample_rate, frame.pts = rate, 0
            context = sound.codec_context
            cut = av.AudioResampler(context.format, layout, rate, context.frame_size or 1024)
            for piece in [*cut.resample(frame), *cut.resample(None)]:
                container.mux(sound.encode(piece))
            container.mux(sound.encode())
    return file.getvalue()


def turned(film: bytes) -> bytes:
    """The same film with its picture turned a quarter, as a telephone held upright writes it.

    Source of the matrix and its place: ISO/IEC 14496-12, 8.3.2, "Track Header Box".
    """
    at = film.index(b"tkhd") + 4 + 40
    numbers = (0, 0x10000, 0, -0x10000, 0, 0, 0, 0, 0x40000000)
    matrix = b"".join(number.to_bytes(4, "big", signed=True) for number in numbers)
    return film[:at] + matrix + film[at + len(matrix) :]


CONTAINERS = {
    "m4a": ("ipod", "aac"),
    "mp4": ("mp4", "aac", "libx264"),
    "mp4 in fragments": ("mp4", "aac"),
    "mov": ("mov", "aac", "libx264"),
    "mov with plain samples": ("mov", "pcm_s24le", None, 96_000),
    "webm": ("webm", "libopus", "libvpx"),
    "mkv": ("matroska", "flac", None, 48_000, "mono"),
    "ogg": ("ogg", "libopus"),
    "wav": ("wav", "pcm_s16le", None, 384_000),
    "wav of bytes": ("wav", "pcm_u8", None, 8_000),
    "wav of doubles": ("wav", "pcm_f64le"),
    "flac": ("flac", "flac", None, 192_000),
    "mp3": ("mp3", "mp3", None, 44_100),
    "aiff": ("aiff", "pcm_s16be"),
}


@pytest.fixture(scope="module")
def files() -> dict[str, bytes]:
    options = {"mp4 in fragments": {"movflags": "frag_keyframe+empty_moov"}}
    return {name: written(*how, options=options.get(name)) for name, how in CONTAINERS.items()}


def loudest_hz(samples: np.ndarray) -> float:
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples)), 1 << 17))
    return float(np.argmax(spectrum) * RATE_HZ / (1 << 17))


@pytest.mark.parametrize("name", CONTAINERS)
def test_every_container_gives_its_tone(name: str, files: dict[str, bytes], tmp_path: Path) -> None:
    path = tmp_path / "IMG 0001"  # told by its content
    path.write_bytes(files[name])
    read = read_recording(path)
    assert abs(read.length_s - SECONDS) < 0.07  # AAC and MP3 pad their ends
    assert abs(loudest_hz(read.samples) - HZ) < 0.3
    assert 0.99 < np.abs(read.samples).max() < 1.02


def test_a_film_that_was_taken_upright_gives_its_sound(files: dict[str, bytes]) -> None:
    film = turned(files["mov"])
    with av.open(io.BytesIO(film)) as container:
        frame = next(container.decode(video=0))
        assert frame.rotation in (90, -90)
    assert np.array_equal(read_audio(film).samples, read_audio(files["mov"]).samples)


def test_what_is_decoded_is_what_libsndfile_decodes(files: dict[str, bytes]) -> None:
    for name, tolerance in (("wav", 1e-7), ("flac", 1e-7), ("wav of bytes", 1e-7), ("mp3", 1e-3)):
        other, _ = soundfile.read(io.BytesIO(files[name]), dtype="float32", always_2d=True)
        with open_sound(io.BytesIO(files[name])) as sound:
            ours = np.concatenate(list(sound.blocks(60.0)))
        count = min(len(ours), len(other)) - (2000 if name == "mp3" else 0)
        assert abs(len(ours) - len(other)) <= 2500 * (name == "mp3")
        assert np.abs(ours[:count] - other.mean(axis=1)[:count]).max() < tolerance


def test_a_film_without_sound_is_told() -> None:
    with pytest.raises(TakeError, match="holds no sound track"):
        read_audio(written("mp4", None, "libx264"))


@pytest.mark.parametrize("name", sorted(set(CONTAINERS) - {"ogg"}))
def test_a_file_that_lost_its_second_half_is_told(name: str, files: dict[str, bytes]) -> None:
    """All but Ogg, which has no length: what is there of it is read."""
    data = files[name]
    with pytest.raises(TakeError, match=r"cut off|damaged") as caught:
        read_audio(data[: len(data) // 2])
    assert caught.value.mend


def test_a_protected_file_is_told(files: dict[str, bytes]) -> None:
    """A sound container like any other, its packets scrambled."""
    protected = bytearray(files["m4a"])
    at = protected.index(b"mdat") + 4
    protected[at : at + 20_000] = random.Random(2).randbytes(20_000)
    with pytest.raises(TakeError, match="damaged or protected") as caught:
        read_audio(bytes(protected))
    assert caught.value.mend


def test_a_coding_that_nobody_knows_is_told(files: dict[str, bytes]) -> None:
    assert b"A_FLAC" in files["mkv"]
    with pytest.raises(TakeError, match="coded in a way that cannot be read"):
        read_audio(files["mkv"].replace(b"A_FLAC", b"A_NONE"))


PLAY_LISTS = (
    b"#EXTM3U\n#EXT-X-TARGETDURATION:3\n#EXTINF:3,\n%s\n#EXT-X-ENDLIST\n",
    b"ffconcat version 1.0\nfile '%s'\n",
    b"v=0\no=- 0 0 IN IP4 127.0.0.1\ns=x\nc=IN IP4 127.0.0.1\nt=0 0\nm=audio 5004 RTP/AVP 0\n",
)


@pytest.mark.parametrize("text", PLAY_LISTS)
def test_no_file_makes_us_open_another(
    text: bytes, files: dict[str, bytes], tmp_path: Path
) -> None:
    other = tmp_path / "other.wav"
    other.write_bytes(files["wav"])
    data = text % bytes(other) if b"%s" in text else text
    for name in ("list.m3u8", "list.ffconcat", "list.sdp"):
        path = tmp_path / name
        path.write_bytes(data)
        with pytest.raises(TakeError, match="not audio"):
            read_recording(path)


def test_a_change_of_rate_on_the_way_is_told() -> None:
    # Two Ogg files, one after the other, are one Ogg file (RFC 3533, "chained").
    parts = written("ogg", "flac", rate=44_100), written("ogg", "flac", rate=32_000)
    with pytest.raises(TakeError, match="from 44100 to 32000"):
        read_audio(parts[0] + parts[1])


def damaged(data: bytes, draw: random.Random) -> bytes:
    changed = bytearray(data)
    for _ in range(draw.randint(1, 40)):
        changed[draw.randrange(len(changed))] = draw.randrange(256)
    return bytes(changed)


def test_decoders_keep_their_messages_to_themselves(
    files: dict[str, bytes], capfd: pytest.CaptureFixture[str]
) -> None:
    draw = random.Random(5)
    told = 0
    for _ in range(60):
        for name in ("mp3", "m4a", "flac", "ogg", "webm"):
            try:
                read_audio(damaged(files[name], draw))
            except TakeError:
                told += 1
    said = capfd.readouterr()
    assert (said.out, said.err) == ("", "")
    assert told > 60


def test_a_long_file_is_refused_before_it_is_read_whole(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "LONGEST_S", 3600.0)
    data = io.BytesIO()
    soundfile.write(data, np.zeros(8000, np.float32), 8000, format="FLAC")
    given: list[int] = []

    def endless(*_: object) -> Iterator[np.ndarray]:
        block = np.ones(8000 * 60, np.float32)
        while True:
            given.append(len(block))
            yield block

    monkeypatch.setattr("lickwright.take.listening.decode.SoundTrack._pieces", endless)
    with pytest.raises(TakeError, match="longer than 1 hour"):
        read_audio(data.getvalue())
    assert sum(given) <= 8000 * 61 * 60
