"""Where do triads lie under a hand, alone and joined?

Nouns:

* :class:`ShapePair`: two shapes and where the line crosses from one to the other.
* :class:`MergedArpeggio`: the tones of two or three triads laid under one hand as one arpeggio.
* :class:`Shape`: the tones of one triad laid on neighbouring strings under one hand.
"""

from __future__ import annotations

from lickwright.neck.shapes.chain import chain_shapes
from lickwright.neck.shapes.joins import JOIN_COSTS, ShapePair, find_joined_shapes
from lickwright.neck.shapes.merged import (
    MergedArpeggio,
    listed,
    ranked_merged,
    triads_with,
    why_not_merged,
)
from lickwright.neck.shapes.other_places import elsewhere
from lickwright.neck.shapes.search import FEWEST_STRINGS, find_shapes, ranked_shapes
from lickwright.neck.shapes.shape import INVERSIONS, Shape, frame_mm

__all__ = [
    "FEWEST_STRINGS",
    "INVERSIONS",
    "JOIN_COSTS",
    "MergedArpeggio",
    "Shape",
    "ShapePair",
    "chain_shapes",
    "elsewhere",
    "find_joined_shapes",
    "find_shapes",
    "frame_mm",
    "listed",
    "ranked_merged",
    "ranked_shapes",
    "triads_with",
    "why_not_merged",
]
