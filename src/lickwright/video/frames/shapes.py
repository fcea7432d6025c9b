"""The few signs of the screen's drawings beside those of :mod:`lickwright.drawing.svg`."""

from __future__ import annotations

from functools import partial

from lickwright.drawing import svg

#: A straight stroke with round ends.
line = partial(svg.line, cap="round")


def stroke_sign(down: bool, x: float, y: float, size: float, colour: str) -> str:
    """The sign of a downstroke (an open box) or an upstroke (an angle), ``size`` high."""
    half, width = size / 2, size * 0.13
    if down:
        left, right = x - 0.42 * size, x + 0.42 * size
        legs = svg.path(
            [(left, y + half), (left, y - half), (right, y - half), (right, y + half)],
            width,
            colour,
        )
        return legs + svg.rect(left, y - half, right, y - half + 0.34 * size, colour)
    return svg.path(
        [(x - 0.36 * size, y - half), (x, y + half), (x + 0.36 * size, y - half)], width, colour
    )
