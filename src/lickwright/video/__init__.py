"""Floor 6: a Score on the screen."""

from __future__ import annotations

from lickwright.video.captions import captions_vtt, chapters_vtt, passage_marks
from lickwright.video.film import CARD_S, lesson_video
from lickwright.video.overlay import overlay_video

__all__ = [
    "CARD_S",
    "captions_vtt",
    "chapters_vtt",
    "lesson_video",
    "overlay_video",
    "passage_marks",
]
