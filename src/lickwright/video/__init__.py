"""Floor 6: a Score on the screen.

Nouns:

* :class:`FilmCost`: what a film will need.
* :class:`FootageFacts`: what a file says about its picture.
* :class:`Shot`: a stretch of the recording.
"""

from __future__ import annotations

from lickwright.video.captions import (
    captions_vtt,
    chapters_vtt,
    followed_captions,
    passage_marks,
)
from lickwright.video.film import CARD_S, lesson_video
from lickwright.video.followed import (
    FilmCost,
    Shot,
    check_room,
    film_chapters,
    film_cost,
    followed_film,
    shot_frames,
)
from lickwright.video.footage import FootageFacts, facts_of, has_picture
from lickwright.video.layout import layout_of
from lickwright.video.overlay import frame_rate, overlay_reel, overlay_video

__all__ = [
    "CARD_S",
    "FilmCost",
    "FootageFacts",
    "Shot",
    "captions_vtt",
    "chapters_vtt",
    "check_room",
    "facts_of",
    "film_chapters",
    "film_cost",
    "followed_captions",
    "followed_film",
    "frame_rate",
    "has_picture",
    "layout_of",
    "lesson_video",
    "overlay_reel",
    "overlay_video",
    "passage_marks",
    "shot_frames",
]
