"""Letters as outlines, so that a page looks the same in print, in a browser and in a film.

The letters come from the typesetter's own serif face (Libertinus Serif, which Typst carries):
Typst is asked once for every letter in every style and answers with an SVG picture, from which
the outlines and the advance widths are read.  No font has to be installed anywhere, and no text
of a lesson becomes code: the letters reach Typst as data.

Units: thousandths of an em, y upwards, as in the font.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from lickwright.errors import OutputError

Style = Literal["regular", "bold", "italic"]

FACE = "Libertinus Serif"
EM = 1000
#: Height of the figures, which are as tall as capitals (measured in the face).
FIGURE_HEIGHT = 0.65
_SPACE = 250
#: The face gives accidentals the width of a figure; inside a chord symbol that is a gap.
_TIGHT = {"♭": 385, "♯": 415, "♮": 400}
_SETTINGS: dict[Style, dict[str, str]] = {
    "regular": {"weight": "regular", "style": "normal"},
    "bold": {"weight": "bold", "style": "normal"},
    "italic": {"weight": "regular", "style": "italic"},
}
#: Printable ASCII and the signs that chord symbols, tempi and tab use.
_LETTERS = "".join(map(chr, range(33, 127))) + "♭♯♮𝄫𝄪–—−×°øØ△Δ"

# One box per letter in one endless line: each begins where the one before ends.
_PROGRAM = """
#set page(width: auto, height: auto, margin: 0pt)
#set text(font: "{face}", size: 1000pt, kerning: false, ligatures: false)
#let asked = json(bytes(sys.inputs.letters))
#box[#for (letter, weight, style) in asked {{
  box(text(weight: weight, style: style, letter))
  box(text(weight: "regular", style: "normal", "|"))
}}]
"""
_PLACED = re.compile(
    r'(?:<g transform="translate\(([-\d.]+)[^)]*\)">)?<g transform="matrix\([^)]*\)">'
    r'<use xlink:href="#(\w+)"'
)
_SYMBOL = re.compile(r'<symbol id="(\w+)"[^>]*><path d="([^"]*)"')


@dataclass(frozen=True, slots=True)
class Letter:
    """One letter: an SVG path (empty for a space) and how far the next one stands."""

    path: str
    advance: int


def letter(char: str, style: Style = "regular") -> Letter:
    """The outline of one letter; the face's empty box where it has no such letter.

    Raises
    ------
    OutputError
        When the typesetter's picture cannot be read.
    """
    if char.isspace():
        return Letter("", _SPACE)
    known = _alphabet().get((char, style))
    return known if known is not None else _drawn(((char, style),))[char, style]


def text_width(text: str, size: float, style: Style = "regular") -> float:
    """Width of a text set at ``size``, in the units of ``size``."""
    return sum(letter(char, style).advance for char in text) * size / EM


@lru_cache(maxsize=1)
def _alphabet() -> dict[tuple[str, Style], Letter]:
    return _drawn(tuple((char, style) for style in _SETTINGS for char in _LETTERS))


@lru_cache(maxsize=256)
def _drawn(asked: tuple[tuple[str, Style], ...]) -> dict[tuple[str, Style], Letter]:
    """Ask the typesetter for some letters."""
    import typst

    rows = [[char, *_SETTINGS[style].values()] for char, style in asked]
    try:
        picture = typst.compile(
            _PROGRAM.format(face=FACE).encode(),
            format="svg",
            ignore_system_fonts=True,
            sys_inputs={"letters": json.dumps(rows)},
        ).decode()
    except typst.TypstError as error:
        raise OutputError(f"the typesetter cannot draw letters: {error}") from error
    outlines = dict(_SYMBOL.findall(picture))
    placed = [(float(x or 0), outlines[symbol]) for x, symbol in _PLACED.findall(picture)]
    if len(placed) != 2 * len(asked):
        raise OutputError(
            f"the typesetter drew {len(placed)} of {2 * len(asked)} letters",
            mend="Install the version of typst that constraints.txt names",
        )
    return {
        key: Letter(
            placed[2 * index][1],
            _TIGHT.get(key[0], round(placed[2 * index + 1][0] - placed[2 * index][0])),
        )
        for index, key in enumerate(asked)
    }
