"""How do drawings become pixels, frames and a file?

Nouns:

* :class:`TriadNames`: what the triads are called, by voice, from a moment of the score on.
* :class:`Passage`: one example at one tempo, as the audio plays it.
* :class:`Beat`: a felt beat; ``bar`` is ``None`` in the count-in.
* :class:`Clock`: the moments of one passage, ready to be asked for every frame.
* :class:`ChapterMark`: a named stretch of a film, for its chapter list; times in seconds.
* :class:`Yuv420Planes`: pixels as the encoder of finished films takes them.
* :class:`Writer`: a video file in the making; use it as a context.
* :class:`Area`: a rectangle of pixels; ``right`` and ``bottom`` are just outside.
* :class:`Placed`: a sprite with its left upper corner somewhere.
* :class:`Painter`: the pixels of the present frame.
* :class:`Words`: one line of text on the baseline ``y``; set smaller where it is wider than
  ``room``.
* :class:`Drawing`: shapes (SVG elements, of our own making) with words over them, on nothing.
* :class:`Sprite`: a drawing that can be placed anywhere; its pixels come when the album is
  developed.
* :class:`Album`: drawings on their way to pixels; equal drawings become one sprite.
"""

from __future__ import annotations

from lickwright.video.frames.clock import (
    Beat,
    Clock,
    Passage,
    TriadNames,
    frame_count,
    frame_time_s,
)
from lickwright.video.frames.encode import (
    H264,
    OVERLAY_CODINGS,
    ChapterMark,
    Samples,
    Writer,
    join_parts,
    whole_file,
)
from lickwright.video.frames.painter import Area, Painter, Placed
from lickwright.video.frames.palette import BOARD, GROUND, INLAY, LAMP, PANEL_ALPHA, SOFT, rgb
from lickwright.video.frames.pixels import CAPITAL_EM, Album, Anchor, Drawing, Sprite, Words
from lickwright.video.frames.planes import Yuv420Planes
from lickwright.video.frames.shapes import line, stroke_sign

__all__ = [
    "BOARD",
    "CAPITAL_EM",
    "GROUND",
    "H264",
    "INLAY",
    "LAMP",
    "OVERLAY_CODINGS",
    "PANEL_ALPHA",
    "SOFT",
    "Album",
    "Anchor",
    "Area",
    "Beat",
    "ChapterMark",
    "Clock",
    "Drawing",
    "Painter",
    "Passage",
    "Placed",
    "Samples",
    "Sprite",
    "TriadNames",
    "Words",
    "Writer",
    "Yuv420Planes",
    "frame_count",
    "frame_time_s",
    "join_parts",
    "line",
    "rgb",
    "stroke_sign",
    "whole_file",
]
