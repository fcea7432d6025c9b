"""Floor 6: a Score on paper and on a web page."""

from __future__ import annotations

from lickwright.engrave.diagram import mark_places, neck_svg

__all__ = [
    "mark_places",
    "neck_svg",
]
