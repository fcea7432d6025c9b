"""Elements of our own that are drawn on an engraved page: letters, strokes, arcs.

Coordinates are the layout engine's: whole units, 720 to the height of a five-line staff.
"""

from __future__ import annotations

from xml.etree.ElementTree import Element, SubElement

from lickwright.drawing import EM, Style, letter, text_width

#: Styles by their initial; ids of music glyphs are code points in capitals.
STYLES: dict[str, Style] = {"r": "regular", "b": "bold", "i": "italic"}


def lettered(
    text: str, x: float, y: float, size: float, style: Style = "regular", *, middle: bool = False
) -> Element:
    """A text as outlines, readable to a screen reader by its label.

    Parameters
    ----------
    x, y : left end of the base line, or its middle.
    size : font size.
    """
    group = Element("g", {"role": "img", "aria-label": text})
    at = x - text_width(text, size, style) / 2 if middle else x
    for char in text:
        if letter(char, style).path:
            place = f"translate({at:.0f},{y:.0f}) scale({size / EM:.4g},{-size / EM:.4g})"
            SubElement(group, "use", {"href": f"#{letter_id(char, style)}", "transform": place})
        at += letter(char, style).advance * size / EM
    return group


def letter_id(char: str, style: Style) -> str:
    """The id under which a picture defines a letter: its style's initial and its code point."""
    return f"{style[0]}{ord(char):X}"


def is_letter(name: str) -> bool:
    """Whether an id is a letter's, not a music glyph's."""
    return name[:1] in STYLES


def stroke(path: str, width: float, **attributes: str) -> Element:
    """A line along a path."""
    look = {"fill": "none", "stroke-width": f"{width:.0f}", **attributes}
    return Element("path", {"d": path, **look})


def arc(x1: float, x2: float, y: float, height: float) -> Element:
    """A slur from ``x1`` to ``x2`` that rises ``height`` above ``y``, thick in its middle."""
    dx, thick = 0.22 * (x2 - x1), 34.0
    # The curve reaches three quarters of the height of its control points.
    outer, inner = y - height / 0.75, y - (height - thick) / 0.75
    path = (
        f"M{x1:.0f} {y:.0f}C{x1 + dx:.0f} {outer:.0f} {x2 - dx:.0f} {outer:.0f} {x2:.0f} {y:.0f}"
        f"C{x2 - dx:.0f} {inner:.0f} {x1 + dx:.0f} {inner:.0f} {x1:.0f} {y:.0f}Z"
    )
    return Element("path", {"d": path, "stroke-width": "9", "stroke-linejoin": "round"})


def wave(x1: float, x2: float, y: float) -> Element:
    """A wavy line: vibrato."""
    count = max(2, round((x2 - x1) / 95))
    step = (x2 - x1) / count
    path = f"M{x1:.0f} {y:.0f}q{step / 2:.0f} -90 {step:.0f} 0" + f"t{step:.0f} 0" * (count - 1)
    return stroke(path, 26, **{"stroke-linecap": "round"})
