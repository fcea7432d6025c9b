"""A finished film of a recording: its frames, its sound and its captions follow the player."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import av
import numpy as np
import pytest

from lickwright.errors import OutputError
from lickwright.lesson.compile import Workshop
from lickwright.lesson.file import load_lesson
from lickwright.score import Score
from lickwright.video import (
    FootageFacts,
    Shot,
    facts_of,
    film_chapters,
    followed_captions,
    followed_film,
    frame_rate,
    has_picture,
    layout_of,
    shot_frames,
)
from lickwright.video.footage import Footage, _brought, sound_between
from lickwright.video.frames import Clock, Passage

F = Fraction
RATE = 48_000


@pytest.fixture(scope="module")
def score() -> Score:
    lesson = load_lesson(Path(__file__).parents[1] / "take" / "session.yaml")
    return Workshop(lesson).worked(0).score


def write_camera(
    path: Path, *, size: tuple[int, int] = (320, 180), seconds: float = 6.0, even: bool = False
) -> list[float]:
    """A film whose brightness says how late it is: 40 + 20 a second; time stamps as uneven as a
    telephone's.  A click sounds at every whole second.  Returns the time stamps."""
    draw = np.random.default_rng(4)
    stamps: list[float] = []
    with av.open(str(path), "w") as out:
        video = out.add_stream("libx264", rate=30, options={"preset": "ultrafast", "crf": "10"})
        video.width, video.height = size
        video.pix_fmt = "yuv420p"
        video.codec_context.time_base = video.time_base = Fraction(1, 1000)
        audio = out.add_stream("aac", rate=RATE)
        audio.layout, audio.format = "mono", "fltp"
        at = 0.0
        while at < seconds:
            grey = np.full((size[1], size[0], 3), round(40 + 20 * at), np.uint8)
            grey[: size[1] // 4, : size[0] // 4] = (200, 30, 30)
            frame = av.VideoFrame.from_ndarray(grey, "rgb24")
            frame.pts, frame.time_base = round(at * 1000), Fraction(1, 1000)
            stamps.append(round(at * 1000) / 1000)
            out.mux(video.encode(frame))
            at += 1 / 30 if even else float(draw.choice([1 / 30, 1 / 60, 1 / 12]))
        out.mux(video.encode())
        wave = np.zeros(int(seconds * RATE), np.float32)
        for second in range(int(seconds)):
            wave[second * RATE : second * RATE + 400] = np.sin(np.arange(400) * 0.3)
        for first in range(0, len(wave), 1024):
            piece = av.AudioFrame.from_ndarray(
                wave[None, first : first + 1024].copy(), "fltp", "mono"
            )
            piece.sample_rate, piece.pts, piece.time_base = RATE, first, Fraction(1, RATE)
            out.mux(audio.encode(piece))
        out.mux(audio.encode())
    return stamps


@pytest.fixture(scope="module")
def camera(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, list[float]]:
    path = tmp_path_factory.mktemp("camera") / "cam.mp4"
    return path, write_camera(path)


def followed(score: Score, length_s: float, scale: float = 1.0) -> Passage:
    """The first notes at 0.5 s and then one every 0.2 s, the tenth late by a tenth."""
    onsets = [note.onset for note in score.lick.notes[:20]]
    times = [0.5 + scale * 0.2 * n + (0.1 * scale if n == 10 else 0.0) for n in range(20)]
    silent = frozenset({4, *range(20, len(score.lick.notes))})
    moments = tuple((o, t) for n, (o, t) in enumerate(zip(onsets, times, strict=True)) if n != 4)
    return Passage(score, 75.0, 0.5, length_s, (), moments, silent)


def test_a_clock_that_follows_lights_each_note_when_it_sounded(score: Score) -> None:
    passage = followed(score, 6.0)
    clock = Clock(passage)
    assert clock.note_at(0.45) is None
    for index, (_, at) in zip((n for n in range(20) if n != 4), passage.moments, strict=True):
        assert clock.note_at(at + 0.001) == index
    assert clock.note_at(0.5 + 0.2 * 4 + 0.05) is None  # it was not played
    assert clock.note_at(5.5) is None  # beyond what was played
    assert all(beat.bar is not None for beat in clock.beats)
    for onset, at in passage.moments:
        assert passage.seconds(onset) == pytest.approx(at)
        assert passage.quarters(at) == pytest.approx(float(onset))


def test_moments_that_do_not_rise_are_refused(score: Score) -> None:
    with pytest.raises(OutputError, match="do not rise"):
        Passage(score, 60.0, 0.0, 5.0, (), ((F(0), 1.0), (F(1), 1.0)))


def test_footage_shows_the_last_picture_that_began(camera: tuple[Path, list[float]]) -> None:
    path, stamps = camera
    with av.open(str(path)) as film:
        pictures = [_brought(frame, (160, 90))[0] for frame in film.decode(video=0)]
    assert len(pictures) == len(stamps)
    with Footage(path, (160, 90)) as footage:
        for at in [*np.arange(0.05, 5.5, 0.0417), 1.0, 4.2]:
            luma, blue, _ = footage.at(float(at))
            assert luma.shape == (90, 160)
            assert blue.shape == (45, 80)
            began = max(number for number, stamp in enumerate(stamps) if stamp <= at)
            assert np.array_equal(luma, pictures[began])
            shown = (float(luma[70:].mean()) - 16) * 255 / 219
            assert shown == pytest.approx(40 + 20 * stamps[began], abs=2.5)


@pytest.mark.parametrize("turn", [90, 180, 270])
def test_footage_is_the_right_way_up(tmp_path: Path, turn: int) -> None:
    path, turned = tmp_path / "a.mp4", tmp_path / "b.mp4"
    write_camera(path, seconds=1.0, even=True)
    with av.open(str(path)) as source, av.open(str(turned), "w") as out:
        stream = out.add_stream_from_template(source.streams.video[0])
        for packet in source.demux(source.streams.video[0]):
            if packet.dts is not None:
                packet.stream = stream
                out.mux(packet)
    data = turned.read_bytes()
    # ISO/IEC 14496-12, 8.3.2: the matrix of the track header, 16.16 fixed; 2.30 in the last column.
    unit, zero = (1 << 16).to_bytes(4, "big"), bytes(4)
    minus, last = (-(1 << 16)).to_bytes(4, "big", signed=True), (1 << 30).to_bytes(4, "big")
    plain = unit + zero * 3 + unit + zero * 3 + last
    matrices = {
        90: zero + unit + zero + minus + zero * 4 + last,
        180: minus + zero * 3 + minus + zero * 3 + last,
        270: zero + minus + zero + unit + zero * 4 + last,
    }
    at = data.index(plain, data.index(b"tkhd"))
    turned.write_bytes(data[:at] + matrices[turn] + data[at + 36 :])
    facts = facts_of(turned)
    upright = turn % 180 != 0
    assert (facts.width, facts.height) == ((180, 320) if upright else (320, 180))
    with Footage(turned, (90, 160) if upright else (160, 90)) as footage:
        _, _, red = footage.at(0.5)
    # A matrix of 90 turns the picture clockwise: the red corner goes from top left to top right.
    high, wide = red.shape
    corners = {
        90: red[: high // 5, -wide // 5 :],
        180: red[-high // 5 :, -wide // 5 :],
        270: red[-high // 5 :, : wide // 5],
    }
    assert corners[turn].mean() > 170
    assert np.median(red) < 140


def test_the_film_keeps_its_rate_its_tags_and_its_sound_in_time(
    camera: tuple[Path, list[float]], score: Score, tmp_path: Path
) -> None:
    path, stamps = camera
    shots = [
        Shot(path, 1.0, 2.5, followed(score, 2.5, 0.4), "The pair"),
        Shot(path, 4.0, 1.0, None, "Between"),
    ]
    out = tmp_path / "film.mp4"
    made = followed_film(shots, out, fps=frame_rate(29.97), title="Tide")
    assert made.fps == F(30000, 1001)
    assert [p.name for p in tmp_path.iterdir()] == ["film.mp4"]
    layout = layout_of("16:9", facts_of(path))
    box = layout.footage
    with av.open(str(out)) as film:
        video = film.streams.video[0]
        assert video.average_rate == F(30000, 1001)
        assert (video.width, video.height) == (1920, 1080)
        context = video.codec_context
        assert (context.colorspace, context.color_primaries, context.color_trc) == (1, 1, 1)
        assert [chapter["metadata"]["title"] for chapter in film.chapters()] == [
            "The pair",
            "Between",
        ]
        frames = [frame.to_ndarray(format="gray") for frame in film.decode(video)]
        assert len(frames) == sum(shot_frames(shots, made.fps)) == 105
    with av.open(str(out)) as film:
        wave = np.concatenate([f.to_ndarray() for f in film.decode(audio=0)], axis=1)[0]
    for number in (3, 20, 50, 74):
        at = 1.0 + (number + 0.5) / float(made.fps)
        began = max(stamp for stamp in stamps if stamp <= at)
        shown = frames[number][box.top + 300 : box.bottom - 8, box.left + 8 : box.right - 8].mean()
        assert shown == pytest.approx(40 + 20 * began, abs=2.0)
    whole = frames[90][500:1000, 200:1700].mean()  # talk fills the screen
    assert whole == pytest.approx(40 + 20 * 4.5, abs=2.5)
    # Clicks at 1, 2, 3 s of the recording; at 4 and 5 s of it: 75 frames after the beginning.
    cut = 75 / float(made.fps)
    loud = np.flatnonzero(np.abs(wave) > 0.3)
    begins = loud[np.flatnonzero(np.diff(loud, prepend=-RATE) > RATE // 4)] / RATE
    assert begins == pytest.approx([0.0, 1.0, 2.0, cut, cut + 1.0], abs=0.004)


def test_what_is_lit_is_what_sounds(
    camera: tuple[Path, list[float]], score: Score, tmp_path: Path
) -> None:
    """From sounded onset to lit note: under one frame, over all notes of a film."""
    path, _ = camera
    passage = followed(score, 5.5)
    out = tmp_path / "film.mp4"
    made = followed_film([Shot(path, 0.0, 5.5, passage, "The pair")], out, fps=30)
    layout = layout_of("16:9", facts_of(path))
    box = layout.now
    with av.open(str(out)) as film:
        shown = [
            frame.to_ndarray(format="rgb24")[box.top : box.bottom, box.left : box.right]
            for frame in film.decode(video=0)
        ]
    changed = [
        number / float(made.fps)
        for number in range(1, len(shown))
        if np.abs(shown[number].astype(int) - shown[number - 1]).max() > 60
    ]
    late = [min(abs(at - time) for time in changed) for _, at in passage.moments]
    assert np.percentile(late, 95) <= 1 / 30


def test_a_film_that_was_stopped_goes_on(
    camera: tuple[Path, list[float]], score: Score, tmp_path: Path
) -> None:
    path, _ = camera
    shots = [Shot(path, float(n), 0.5, None, f"part {n}") for n in range(3)]
    out = tmp_path / "film.mp4"

    def stop(done: int, count: int, name: str) -> None:
        if done == 2:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        followed_film(shots, out, shape="9:16", tell=stop)
    assert not out.exists()
    parts = sorted((tmp_path / ".film.mp4.shots").iterdir())
    assert len(parts) == 2
    stamps = [part.stat().st_mtime_ns for part in parts]
    seen: list[int] = []

    def look(done: int, count: int, name: str) -> None:
        seen.append(done)
        if done == 2:
            assert [part.stat().st_mtime_ns for part in parts] == stamps

    followed_film(shots, out, shape="9:16", tell=look)
    again = tmp_path / "again.mp4"
    followed_film(shots, again, shape="9:16")
    assert seen == [0, 1, 2]
    assert out.read_bytes() == again.read_bytes()


@pytest.mark.parametrize("shape", ["16:9", "9:16"])
@pytest.mark.parametrize("size", [(1920, 1080), (1080, 1920), (640, 480)])
def test_nothing_covers_anything(shape: str, size: tuple[int, int]) -> None:
    layout = layout_of(shape, FootageFacts(*size, F(30), 1.0))
    boxes = [layout.now, layout.tab, layout.neck, layout.title, layout.footage]
    for number, box in enumerate(boxes):
        assert not any(box.meets(other) for other in boxes[number + 1 :])
    width, height = layout.size
    for box in boxes[:4]:  # 90 % of the screen is safe for words
        assert box.left >= 0.05 * width - 1
        assert box.right <= 0.95 * width + 1
        assert box.top >= 0.05 * height - 1
        assert box.bottom <= 0.95 * height + 1
    footage = layout.footage
    share = (footage.right - footage.left) / (footage.bottom - footage.top)
    assert share == pytest.approx(size[0] / size[1], rel=0.01)
    assert footage.bottom <= height
    words = dict(setting.split(":") for setting in layout.captions.split())
    if shape == "9:16":
        assert float(words["line"].rstrip("%")) / 100 * height >= footage.bottom - 1
    elif "position" in words:
        assert float(words["position"].split("%")[0]) / 100 * width >= footage.right


def test_captions_stand_where_they_are_told_and_name_only_what_was_played(score: Score) -> None:
    passage = followed(score, 6.0)
    text = followed_captions([(10.0, passage)], "line:90%")
    lines = [line for line in text.splitlines() if "-->" in line]
    assert lines[0].startswith("00:00:10.500 --> ")
    assert all(line.endswith(" line:90%") for line in lines)
    bars = [bar for bar in score.bars if bar.onset <= score.lick.notes[19].onset]
    assert len(lines) == len(bars)


def test_chapters_begin_where_the_film_begins_and_leave_no_gap() -> None:
    shots = [Shot(Path("a"), 9.0, 1.01, None, n) for n in ("one", "one", "two")]
    marks = film_chapters(shots, 30)
    assert [(m.start_s, m.title) for m in marks] == [(0.0, "one"), (2.0, "two")]
    assert marks[-1].end_s == 3.0


@pytest.mark.parametrize(
    ("told", "rate"),
    [(23.976, F(24000, 1001)), ("29.97", F(30000, 1001)), (25, F(25)), (59.94, F(60000, 1001))],
)
def test_rates_of_the_trade(told: float | str, rate: Fraction) -> None:
    assert frame_rate(told) == rate


@pytest.mark.parametrize("told", [12, 61, "fast", 0])
def test_other_rates_are_refused(told: float | str) -> None:
    with pytest.raises(OutputError, match="frames a second"):
        frame_rate(told)


def test_what_is_no_film_is_told_in_a_sentence(tmp_path: Path, score: Score) -> None:
    path = tmp_path / "words.mp4"
    path.write_text("no film")
    with pytest.raises(OutputError, match="cannot be read"):
        facts_of(path)
    import soundfile

    sound = tmp_path / "sound.wav"
    soundfile.write(sound, np.zeros(RATE), RATE)
    assert not has_picture(sound)
    with pytest.raises(OutputError, match="no moving picture"):
        facts_of(sound)
    assert sound_between(sound, 0.5, 1.0, RATE).shape == (RATE, 2)
    with pytest.raises(OutputError, match="film of nothing"):
        followed_film([], tmp_path / "x.mp4")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["sound.wav", "words.mp4"]
