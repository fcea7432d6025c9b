"""How do shapes and words become pixels?

Typst, our typesetter, sets the words in its own serif face and paints everything with smooth
edges; no font has to be installed anywhere.  Drawings are collected in an :class:`Album` and
developed together, because one call costs more than a drawing.  Words reach the typesetter as
data, never as code.

One unit is one pixel; x to the right, y downwards.
"""

from __future__ import annotations

import io
import json
from dataclasses import dataclass
from typing import Literal

from PIL import Image

from lickwright.drawing import INK
from lickwright.errors import OutputError

Weight = Literal["regular", "semibold", "bold"]
Anchor = Literal["start", "middle", "end"]

FACE = "Libertinus Serif"
#: Height of figures and capitals, in em (measured in the face).
CAPITAL_EM = 0.65

# The face has its accidentals in one weight and as wide as figures; beside bold letters they are
# drawn firmer, and closer.
_PROGRAM = """
#let share = (start: 0.0, middle: 0.5, end: 1.0)
#let accidental(width) = it => box(
  width: width, move(dx: -0.05em, context text(stroke: 0.022em + text.fill, it)),
)
#show "♭": accidental(0.385em)
#show "♯": accidental(0.415em)
#let set-words(words, size) = text(
  font: "{face}", weight: words.weight, style: if words.italic {{ "italic" }} else {{ "normal" }},
  size: size * 1pt, fill: rgb(words.colour), top-edge: "baseline", bottom-edge: "baseline",
  ligatures: false, words.text,
)
#let put(words) = context {{
  let wide = measure(set-words(words, words.size)).width / 1pt
  let fit = if words.room == none or wide <= words.room {{ 1.0 }} else {{ words.room / wide }}
  let left = words.x - share.at(words.anchor) * wide * fit
  place(dx: left * 1pt, dy: words.y * 1pt, box(set-words(words, words.size * fit)))
}}
#set page(margin: 0pt, fill: none)
#set par(leading: 0pt)
#for drawing in json(bytes(sys.inputs.drawings)) {{
  page(width: drawing.width * 1pt, height: drawing.height * 1pt)[
    #place(image(bytes(drawing.svg), format: "svg", width: 100%, height: 100%))
    #for words in drawing.words {{ put(words) }}
  ]
}}
"""


@dataclass(frozen=True, slots=True)
class Words:
    """One line of text on the baseline ``y``; set smaller where it is wider than ``room``."""

    text: str
    x: float
    y: float
    size: float
    colour: str = INK
    weight: Weight = "bold"
    italic: bool = False
    anchor: Anchor = "middle"
    room: float | None = None


@dataclass(frozen=True, slots=True)
class Drawing:
    """Shapes (SVG elements, of our own making) with words over them, on nothing."""

    width: int
    height: int
    shapes: str = ""
    words: tuple[Words, ...] = ()

    def as_data(self) -> dict[str, object]:
        size = f'width="{self.width}" height="{self.height}"'
        box = f'viewBox="0 0 {self.width} {self.height}"'
        return {
            "width": self.width,
            "height": self.height,
            "svg": f'<svg xmlns="http://www.w3.org/2000/svg" {size} {box}>{self.shapes}</svg>',
            "words": [
                {
                    "text": " ".join(words.text.split()),
                    "x": round(words.x, 3),
                    "y": round(words.y, 3),
                    "size": round(words.size, 3),
                    "colour": words.colour,
                    "weight": words.weight,
                    "italic": words.italic,
                    "anchor": words.anchor,
                    "room": None if words.room is None else round(words.room, 3),
                }
                for words in self.words
            ],
        }


class Sprite:
    """A drawing that can be placed anywhere; its pixels come when the album is developed."""

    def __init__(self, drawing: Drawing) -> None:
        self.width = drawing.width
        self.height = drawing.height
        self._image: Image.Image | None = None

    @property
    def image(self) -> Image.Image:
        """RGBA, with colours that are not multiplied by alpha."""
        if self._image is None:
            raise RuntimeError("the album was not developed")
        return self._image

    def develop(self, image: Image.Image) -> None:
        self._image = image


class Album:
    """Drawings on their way to pixels; equal drawings become one sprite."""

    def __init__(self) -> None:
        self._sprites: dict[Drawing, Sprite] = {}
        self._waiting: list[Drawing] = []

    def add(self, drawing: Drawing) -> Sprite:
        """The sprite of a drawing, to be developed with the others."""
        sprite = self._sprites.get(drawing)
        if sprite is None:
            sprite = self._sprites[drawing] = Sprite(drawing)
            self._waiting.append(drawing)
        return sprite

    def develop(self) -> None:
        """Paint every drawing that was added since the last time.

        Raises
        ------
        OutputError
            When the typesetter fails.
        """
        if self._waiting:
            for drawing, image in zip(self._waiting, _painted(self._waiting), strict=True):
                self._sprites[drawing].develop(image)
        self._waiting = []


def _painted(drawings: list[Drawing]) -> list[Image.Image]:
    import typst

    try:
        pages = typst.compile(
            _PROGRAM.format(face=FACE).encode(),
            format="png",
            ppi=72,
            ignore_system_fonts=True,
            sys_inputs={"drawings": json.dumps([drawing.as_data() for drawing in drawings])},
        )
    except typst.TypstError as error:
        raise OutputError(
            f"the typesetter cannot draw for the screen: {error}",
            mend="Install the version of typst that constraints.txt names",
        ) from error
    images = []
    # A single page comes alone, whatever the typesetter's types say.
    each = [pages] if isinstance(pages, bytes) else pages  # type: ignore[redundant-expr]
    for drawing, page in zip(drawings, each, strict=True):
        image = Image.open(io.BytesIO(page)).convert("RGBA")
        if image.size != (drawing.width, drawing.height):
            raise OutputError(
                f"the typesetter drew {image.size[0]} by {image.size[1]} pixels "
                f"instead of {drawing.width} by {drawing.height}",
                mend="Install the version of typst that constraints.txt names",
            )
        images.append(image)
    return images
