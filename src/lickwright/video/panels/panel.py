"""A panel: a sheet of paper somewhere on the screen that shows one thing about the moment."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Protocol

from lickwright.drawing import INK, PAPER, number, svg
from lickwright.video.frames import (
    CAPITAL_EM,
    LAMP,
    Album,
    Area,
    Drawing,
    Placed,
    Sprite,
    Words,
)


class Panel(Protocol):
    """Something that knows how it looks at every moment."""

    def at(self, time_s: float) -> Iterator[Placed]:
        """Its sprites, the lowest first."""
        ...


def sheet_of_paper(album: Album, box: Area, unit: float, alpha: float) -> Placed:
    """The paper of a panel."""
    width, height = box.right - box.left, box.bottom - box.top
    shapes = svg.rect(0, 0, width, height, PAPER, rounding=14 * unit, opacity=alpha)
    return Placed(album.add(Drawing(width, height, shapes)), box.left, box.top)


def centred(sprite: Sprite, x: float, y: float) -> Placed:
    """A sprite with its middle at a point, to the nearest pixel."""
    return Placed(sprite, round(x - sprite.width / 2), round(y - sprite.height / 2))


def words_sprite(
    album: Album, words: Words, width: float, height: float, shapes: str = ""
) -> Sprite:
    """Words in the middle of a drawing of their own; their place in it is found here."""
    w, h = even(width), even(height)
    x = {"start": 0.0, "middle": w / 2, "end": float(w)}[words.anchor]
    placed = Words(
        words.text,
        x,
        h / 2 + CAPITAL_EM / 2 * words.size,
        words.size,
        words.colour,
        words.weight,
        words.italic,
        words.anchor,
        words.room if words.room is not None else w,
    )
    return album.add(Drawing(w, h, shapes, (placed,)))


def lamp(width: float, height: float, unit: float) -> str:
    """The ground of what sounds: light, with a dark rim that no eye misses."""
    w, h = even(width), even(height)
    rim = 3.2 * unit
    inset = rim / 2
    corner = min(w, h) * 0.24
    return svg.rect(
        inset, inset, w - inset, h - inset, LAMP, rounding=corner, stroke=INK, width=rim
    )


def round_lamp(side: int, radius: float, unit: float) -> str:
    """The ground of a mark that sounds, in the middle of a square."""
    middle = number(side / 2)
    return (
        f'<circle cx="{middle}" cy="{middle}" r="{number(radius)}" fill="{LAMP}" '
        f'stroke="{INK}" stroke-width="{number(3.2 * unit)}"/>'
    )


def even(value: float) -> int:
    """The next even number of pixels."""
    return 2 * -(-round(value) // 2)
