"""How does a frame come from the one before?  Only where it differs is painted again.

A frame is a list of placed sprites, the lowest first.  What appeared, vanished or moved since the
frame before leaves dirty rectangles; inside them everything is laid down anew, outside nothing is
touched.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from PIL import Image

from lickwright.video.frames.pixels import Sprite


class Area(NamedTuple):
    """A rectangle of pixels; ``right`` and ``bottom`` are just outside."""

    left: int
    top: int
    right: int
    bottom: int

    def meets(self, other: Area) -> bool:
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def with_(self, other: Area) -> Area:
        """The smallest box around both."""
        return Area(
            min(self.left, other.left),
            min(self.top, other.top),
            max(self.right, other.right),
            max(self.bottom, other.bottom),
        )


class Placed(NamedTuple):
    """A sprite with its left upper corner somewhere."""

    sprite: Sprite
    x: int
    y: int

    @property
    def box(self) -> Area:
        return Area(self.x, self.y, self.x + self.sprite.width, self.y + self.sprite.height)


class Painter:
    """The pixels of the present frame."""

    def __init__(self, width: int, height: int, ground: tuple[int, int, int, int]) -> None:
        self.image = Image.new("RGBA", (width, height), ground)
        self._ground = ground
        self._shown: list[Placed] = []
        self._frame = Area(0, 0, width, height)

    def show(self, placed: Sequence[Placed]) -> list[Area]:
        """Paint the next frame; returns the rectangles that changed, on even pixels."""
        before, after = Counter(self._shown), Counter(placed)
        changed = [*(before - after), *(after - before)]
        self._shown = list(placed)
        boxes = _joined(self._within(item.box) for item in changed)
        for box in boxes:
            self._paint(box)
        return boxes

    def _within(self, box: Area) -> Area:
        """A box inside the frame whose edges are even, as halved colour planes need them."""
        frame = self._frame
        return Area(
            max(frame.left, box.left // 2 * 2),
            max(frame.top, box.top // 2 * 2),
            min(frame.right, -(-box.right // 2) * 2),
            min(frame.bottom, -(-box.bottom // 2) * 2),
        )

    def _paint(self, box: Area) -> None:
        self.image.paste(self._ground, box)
        for item in self._shown:
            if item.box.meets(box):
                left, top = max(box.left, item.x), max(box.top, item.y)
                right = min(box.right, item.x + item.sprite.width)
                bottom = min(box.bottom, item.y + item.sprite.height)
                source = (left - item.x, top - item.y, right - item.x, bottom - item.y)
                self.image.alpha_composite(item.sprite.image, (left, top), source)


def _joined(boxes: Iterable[Area]) -> list[Area]:
    """Boxes of which no two meet, around the given ones."""
    apart: list[Area] = []
    for box in boxes:
        if box.left >= box.right or box.top >= box.bottom:
            continue
        meeting = [other for other in apart if other.meets(box)]
        while meeting:
            for other in meeting:
                apart.remove(other)
                box = box.with_(other)
            meeting = [other for other in apart if other.meets(box)]
        apart.append(box)
    return apart
