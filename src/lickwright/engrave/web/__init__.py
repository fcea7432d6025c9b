"""How does a lesson stand on one web page that plays?

Nouns:

* :class:`Run`: a stretch of a sound in which the music runs through once at one tempo; in
  seconds.
* :class:`NeckTimes`: when a neck diagram is played from, and where its positions stand in it, in
  its px.
* :class:`PageLink`: a file beside the page: its name for people and its path from the page.
* :class:`PageTrack`: a sound to play on the page: its name for people, its path, and how the music
  runs in it.
* :class:`Media`: what there is to hear and fetch for one example.
* :class:`WebLesson`: a lesson for the web.
"""

from __future__ import annotations

from lickwright.engrave.web.follow import NeckTimes, Run, follow_data
from lickwright.engrave.web.page import Media, PageLink, PageTrack, WebLesson, index_html

__all__ = [
    "Media",
    "NeckTimes",
    "PageLink",
    "PageTrack",
    "Run",
    "WebLesson",
    "follow_data",
    "index_html",
]
