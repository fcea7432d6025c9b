"""The strip of one example on a transparent ground, for the teacher's own video editor."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from lickwright.drawing import PAPER
from lickwright.errors import OutputError
from lickwright.video.frames import (
    OVERLAY_CODINGS,
    PANEL_ALPHA,
    Album,
    Area,
    Clock,
    Painter,
    Passage,
    Writer,
    frame_count,
    frame_time_s,
    rgb,
    whole_file,
)
from lickwright.video.panels import Labels, NeckPanel, NowPanel, Panel, TabPanel

STRIP = (1920, 360)
FPS = 30

#: Nothing, in the colour of paper: no editor can draw a dark seam around the panels.
_NOTHING = (*rgb(PAPER), 0)


@dataclass(frozen=True, slots=True)
class VideoFile:
    """A video that was written."""

    path: Path
    width: int
    height: int
    fps: Fraction
    frames: int

    @property
    def seconds(self) -> float:
        return float(self.frames / self.fps)


@dataclass(frozen=True, slots=True)
class Strip:
    """The three panels of the strip."""

    now: NowPanel
    tab: TabPanel
    neck: NeckPanel

    @property
    def panels(self) -> Sequence[Panel]:
        return self.now, self.tab, self.neck


def strip_of(
    clock: Clock, album: Album, size: tuple[int, int] = STRIP, labels: Labels = "degrees"
) -> Strip:
    """The strip of a passage; ``album`` is not yet developed."""
    width, height = size
    unit = height / STRIP[1]
    left, right = round(8 * unit), width - round(8 * unit)
    top, bottom = round(4 * unit), height - round(4 * unit)
    wide, gap = right - left, round(10 * unit)
    now, tab = left + round(0.155 * wide), left + round(0.69 * wide)
    return Strip(
        NowPanel(clock, Area(left, top, now, bottom), album, unit, PANEL_ALPHA),
        TabPanel(clock, Area(now + gap, top, tab, bottom), album, unit, PANEL_ALPHA),
        NeckPanel(clock, Area(tab + gap, top, right, bottom), album, unit, PANEL_ALPHA, labels),
    )


def overlay_video(
    passage: Passage,
    path: str | os.PathLike[str],
    *,
    coding: str = "animation",
    size: tuple[int, int] = STRIP,
    fps: Fraction | int = FPS,
    labels: Labels = "degrees",
) -> VideoFile:
    """Write the moving strip of a passage, without sound, on a transparent ground.

    The alpha is straight (colours are not multiplied by it).

    Parameters
    ----------
    path : of the file to write, ``.mov``.
    coding : ``"animation"`` (QuickTime Animation, lossless and small), ``"prores"``
        (ProRes 4444) or ``"png"``.
    size : width and height in px, even numbers; the strip is made for 1920 by 360.
    fps : frames a second.
    labels : what stands in the marks on the neck.

    Raises
    ------
    OutputError
        When there is no such coding, or the file cannot be written.
    """
    return overlay_reel(
        [(0.0, passage)],
        passage.length_s,
        path,
        coding=coding,
        size=size,
        fps=fps,
        labels=labels,
    )


def overlay_reel(
    placed: Sequence[tuple[float, Passage]],
    length_s: float,
    path: str | os.PathLike[str],
    *,
    coding: str = "animation",
    size: tuple[int, int] = STRIP,
    fps: Fraction | int = FPS,
    labels: Labels = "degrees",
) -> VideoFile:
    """Write the strips of passages that lie somewhere in a film, nothing between them.

    Parameters
    ----------
    placed : when each passage begins in the film, and the passage, in time and not overlapping.
    length_s : of the film.
    path, coding, size, fps, labels : as for :func:`overlay_video`.

    Raises
    ------
    OutputError
        When there is no such coding, or the file cannot be written.
    """
    if coding not in OVERLAY_CODINGS:
        raise OutputError(
            f"'{coding}' is no way to code an overlay",
            mend=f"Use one of: {', '.join(OVERLAY_CODINGS)}",
        )
    fps = checked(size, fps)
    painter = Painter(*size, _NOTHING)
    frames = frame_count(length_s, fps)
    path = Path(path)
    waiting = list(reversed(placed))
    begin_s = end_s = 0.0
    panels: Sequence[Panel] = ()
    with whole_file(path) as temporary:  # noqa: SIM117
        with Writer(temporary, OVERLAY_CODINGS[coding], size, fps) as writer:
            writer.planes.update(painter.image, [Area(0, 0, *size)])
            for frame in range(frames):
                time_s = frame_time_s(frame, fps)
                if time_s >= end_s:
                    panels = ()
                if waiting and time_s >= waiting[-1][0]:
                    begin_s, passage = waiting.pop()
                    end_s = begin_s + passage.length_s
                    album = Album()
                    panels = strip_of(Clock(passage), album, size, labels).panels
                    album.develop()
                shown = [item for panel in panels for item in panel.at(time_s - begin_s)]
                writer.planes.update(painter.image, painter.show(shown))
                writer.write(writer.planes.frame())
    return VideoFile(path, *size, fps, frames)


def checked(size: tuple[int, int], fps: Fraction | int) -> Fraction:
    """The frame rate as a fraction, when it and the size can be coded.

    Raises
    ------
    OutputError
    """
    if any(side < 64 or side % 2 or side > 8192 for side in size):
        raise OutputError(
            f"a picture of {size[0]} by {size[1]} px",
            mend="Give an even width and height from 64 to 8192",
        )
    if not 1 <= fps <= 240:
        raise OutputError(f"{fps} frames a second", mend="Give a frame rate from 1 to 240")
    return Fraction(fps)


def frame_rate(fps: Fraction | int | float | str) -> Fraction:
    """A constant rate that films are made at, from 23.976 to 60.

    The rates of colour television are fractions: 23.976 is 24000/1001, 29.97 is 30000/1001 and
    59.94 is 60000/1001 (SMPTE ST 12-1; from memory).

    Raises
    ------
    OutputError
        Where it is none.

    >>> frame_rate("29.97"), frame_rate(25)
    (Fraction(30000, 1001), Fraction(25, 1))
    """
    try:
        rate = Fraction(str(fps))
    except (ValueError, ZeroDivisionError):
        rate = Fraction(0)
    for whole in (24, 30, 48, 60):
        if abs(rate - Fraction(whole * 1000, 1001)) < Fraction(1, 200):
            rate = Fraction(whole * 1000, 1001)
    if not Fraction(24_000, 1001) <= rate <= 60:
        raise OutputError(f"a film of {fps} frames a second", mend="Give a rate from 23.976 to 60")
    return rate
