"""How is a lesson printed?

Nouns:

* :class:`Diagram`: a picture with the line under it.
* :class:`ImpliedRow`: what the notes imply over one bass.
* :class:`PracticeRow`: one step of a practice plan: what, at which tempo (``""`` for out of
  time), how often.
* :class:`SheetExample`: one example of the lesson.
* :class:`Sheet`: a whole lesson, ready to be printed or shown.
"""

from __future__ import annotations

from lickwright.engrave.sheet.markdown import markdown_html
from lickwright.engrave.sheet.sheet import (
    TEXT_WIDTH_PT,
    Diagram,
    ImpliedRow,
    PracticeRow,
    Sheet,
    SheetExample,
    sheet_pdf,
    sheet_png,
    svg_size,
)

__all__ = [
    "TEXT_WIDTH_PT",
    "Diagram",
    "ImpliedRow",
    "PracticeRow",
    "Sheet",
    "SheetExample",
    "markdown_html",
    "sheet_pdf",
    "sheet_png",
    "svg_size",
]
