"""Arpeggio shapes: the values and the searches, under one name for other rooms."""

from __future__ import annotations

from lickwright.neck.merged import MergedArpeggio, find_merged, why_not_merged
from lickwright.neck.shape import INVERSIONS, Shape
from lickwright.neck.shape_joins import CONTOURS, JoinedShapes, ShapePair, find_joined_shapes
from lickwright.neck.shape_search import find_shapes

__all__ = [
    "CONTOURS",
    "INVERSIONS",
    "JoinedShapes",
    "MergedArpeggio",
    "Shape",
    "ShapePair",
    "find_joined_shapes",
    "find_merged",
    "find_shapes",
    "why_not_merged",
]
