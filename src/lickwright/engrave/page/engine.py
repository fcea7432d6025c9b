"""The layout engine behind one function: MusicXML in, one SVG per system out.

Verovio spaces and stacks the music; everything that it is told stands in :data:`OPTIONS`.
"""

from __future__ import annotations

import re
import threading
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources
from typing import TYPE_CHECKING

from lickwright.errors import OutputError

if TYPE_CHECKING:
    import verovio

#: Units of a page to the engine's px, and to the height of a five-line staff.
UNITS_PER_PX = 10
STAFF_UNITS = 720
MUSIC_FONT = "Leipzig"

#: Of the engine's ids, so that a page is the same whatever was drawn before it.
SEED = 1

OPTIONS: Mapping[str, object] = {
    "inputFrom": "xml",
    "font": MUSIC_FONT,
    # A page is one system, as high as its content, without margins or furniture.
    "systemMaxPerPage": 1,
    "breaks": "auto",
    "pageHeight": 60000,
    "adjustPageHeight": True,
    "pageMarginLeft": 0,
    "pageMarginRight": 0,
    "pageMarginTop": 0,
    "pageMarginBottom": 0,
    "header": "none",
    "footer": "none",
    "minLastJustification": 0.33,
    # The gap between the staves is settled later, by what stands in it.
    "spacingStaff": 0,
    "octaveAlternativeSymbols": True,
    "svgBoundingBoxes": True,
    "svgFormatRaw": True,
    "svgRemoveXlink": True,
    "smuflTextFont": "none",
}

_GLYPH_FILE = re.compile(r'<path[^>]* d="([^"]*)"')


def lay_out(document: str, width: float) -> list[str]:
    """The systems of a MusicXML document, each an SVG page.

    Parameters
    ----------
    width : of every page, in units of :data:`STAFF_UNITS` to a staff height.

    Raises
    ------
    OutputError
        When the engine refuses the document.
    """
    toolkit = _engine()
    toolkit.resetXmlIdSeed(SEED)
    toolkit.setOptions({**OPTIONS, "pageWidth": round(width / UNITS_PER_PX)})
    if not toolkit.loadData(document) or not toolkit.getPageCount():
        raise OutputError("the layout engine cannot read the music")
    return [toolkit.renderToSVG(page) for page in range(1, toolkit.getPageCount() + 1)]


_OWN = threading.local()


def _engine() -> verovio.toolkit:
    """This thread's engine, which takes a while to learn its fonts."""
    engine: verovio.toolkit | None = getattr(_OWN, "engine", None)
    if engine is None:
        import verovio

        # The engine writes its remarks straight to the process's stderr.  What they could tell
        # us, that a note was lost, is checked on the page itself.
        verovio.enableLog(verovio.LOG_OFF)
        # It remembers where its fonts are for each thread apart.
        verovio.setDefaultResourcePath(str(resources.files("verovio") / "data"))
        engine = _OWN.engine = verovio.toolkit()
    return engine


@lru_cache(maxsize=16)
def music_glyph(code: str) -> str:
    """The outline of a SMuFL glyph of the engine's font: ``d`` of a path, y upwards.

    Parameters
    ----------
    code : code point in hexadecimal, such as ``ECA5``.
    """
    file = resources.files("verovio") / "data" / MUSIC_FONT / f"{code}.xml"
    try:
        match = _GLYPH_FILE.search(file.read_text(encoding="utf-8"))
    except OSError as error:
        raise OutputError(f"the music font has no glyph {code}") from error
    return "" if match is None else match[1]
