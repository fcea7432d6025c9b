"""How does a triad look, on paper and on the screen?  The one place that says it.

Nothing is told by colour alone: shape and filling tell the triads apart, so that a grey print and
a colour-blind reader lose nothing.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Shape = Literal["disc", "tile", "kite", "hexagon"]

PAPER = "#fffdf9"
INK = "#241f1b"
#: Strings, wires and beat ticks: seen, not read.
QUIET = "#8a8178"

#: Corners of the shapes that have some, for a reach of one from the centre; y grows downward.
_CORNERS = {
    "kite": ((0.0, -1.0), (1.0, 0.0), (0.0, 1.0), (-1.0, 0.0)),
    "hexagon": ((0.5, -0.87), (1.0, 0.0), (0.5, 0.87), (-0.5, 0.87), (-1.0, 0.0), (-0.5, -0.87)),
}


@dataclass(frozen=True, slots=True)
class Look:
    """A shape and a way of filling it, then a colour; ``dashed`` is its outline."""

    shape: Shape
    colour: str
    filled: bool
    dashed: bool = False


#: One look a voice.  The colours also differ in lightness, and along the blue-yellow axis that
#: the common red-green deficiencies leave.
LOOKS = (
    Look("disc", "#1c4f82", filled=True),
    Look("tile", "#b0490c", filled=False),
    Look("kite", "#15675a", filled=True),
    Look("hexagon", "#7b3a7e", filled=False, dashed=True),
)
#: Of a note that belongs to no triad.
PLAIN_LOOK = Look("disc", QUIET, filled=False)


def number(value: float) -> str:
    """A coordinate to a hundredth, the shortest way."""
    return f"{round(value, 2) + 0.0:.2f}".rstrip("0").rstrip(".")


def shape_element(kind: Shape, x: float, y: float, extent: float, paint: str) -> str:
    """The SVG element of a shape that reaches ``extent`` from its centre.

    Parameters
    ----------
    paint : its presentation attributes, escaped.
    """
    if kind == "disc":
        return f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(extent)}" {paint}/>'
    if kind == "tile":
        side = number(2 * extent)
        return (
            f'<rect x="{number(x - extent)}" y="{number(y - extent)}" width="{side}" '
            f'height="{side}" rx="{number(extent / 4)}" {paint}/>'
        )
    points = " ".join(
        f"{number(x + dx * extent)},{number(y + dy * extent)}" for dx, dy in _CORNERS[kind]
    )
    return f'<polygon points="{points}" {paint}/>'
