"""The finished video: title, neck, tab and sound, ready to be shown."""

from __future__ import annotations

import os
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np

from lickwright.errors import OutputError
from lickwright.video.captions import passage_marks, sequence_marks
from lickwright.video.frames import (
    GROUND,
    H264,
    Album,
    Area,
    Clock,
    Painter,
    Passage,
    Samples,
    Writer,
    frame_count,
    frame_time_s,
    rgb,
    whole_file,
)
from lickwright.video.overlay import FPS, VideoFile, checked
from lickwright.video.panels import Card, Labels, NeckPanel, NowPanel, Panel, TabPanel, TitlePanel

FULL_HD = (1920, 1080)
#: How long the card at the beginning stands: long enough to read it once.
CARD_S = 6.0

_GROUND = (*rgb(GROUND), 255)


@dataclass(frozen=True, slots=True)
class Screen:
    """The panels of one passage."""

    title: TitlePanel
    now: NowPanel
    neck: NeckPanel
    tab: TabPanel

    @property
    def panels(self) -> Sequence[Panel]:
        return self.title, self.now, self.neck, self.tab


def screen_of(
    clock: Clock,
    album: Album,
    size: tuple[int, int] = FULL_HD,
    labels: Labels = "degrees",
    title: str = "",
) -> Screen:
    """The full screen of a passage; ``album`` is not yet developed."""
    width, height = size
    unit = height / FULL_HD[1]

    def box(left: float, top: float, right: float, bottom: float) -> Area:
        across = width / FULL_HD[0]
        return Area(
            round(left * across), round(top * unit), round(right * across), round(bottom * unit)
        )

    return Screen(
        TitlePanel(clock.passage, size, album, unit, title),
        NowPanel(clock, box(24, 124, 444, 574), album, 1.26 * unit, 1.0),
        NeckPanel(clock, box(456, 124, 1896, 574), album, 1.22 * unit, 1.0, labels),
        TabPanel(clock, box(24, 588, 1896, 1016), album, 1.2 * unit, 1.0),
    )


def lesson_video(
    passages: Sequence[Passage],
    audio: Samples,
    path: str | os.PathLike[str],
    *,
    sample_rate: int = 44100,
    title: str = "",
    size: tuple[int, int] = FULL_HD,
    fps: Fraction | int = FPS,
    labels: Labels = "degrees",
    card_s: float = CARD_S,
) -> VideoFile:
    """Write a video with sound: H.264 and AAC in an MP4 that starts before it is loaded whole.

    Parameters
    ----------
    passages : what is played, one after the other; their lengths add up to the audio's.
    audio : ``(samples, 2)`` float32, at its final loudness.
    path : of the file to write, ``.mp4``.
    title : of the lesson, on the card and in small letters above the picture.
    size : width and height in px, even numbers; the picture is made for 1920 by 1080.
    labels : what stands in the marks on the neck.
    card_s : seconds of a silent card with the title and the cautions before the first passage.

    Raises
    ------
    OutputError
        When the audio does not fit the passages, or the file cannot be written.
    """
    fps = checked(size, fps)
    _check_audio(passages, audio, sample_rate, fps)
    silence = np.zeros((round(card_s * sample_rate), 2), np.float32)
    card_s = len(silence) / sample_rate
    sound = np.concatenate([silence, audio.astype(np.float32, copy=False)])
    frames = frame_count(len(sound) / sample_rate, fps)
    painter = Painter(*size, _GROUND)
    marks = passage_marks(passages[0], card_s)
    if len(passages) > 1:
        marks = sequence_marks(passages, card_s)
    path = Path(path)
    with (
        whole_file(path) as temporary,
        Writer(
            temporary, H264, size, fps, audio=sound, sample_rate=sample_rate, marks=marks
        ) as writer,
    ):
        writer.planes.update(painter.image, [Area(0, 0, *size)])
        shown = _shown(passages, size, labels, title, card_s)
        begin_s, end_s, panels = next(shown)
        for frame in range(frames):
            time_s = frame_time_s(frame, fps)
            while time_s >= end_s:
                begin_s, end_s, panels = next(shown)
            placed = [item for panel in panels for item in panel.at(time_s - begin_s)]
            writer.planes.update(painter.image, painter.show(placed))
            writer.write(writer.planes.frame())
    return VideoFile(path, *size, fps, frames)


def _shown(
    passages: Sequence[Passage],
    size: tuple[int, int],
    labels: Labels,
    title: str,
    card_s: float,
) -> Iterator[tuple[float, float, Sequence[Panel]]]:
    """The panels in turn, each with the seconds between which they are shown."""
    album = Album()
    if card_s:
        card = Card(passages, size, album, size[1] / FULL_HD[1], title)
        album.develop()
        yield 0.0, card_s, (card,)
    begin_s = card_s
    for number, passage in enumerate(passages, start=1):
        if number > 1 and passage.score is not passages[number - 2].score:
            album = Album()
        screen = screen_of(Clock(passage), album, size, labels, title)
        album.develop()
        # The last frame may stand for a little more than the audio.
        end_s = begin_s + passage.length_s if number < len(passages) else float("inf")
        yield begin_s, end_s, screen.panels
        begin_s = end_s


def _check_audio(
    passages: Sequence[Passage], audio: Samples, sample_rate: int, fps: Fraction
) -> None:
    if not passages:
        raise OutputError("a video of nothing", mend="Give at least one passage")
    if audio.ndim != 2 or audio.shape[1] != 2:
        raise OutputError(
            f"audio of shape {audio.shape}", mend="Give samples in two channels, (samples, 2)"
        )
    wanted, given = sum(passage.length_s for passage in passages), len(audio) / sample_rate
    if abs(wanted - given) > 1 / fps:
        raise OutputError(
            f"the passages last {wanted:.3f} s, their audio {given:.3f} s",
            mend="Give each passage the length of its own audio",
        )
