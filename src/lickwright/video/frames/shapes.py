"""The few SVG elements that the screen's drawings are made of.

Only numbers and colours of our own reach them; words are set by
:mod:`lickwright.video.frames.pixels`.
"""

from __future__ import annotations

from collections.abc import Iterable

from lickwright.drawing import Shape, number, shape_element


def _paint(fill: str, stroke: str, width: float, dash: str, opacity: float) -> str:
    paint = f'fill="{fill}"'
    if stroke:
        paint += f' stroke="{stroke}" stroke-width="{number(width)}" stroke-linejoin="round"'
    if dash:
        paint += f' stroke-dasharray="{dash}"'
    if opacity < 1.0:
        paint += f' opacity="{number(opacity)}"'
    return paint


def line(
    x1: float,
    y1: float,
    x2: float,
    y2: float,
    width: float,
    colour: str,
    dash: str = "",
    opacity: float = 1.0,
) -> str:
    """A straight stroke with round ends."""
    return (
        f'<line x1="{number(x1)}" y1="{number(y1)}" x2="{number(x2)}" y2="{number(y2)}" '
        f'stroke-linecap="round" {_paint("none", colour, width, dash, opacity)}/>'
    )


def rect(
    x1: float,
    y1: float,
    x2: float,
    y2: float,
    fill: str,
    rounding: float = 0.0,
    stroke: str = "",
    width: float = 0.0,
    opacity: float = 1.0,
) -> str:
    """A rectangle between two corners, in any order."""
    return (
        f'<rect x="{number(min(x1, x2))}" y="{number(min(y1, y2))}" '
        f'width="{number(abs(x2 - x1))}" height="{number(abs(y2 - y1))}" '
        f'rx="{number(rounding)}" {_paint(fill, stroke, width, "", opacity)}/>'
    )


def shape(
    kind: Shape,
    x: float,
    y: float,
    extent: float,
    fill: str,
    stroke: str = "",
    width: float = 0.0,
    dash: str = "",
) -> str:
    """A disc, tile, kite or hexagon that reaches ``extent`` from its centre."""
    return shape_element(kind, x, y, extent, _paint(fill, stroke, width, dash, 1.0))


def path(points: Iterable[tuple[float, float]], width: float, colour: str, dash: str = "") -> str:
    """An open line through some points."""
    steps = "L".join(f"{number(x)} {number(y)}" for x, y in points)
    return f'<path d="M{steps}" stroke-linecap="round" {_paint("none", colour, width, dash, 1.0)}/>'


def arc(x1: float, x2: float, y: float, rise: float, width: float, colour: str) -> str:
    """A slur from one point to another at the same height."""
    middle = number((x1 + x2) / 2)
    return (
        f'<path d="M{number(x1)} {number(y)}Q{middle} {number(y - 2 * rise)} '
        f'{number(x2)} {number(y)}" stroke-linecap="round" {_paint("none", colour, width, "", 1)}/>'
    )


def stroke_sign(down: bool, x: float, y: float, size: float, colour: str) -> str:
    """The sign of a downstroke (an open box) or an upstroke (an angle), ``size`` high."""
    half, width = size / 2, size * 0.13
    if down:
        left, right = x - 0.42 * size, x + 0.42 * size
        legs = path(
            [(left, y + half), (left, y - half), (right, y - half), (right, y + half)],
            width,
            colour,
        )
        return legs + rect(left, y - half, right, y - half + 0.34 * size, colour)
    return path(
        [(x - 0.36 * size, y - half), (x, y + half), (x + 0.36 * size, y - half)], width, colour
    )
