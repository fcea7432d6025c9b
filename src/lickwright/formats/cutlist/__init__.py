"""How does an editor's program get the cuts of a film?

Nouns:

* :class:`CutClip`: a stretch of a recording that goes into the rough cut.
* :class:`CutMarker`: something that happens in a recording.
* :class:`CutList`: the recording, what happens in it, and the rough cut.
"""

from __future__ import annotations

from lickwright.formats.cutlist.timeline import CutClip, CutList, CutMarker, edl_text, otio_text

__all__ = [
    "CutClip",
    "CutList",
    "CutMarker",
    "edl_text",
    "otio_text",
]
