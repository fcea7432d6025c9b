from __future__ import annotations

import struct
from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from lickwright.errors import OutputError
from lickwright.video.film import lesson_video, screen_of
from lickwright.video.frames.clock import Clock, Passage
from lickwright.video.frames.pixels import Album

F = Fraction
SMALL = (640, 360)
RATE = 44100
FPS = F(30)


def clicks(passage: Passage) -> np.ndarray:
    """Audio with a burst at the onset of every note, as long as the passage."""
    sound = np.zeros((round(passage.length_s * RATE), 2), np.float32)
    burst = 0.5 * np.sin(2 * np.pi * 1500 * np.arange(600) / RATE)
    for note in passage.score.lick.notes:
        at = round(passage.seconds(note.onset) * RATE)
        sound[at : at + 600] += burst[:, None]
    return sound


def as_long_as(passage: Passage, audio: np.ndarray) -> Passage:
    return Passage(
        passage.score, passage.tempo_bpm, passage.start_s, len(audio) / RATE, passage.triads
    )


def pictures(path: Path) -> list[tuple[float, np.ndarray]]:
    with av.open(str(path)) as film:
        return [(frame.time, frame.to_ndarray(format="rgb24")) for frame in film.decode(video=0)]


def heard(path: Path) -> tuple[float, np.ndarray]:
    """When the sound begins, and its samples, as a player would play them."""
    with av.open(str(path)) as film:
        frames = [(frame.time, frame.to_ndarray()) for frame in film.decode(audio=0)]
    return frames[0][0], np.concatenate([samples for _, samples in frames], axis=1)[0]


def boxes(path: Path) -> list[str]:
    """The top-level boxes of an MP4 file (ISO/IEC 14496-12, 4.2)."""
    data, at, found = path.read_bytes(), 0, []
    while at < len(data):
        size, kind = struct.unpack(">I4s", data[at : at + 8])
        found.append(kind.decode())
        at += size if size != 1 else struct.unpack(">Q", data[at + 8 : at + 16])[0]
    return found


def test_the_file_is_what_players_expect(quarters, passage_of, tmp_path):
    passage = passage_of(quarters(2), 110)
    audio = clicks(passage)
    passage = as_long_as(passage, audio)
    file = lesson_video([passage], audio, tmp_path / "film.mp4", size=SMALL, title="Trial")
    with av.open(str(file.path)) as film:
        video, sound = film.streams.video[0], film.streams.audio[0]
        assert video.codec_context.name == "h264"
        assert video.codec_context.pix_fmt == "yuv420p"
        assert video.average_rate == 30
        assert (video.width, video.height) == SMALL
        assert video.codec_context.colorspace == video.codec_context.color_primaries == 1
        assert sound.codec_context.name == "aac"
        assert sound.rate == RATE
        assert sound.codec_context.layout.name == "stereo"
        chapters = [chapter["metadata"]["title"] for chapter in film.chapters()]
        assert chapters == ["Count-in", "Bar 1", "Bar 2"]
        assert sum(1 for _ in film.decode(video=0)) == file.frames
    assert boxes(file.path).index("moov") < boxes(file.path).index("mdat")


@pytest.mark.parametrize("tempo", [71.3, 96.0])
def test_sound_and_picture_are_together_to_the_end(tempo, quarters, passage_of, reader, tmp_path):
    score = quarters(8)
    passage = passage_of(score, tempo)
    audio = clicks(passage)
    passage = as_long_as(passage, audio)
    path = lesson_video([passage], audio, tmp_path / "film.mp4", size=SMALL, card_s=1.0).path
    begins, samples = heard(path)
    shown = pictures(path)
    screen = screen_of(Clock(passage), Album(), SMALL)
    read = reader(screen.tab, screen.neck, 48)
    # The loudest 5 ms begin each burst: look back from every rise out of silence.
    loud = np.abs(samples) > 0.1
    starts = [i for i in np.nonzero(loud)[0] if not loud[max(0, i - 4000) : i].any()]
    assert len(starts) == len(score.lick.notes)
    for index in (0, 1, len(starts) // 2, len(starts) - 2, len(starts) - 1):
        sounds_s = begins + starts[index] / RATE
        place = score.lick.notes[index].position
        around = [pair for pair in shown if abs(pair[0] - sounds_s) < 0.25]
        lit_s = next(time for time, pixels in around if read.place(pixels, 0) == place)
        assert abs(lit_s - sounds_s) < float(1 / FPS), index
    assert abs((begins + len(samples) / RATE) - (shown[-1][0] + 1 / 30)) < 1 / 30 + 1024 / RATE


@pytest.mark.parametrize("index", [0, 2, 4])
def test_ten_times_the_lit_note_is_the_one_the_score_says(
    index, demo_passage, reader, ten_notes, tmp_path
):
    passage = demo_passage(index)
    audio = clicks(passage)
    passage = as_long_as(passage, audio)
    path = lesson_video([passage], audio, tmp_path / "film.mp4", size=SMALL, card_s=0.0).path
    shown = pictures(path)
    screen = screen_of(Clock(passage), Album(), SMALL)
    read = reader(screen.tab, screen.neck, 48)
    for note_index, frame in ten_notes(passage, FPS):
        note = passage.score.lick.notes[note_index]
        scene = screen.neck.scene_of[note_index]
        assert read.place(shown[frame][1], scene) == note.position
        page = screen.tab.page_at(shown[frame][0])
        onset = max(note.onset, screen.tab.pages[page].onset)
        assert read.column(shown[frame][1], page) == (note.position.string, onset)


def test_a_sequence_changes_with_its_audio(quarters, passage_of, reader, tmp_path):
    first, second = passage_of(quarters(1), 141, tail_s=0.37), passage_of(quarters(2), 163)
    sounds = [clicks(passage) for passage in (first, second)]
    passages = [as_long_as(*pair) for pair in zip((first, second), sounds, strict=True)]
    path = lesson_video(
        passages, np.concatenate(sounds), tmp_path / "film.mp4", size=SMALL, card_s=0.5
    ).path
    shown = pictures(path)
    offset_s = 0.5 + passages[0].length_s
    screen = screen_of(Clock(passages[1]), Album(), SMALL)
    read = reader(screen.tab, screen.neck, 48)
    last = passages[1].score.lick.notes[-1]
    middle_s = offset_s + passages[1].seconds((last.onset + last.end) / 2)
    assert read.place(shown[round(middle_s * 30)][1], 0) == last.position
    with av.open(str(path)) as film:
        titles = [chapter["metadata"]["title"] for chapter in film.chapters()]
    assert titles == ["Quarters, ♩ = 141", "Quarters, ♩ = 163"]


def test_the_same_score_gives_the_same_bytes(quarters, passage_of, tmp_path):
    passage = passage_of(quarters(1), 200)
    audio = clicks(passage)
    passage = as_long_as(passage, audio)
    first, second = (
        lesson_video([passage], audio, tmp_path / name, size=SMALL, card_s=0.2).path.read_bytes()
        for name in ("a.mp4", "b.mp4")
    )
    assert first == second


@pytest.mark.parametrize("shape", [(44100,), (44100, 1), (44100, 2)])
def test_audio_that_does_not_fit_is_refused(shape, quarters, passage_of, tmp_path):
    with pytest.raises(OutputError) as caught:
        lesson_video(
            [passage_of(quarters(1), 100)], np.zeros(shape, np.float32), tmp_path / "film.mp4"
        )
    assert caught.value.mend
    assert list(tmp_path.iterdir()) == []


def test_a_video_of_nothing_is_refused(tmp_path):
    with pytest.raises(OutputError):
        lesson_video([], np.zeros((10, 2), np.float32), tmp_path / "film.mp4")
