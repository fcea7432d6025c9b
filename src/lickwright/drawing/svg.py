"""How does a shape or a word become SVG?  The few elements that our own pictures are made of.

One unit is one CSS pixel.  Everything is plain SVG 1.1 with presentation attributes: no ids, no
style sheet, no script.  The ``lw-`` classes let a page recolour a picture, and text from a lesson
is escaped here and nowhere else.
"""

from __future__ import annotations

import re
from collections.abc import Iterable

from lickwright.drawing.looks import Shape, number, shape_element

SOFT = "#5f574f"

#: Print finds the serif face of the typesetter, a screen its own sans-serif.
FONTS = (
    "Libertinus Serif, Avenir Next, Segoe UI, Helvetica Neue, Arial, Liberation Sans, "
    "DejaVu Sans Condensed, sans-serif"
)

# XML 1.0 (fifth edition), section 2.2: what is not a Char cannot be written, escaped or not.
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")
_ENTITIES = str.maketrans({"&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;"})


def escape_xml(text: str) -> str:
    """Text that is inert in XML and HTML, between tags and inside quoted attributes."""
    return xml_characters(text).translate(_ENTITIES)


def xml_characters(text: str) -> str:
    """Text without the characters that no XML can hold, escaped or not."""
    return _NOT_XML.sub("", text)


#: The widest advance of each kind of letter, in em, in DejaVu Sans: a face as wide as any that a
#: reader is likely to have.
_ADVANCES_EM = (
    (frozenset("mMW@%"), 1.0),
    (frozenset("wOQGDHNU&#<>=+~^_"), 0.84),
    (frozenset("ijltfrI .,:;'|!()[]/\\-"), 0.42),
    (frozenset('abcdeghknopqsuvxyz0123456789$*?"{}'), 0.645),
    (frozenset("ABCEFJKLPRSTVXYZ"), 0.70),
)


def text_width(text: str, size: float) -> float:
    """A width in px that ``text`` does not exceed, whichever face sets it."""
    return size * sum(next((em for kind, em in _ADVANCES_EM if char in kind), 1.1) for char in text)


def _classes(names: str) -> str:
    return " ".join(f"lw-{name}" for name in names.split())


def _classed(names: str) -> str:
    return f'class="{_classes(names)}" ' if names else ""


def _outline(colour: str, width: float, dash: str = "", cap: str = "", opacity: float = 1.0) -> str:
    """What is painted along a line, with a space before it; nothing where there is no colour."""
    paint = f' stroke="{colour}" stroke-width="{number(width)}"' if colour else ""
    if dash:
        paint += f' stroke-dasharray="{dash}"'
    if cap:
        paint += f' stroke-linecap="{cap}" stroke-linejoin="{cap}"'
    return paint + (f' opacity="{number(opacity)}"' if opacity < 1.0 else "")


def line(
    x1: float,
    y1: float,
    x2: float,
    y2: float,
    width: float,
    colour: str,
    names: str = "",
    *,
    dash: str = "",
    cap: str = "",
) -> str:
    """A straight stroke; ``cap`` may be ``"round"``."""
    return (
        f'<line {_classed(names)}x1="{number(x1)}" y1="{number(y1)}" '
        f'x2="{number(x2)}" y2="{number(y2)}"{_outline(colour, width, dash, cap)}/>'
    )


def rect(
    x1: float,
    y1: float,
    x2: float,
    y2: float,
    fill: str,
    names: str = "",
    rounding: float = 0.0,
    *,
    stroke: str = "",
    width: float = 0.0,
    opacity: float = 1.0,
) -> str:
    """A filled rectangle between two corners, in any order."""
    return (
        f'<rect {_classed(names)}x="{number(min(x1, x2))}" y="{number(min(y1, y2))}" '
        f'width="{number(abs(x2 - x1))}" height="{number(abs(y2 - y1))}" '
        f'rx="{number(rounding)}" fill="{fill}"{_outline(stroke, width, opacity=opacity)}/>'
    )


def shape(
    kind: Shape,
    x: float,
    y: float,
    extent: float,
    fill: str,
    names: str = "",
    stroke: str = "",
    width: float = 0.0,
    dash: str = "",
) -> str:
    """A ``disc``, ``tile``, ``kite`` or ``hexagon`` that reaches ``extent`` from its centre."""
    paint = f'{_classed(names)}fill="{fill}"{_outline(stroke, width, dash)}'
    if kind not in ("disc", "tile"):
        paint = f'stroke-linejoin="round" {paint}'
    return shape_element(kind, x, y, extent, paint)


def path(points: Iterable[tuple[float, float]], width: float, colour: str, dash: str = "") -> str:
    """An open line through some points, its corners and ends round."""
    steps = "L".join(f"{number(x)} {number(y)}" for x, y in points)
    return f'<path d="M{steps}" fill="none"{_outline(colour, width, dash, "round")}/>'


def arc(x1: float, x2: float, y: float, rise: float, width: float, colour: str) -> str:
    """A slur from one point to another at the same height."""
    middle = number((x1 + x2) / 2)
    return (
        f'<path d="M{number(x1)} {number(y)}Q{middle} {number(y - 2 * rise)} '
        f'{number(x2)} {number(y)}" fill="none"{_outline(colour, width, "", "round")}/>'
    )


def text(
    x: float,
    y: float,
    words: str,
    colour: str,
    size: float,
    weight: str = "normal",
    names: str = "ink",
    anchor: str = "middle",
) -> str:
    """One line of text on the baseline ``y``."""
    return (
        f'<text class="{_classes(names)}" x="{number(x)}" y="{number(y)}" '
        f'text-anchor="{anchor}" font-size="{number(size)}" font-weight="{weight}" '
        f'fill="{colour}">{escape_xml(words)}</text>'
    )


#: Widths of the drawn accidentals, in em.  Drawn because few text faces carry good ones.
ACCIDENTAL_EM = {"b": 0.36, "#": 0.48, "x": 0.52}


def accidental(sign: str, x: float, y: float, size: float, colour: str, names: str) -> str:
    """A flat ``b``, sharp ``#`` or double sharp ``x``; its left edge at ``x``, centred on ``y``."""

    def at(dx: float, dy: float) -> str:
        return f"{number(x + dx * size)} {number(y + dy * size)}"

    if sign == "b":
        path = (
            f"M{at(0.05, -0.52)}L{at(0.05, 0.34)}"
            f"C{at(0.22, 0.24)} {at(0.36, 0.08)} {at(0.28, -0.05)}"
            f"C{at(0.22, -0.13)} {at(0.11, -0.08)} {at(0.05, 0.0)}"
        )
    elif sign == "#":
        path = (
            f"M{at(0.16, -0.38)}L{at(0.16, 0.44)}M{at(0.31, -0.44)}L{at(0.31, 0.38)}"
            f"M{at(0.05, -0.08)}L{at(0.42, -0.18)}M{at(0.05, 0.18)}L{at(0.42, 0.08)}"
        )
    else:
        path = f"M{at(0.08, -0.18)}L{at(0.44, 0.18)}M{at(0.08, 0.18)}L{at(0.44, -0.18)}"
    return (
        f'<path class="{_classes(names)}-line" d="{path}" fill="none" stroke="{colour}" '
        f'stroke-width="{number(0.095 * size)}" stroke-linecap="round" stroke-linejoin="round"/>'
    )
