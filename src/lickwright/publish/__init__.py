"""Floor 8: from a lesson to everything that is published of it.

Nouns:

* :class:`BuildReport`: what a build did.
"""

from __future__ import annotations

from lickwright.publish.audio_files import playing_of
from lickwright.publish.building import BuildReport, UnsoundLessonError, build
from lickwright.publish.example_files import page_parts
from lickwright.publish.manifest import _ENGINES, engine
from lickwright.publish.pages import CAUTIONS, settings_of, sheet_of
from lickwright.publish.versions import current_files

__all__ = [
    "CAUTIONS",
    "_ENGINES",
    "BuildReport",
    "UnsoundLessonError",
    "build",
    "current_files",
    "engine",
    "page_parts",
    "playing_of",
    "settings_of",
    "sheet_of",
]
