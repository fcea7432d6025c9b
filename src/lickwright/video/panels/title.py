"""Around the panels of a finished video: what is played, and how to read the signs."""

from __future__ import annotations

from collections.abc import Iterator

from lickwright.drawing import INK
from lickwright.video.frames import SOFT, Album, Drawing, Passage, Placed, Words, stroke_sign


class TitlePanel:
    """The line above the panels and the line below them."""

    def __init__(
        self, passage: Passage, size: tuple[int, int], album: Album, unit: float, title: str
    ) -> None:
        width, height = size
        left, right, base = 36 * unit, width - 36 * unit, 84 * unit
        words = [
            Words(f"♩ = {passage.tempo_bpm:g}", right, base, 58 * unit, anchor="end"),
            Words(
                passage.score.name,
                left,
                base,
                66 * unit,
                anchor="start",
                room=(0.5 if title else 0.8) * width,
            ),
        ]
        if title:
            place = (right - 270 * unit, base, 42 * unit)
            words.append(
                Words(title, *place, SOFT, "regular", italic=True, anchor="end", room=0.28 * width)
            )
        shapes, key = _key_of_signs(width, height - 31 * unit, unit)
        self._sprite = album.add(Drawing(width, height, shapes, (*words, *key)))

    def at(self, time_s: float) -> Iterator[Placed]:
        yield Placed(self._sprite, 0, 0)


def _key_of_signs(width: int, y: float, unit: float) -> tuple[str, tuple[Words, ...]]:
    xs = (0.19 * width, 0.39 * width, 0.57 * width)
    texts = ("downstroke", "upstroke", "fingers 1 to 4: index to little")
    shapes = stroke_sign(True, xs[0] - 28 * unit, y, 28 * unit, INK)
    shapes += stroke_sign(False, xs[1] - 28 * unit, y, 28 * unit, INK)
    return shapes, tuple(
        Words(text, x, y + 11 * unit, 34 * unit, INK, "regular", anchor="start")
        for text, x in zip(texts, xs, strict=True)
    )
