"""Where on the page is something drawn already?  The boxes of what the layout engine drew.

y grows downwards.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from xml.etree.ElementTree import Element

#: Parts of a word, which are known by the word.
_INNER = frozenset({"text", "rend"})
#: What can run over the end of a system.
SPANNING = frozenset({"octave", "slur", "tie"})
#: Height above their base line of the signs 8va and 15ma.
GLYPH_HEIGHT = 270.0
_NUMBER = re.compile(r"-?[\d.]+")


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle, and the class of what it holds."""

    kind: str
    left: float
    top: float
    right: float
    bottom: float

    def meets(self, left: float, right: float) -> bool:
        """Whether it stands over or under a stretch."""
        return self.left < right and left < self.right

    def moved(self, down: float) -> Box:
        """The same box farther down."""
        return replace(self, top=self.top + down, bottom=self.bottom + down)


def take_boxes(element: Element) -> list[Box]:
    """The boxes that the engine added to its drawing, which are taken out of it."""
    boxes: list[Box] = []
    _take(element, "", boxes)
    return boxes


def _take(element: Element, kind: str, boxes: list[Box]) -> None:
    name = element.get("class", "").lstrip().partition(" ")[0]
    if name and name not in _INNER:
        kind = name
    for child in list(element):
        if "bounding-box" in child.get("class", ""):
            element.remove(child)
            if kind not in SPANNING:
                boxes += [rect_box(kind, rect) for rect in child.iter("rect")]
        elif len(child) or child.get("class"):
            _take(child, kind, boxes)
    if name in SPANNING:
        boxes.append(drawn_box(name, element))


def drawn_box(kind: str, element: Element) -> Box:
    """The box of lines, curves (with their control points) and glyphs, from what is drawn.

    The engine's own box of something that goes on in the next system covers both its parts.
    """
    points: list[tuple[float, float]] = []
    for part in element.iter():
        for name in ("d", "points"):
            numbers = [float(number) for number in _NUMBER.findall(part.get(name, ""))]
            points += zip(numbers[::2], numbers[1::2], strict=True)
        if part.tag == "use":
            x, y = (float(number) for number in _NUMBER.findall(part.get("transform", ""))[:2])
            points += [(x, y), (x, y - GLYPH_HEIGHT)]
    xs, ys = zip(*points, strict=True)
    return Box(kind, min(xs), min(ys), max(xs), max(ys))


def rect_box(kind: str, rect: Element) -> Box:
    """The box of an SVG ``rect``."""
    left, top = float(rect.get("x", "0")), float(rect.get("y", "0"))
    width, height = float(rect.get("width", "0")), float(rect.get("height", "0"))
    return Box(kind, left, top, left + width, top + height)


def lowest(boxes: Iterable[Box], left: float, right: float) -> float:
    """How far down a stretch is taken; minus infinity where it is free."""
    return max((box.bottom for box in boxes if box.meets(left, right)), default=float("-inf"))


def highest(boxes: Iterable[Box], left: float, right: float) -> float:
    """How far up a stretch is taken; infinity where it is free."""
    return min((box.top for box in boxes if box.meets(left, right)), default=float("inf"))
