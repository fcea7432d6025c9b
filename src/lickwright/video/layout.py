"""Where do panels, footage, title and captions stand, on a wide and on an upright screen?

Panels above, footage below, captions where neither is.  Words and panels keep within the safe
title area: 90 % of width and height (SMPTE ST 2046-1; from memory).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from lickwright.drawing import INK
from lickwright.errors import OutputError
from lickwright.video.footage import FootageFacts, fitted
from lickwright.video.frames import SOFT, Album, Area, Clock, Drawing, Placed, Words
from lickwright.video.panels import Labels, NeckPanel, NowPanel, Panel, TabPanel

Shape = Literal["16:9", "9:16"]
SIZES: dict[str, tuple[int, int]] = {"16:9": (1920, 1080), "9:16": (1080, 1920)}
_SAFE = 0.05


@dataclass(frozen=True, slots=True)
class FilmLayout:
    """The places on a screen.

    Parameters
    ----------
    size : of the screen, in px.
    now, tab, neck, title : of the panels and of the words beside them.
    footage : of the picture while something of the lesson is played.
    captions : as cue settings of WebVTT, so that they cover nothing.
    unit : how large a panel's drawing is, against the strip of 1920 by 360.
    """

    size: tuple[int, int]
    now: Area
    tab: Area
    neck: Area
    title: Area
    footage: Area
    captions: str
    unit: float


def layout_of(shape: str, facts: FootageFacts, height: int | None = None) -> FilmLayout:
    """The layout of a shape for some footage.

    Parameters
    ----------
    shape : ``16:9`` or ``9:16``.
    height : of the screen in px; 1080 or 1920 where none is given.

    Raises
    ------
    OutputError
        For another shape, or a height that is odd or too small.
    """
    if shape not in SIZES:
        raise OutputError(f"a film of {shape}", mend=f"Use one of: {', '.join(SIZES)}")
    width, usual = SIZES[shape]
    high = usual if height is None else height
    scale = high / usual
    if high % 2 or not 360 <= high <= 4320:
        raise OutputError(f"a film {high} px high", mend="Give an even height from 360 to 4320")
    size = (round(width * scale / 2) * 2, high)
    return (_wide if shape == "16:9" else _upright)(size, scale, facts)


def _wide(size: tuple[int, int], scale: float, facts: FootageFacts) -> FilmLayout:
    width, height = size
    left, top = round(_SAFE * width), round(_SAFE * height)
    right, bottom = width - left, top + round(0.30 * height)
    across, gap = right - left, round(9 * scale)
    now, tab = left + round(0.16 * across), left + round(0.68 * across)
    below = (bottom + round(14 * scale)) // 2 * 2
    wide, high = fitted(facts, (width, height - below))
    at = (width - wide) // 4 * 2
    margin = Area(left, below + round(24 * scale), max(at - gap, left + 2), height - top)
    free = (width - at - wide) / width
    place = 100 * (at + wide) / width + 1
    captions = f"line:60% position:{place:.0f}%,line-left size:{max(100 * free - 6, 12):.0f}%"
    if free < 0.12:  # wide footage leaves nothing at its sides: its lower edge must do
        captions = "line:90%"
    return FilmLayout(
        size,
        Area(left, top, now, bottom),
        Area(now + gap, top, tab, bottom),
        Area(tab + gap, top, right, bottom),
        margin,
        Area(at, below, at + wide, below + high),
        captions,
        0.9 * scale,
    )


def _upright(size: tuple[int, int], scale: float, facts: FootageFacts) -> FilmLayout:
    width, height = size
    left, right, top = round(_SAFE * width), width - round(_SAFE * width), round(_SAFE * height)
    gap, row = round(10 * scale), round(330 * scale)
    title = Area(left, top, right, top + round(96 * scale))
    first = title.bottom + gap
    second = first + row + gap
    middle = left + round(0.33 * (right - left))
    below = (second + row + round(16 * scale)) // 2 * 2
    room = height - below - round(0.11 * height)
    wide, high = fitted(facts, (width, room))
    at = (width - wide) // 4 * 2
    line = 100 * (below + high) / height + 1
    return FilmLayout(
        size,
        Area(left, first, middle, first + row),
        Area(left, second, right, second + row),
        Area(middle + gap, first, right, first + row),
        title,
        Area(at, below, at + wide, below + high),
        f"line:{min(line, 90):.0f}% position:50% size:88%",
        scale,
    )


class FilmTitle:
    """The words beside the panels: lesson, example, tempo."""

    def __init__(self, clock: Clock, box: Area, album: Album, unit: float, title: str) -> None:
        self._box = box
        width, height = box.right - box.left, box.bottom - box.top
        passage = clock.passage
        tempo = f"♩ = {passage.tempo_bpm:.0f}"
        words: tuple[Words, ...]
        if width > 2 * height:
            base = height - 18 * unit
            words = (
                Words(title, 0, 30 * unit, 32 * unit, SOFT, "regular", True, "start", 0.7 * width),
                Words(passage.score.name, 0, base, 50 * unit, anchor="start", room=0.75 * width),
                Words(tempo, width, base, 44 * unit, anchor="end", room=0.24 * width),
            )
        else:
            words = (
                Words(passage.score.name, 0, 40 * unit, 44 * unit, INK, anchor="start", room=width),
                Words(tempo, 0, 96 * unit, 40 * unit, anchor="start", room=width),
                Words(title, 0, 146 * unit, 30 * unit, SOFT, "regular", True, "start", width),
            )
        shown = tuple(line for line in words if line.text)
        self._sprite = album.add(Drawing(width, height, "", shown))

    def at(self, time_s: float) -> Iterator[Placed]:
        """Its sprite, the same at all times."""
        yield Placed(self._sprite, self._box.left, self._box.top)


def film_panels(
    clock: Clock, layout: FilmLayout, album: Album, labels: Labels, title: str
) -> Sequence[Panel]:
    """The panels of a passage in their places; ``album`` is not yet developed."""
    return (
        NowPanel(clock, layout.now, album, layout.unit, 1.0),
        TabPanel(clock, layout.tab, album, layout.unit, 1.0),
        NeckPanel(clock, layout.neck, album, layout.unit, 1.0, labels),
        FilmTitle(clock, layout.title, album, layout.unit, title),
    )
