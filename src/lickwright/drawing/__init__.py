"""Floor 5: how a triad looks, letters, marks and SVG: once, for print, screen and film.

Nouns:

* :class:`Look`: a shape and a way of filling it, then a colour; ``dashed`` is its outline.
* :class:`NeckMark`: one note shown on the neck.
"""

from __future__ import annotations

from lickwright.drawing import svg
from lickwright.drawing.inline import inline_svg
from lickwright.drawing.letters import EM, FIGURE_HEIGHT, Style, letter, text_width
from lickwright.drawing.looks import (
    INK,
    LOOKS,
    PAPER,
    PLAIN_LOOK,
    QUIET,
    Look,
    Shape,
    number,
    shape_element,
)
from lickwright.drawing.neck_marks import (
    DRESSES,
    MARK_REACH,
    Labels,
    NeckMark,
    draw_label,
    draw_mark,
    lick_marks,
    voices_of,
)
from lickwright.drawing.svg import escape_xml, xml_characters
from lickwright.drawing.symbols import printed_symbol

__all__ = [
    "DRESSES",
    "EM",
    "FIGURE_HEIGHT",
    "INK",
    "LOOKS",
    "MARK_REACH",
    "PAPER",
    "PLAIN_LOOK",
    "QUIET",
    "Labels",
    "Look",
    "NeckMark",
    "Shape",
    "Style",
    "draw_label",
    "draw_mark",
    "escape_xml",
    "inline_svg",
    "letter",
    "lick_marks",
    "number",
    "printed_symbol",
    "shape_element",
    "svg",
    "text_width",
    "voices_of",
    "xml_characters",
]
