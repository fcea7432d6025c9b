"""Floor 5: how a triad looks, letters, marks and SVG: once, for print, screen and film.

Nouns:

* :class:`Look`: a shape and a way of filling it, then a colour; ``dashed`` is its outline.
* :class:`NeckMark`: one note shown on the neck.
* :class:`MarkSize`: how large the mark of a triad is; :class:`MarkSizes`: the marks of a medium.
* :class:`NeckWindow`: first and last fret shown, and whether the open strings have a column.
* :class:`NeckSizes`: the px of a medium; :class:`NeckLayout`: where everything stands in them.
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
from lickwright.drawing.neck_layout import (
    NeckLayout,
    NeckSizes,
    NeckWindow,
    fret_shares,
    window_around,
    wires_of,
)
from lickwright.drawing.neck_marks import (
    MARK_REACH,
    MARK_SIZES,
    Labels,
    MarkSize,
    MarkSizes,
    NeckMark,
    SizedMark,
    draw_label,
    draw_mark,
    lick_marks,
    voices_of,
)
from lickwright.drawing.svg import escape_xml, xml_characters
from lickwright.drawing.symbols import printed_symbol

__all__ = [
    "EM",
    "FIGURE_HEIGHT",
    "INK",
    "LOOKS",
    "MARK_REACH",
    "MARK_SIZES",
    "PAPER",
    "PLAIN_LOOK",
    "QUIET",
    "Labels",
    "Look",
    "MarkSize",
    "MarkSizes",
    "NeckLayout",
    "NeckMark",
    "NeckSizes",
    "NeckWindow",
    "Shape",
    "SizedMark",
    "Style",
    "draw_label",
    "draw_mark",
    "escape_xml",
    "fret_shares",
    "inline_svg",
    "letter",
    "lick_marks",
    "number",
    "printed_symbol",
    "shape_element",
    "svg",
    "text_width",
    "voices_of",
    "window_around",
    "wires_of",
    "xml_characters",
]
