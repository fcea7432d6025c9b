"""The printed lesson: one :class:`Sheet` in, a PDF (or its pages as pictures) out.

The page is set by Typst from ``sheet.typ``, which is a fixed program: everything of the lesson
reaches it as one JSON string, pictures included, and it reads no file and no clock.  So the
lesson's text cannot become code, and the same sheet gives the same bytes.

Units: points (1/72 in) on the page, px in a picture.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from importlib import resources
from typing import Literal

from lickwright.drawing import printed_symbol
from lickwright.engrave.sheet.markdown import parse_markdown
from lickwright.errors import OutputError

#: Width between the margins, in points, by paper; ``sheet.typ`` sets the margins to match.
TEXT_WIDTH_PT = {"a4": 481.0, "us-letter": 498.0}

#: Points to a px of a neck diagram that has room: its labels come out at about 7.5 pt.
DIAGRAM_PT_PER_PX = 0.6
#: The same where an example has so many that they would take the page from the music.
MANY_DIAGRAMS, MANY_PT_PER_PX, LEAST_PT_PER_PX = 3, 0.5, 0.42
DIAGRAM_GAP_PT = 18.0
#: The least room between short music and necks that stand at its side.
BESIDE_GAP_PT = 24.0

#: Up to so many letters (about twelve lines) the whole text of an example keeps with its music; of
#: a longer one the last block does, or the page before would stand half empty.
KEPT_LETTERS = 900


@dataclass(frozen=True, slots=True)
class Diagram:
    """A picture with the line under it."""

    svg: str
    caption: str = ""


@dataclass(frozen=True, slots=True)
class ImpliedRow:
    """What the notes imply over one bass.

    Parameters
    ----------
    symbol : the chord symbol, in ASCII; printed with proper accidentals.
    degrees : the degrees that sound, separated by spaces.
    why : one sentence, ours, in ASCII as ``symbol`` is.
    alternatives : other symbols for the same notes over the same bass, most likely first.
    over : the sounding bass.
    """

    symbol: str
    degrees: str
    why: str
    alternatives: tuple[str, ...] = ()
    over: str = ""


@dataclass(frozen=True, slots=True)
class PracticeRow:
    """One step of a practice plan: what, at which tempo (``""`` for out of time), how often."""

    what: str
    tempo: str
    times: str


@dataclass(frozen=True, slots=True)
class SheetExample:
    """One example of the lesson.

    Parameters
    ----------
    setting : key, metre or tempo where they differ from the lesson's, ``""`` otherwise.
    text, notes : Markdown; above the music, and how to play it, below.
    notation : SVG, one for each system, in order; a system is never split.
    playability : one line: reach, tempo ceiling, what sets it.
    practice : the steps of its practice plan.
    rests : when to rest from them.
    """

    name: str
    number: str
    setting: str = ""
    text: str = ""
    notation: tuple[str, ...] = ()
    diagrams: tuple[Diagram, ...] = ()
    implied: tuple[ImpliedRow, ...] = ()
    notes: str = ""
    playability: str = ""
    practice: tuple[PracticeRow, ...] = ()
    rests: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A whole lesson, ready to be printed or shown.

    Fields in Markdown, the title and the names are the teacher's words and stay as written; in
    the others, which are ours, ``Bb`` is printed B♭ and so on.

    Parameters
    ----------
    number : of the lesson, ``""`` where it has none.
    byline : the line under the title.
    key, tempo, instrument : as they are to be read, such as ``"♩ = 66, then 112"``.
    opening, closing : Markdown.
    cautions : practice and care, one sentence or two each; plain text.
    footer : the left half of the foot line.
    language : BCP 47, for hyphenation and screen readers.
    """

    title: str
    number: str = ""
    byline: str = ""
    key: str = ""
    tempo: str = ""
    instrument: str = ""
    opening: str = ""
    examples: tuple[SheetExample, ...] = ()
    closing: str = ""
    cautions: tuple[str, ...] = ()
    footer: str = ""
    paper: Literal["a4", "us-letter"] = "a4"
    language: str = "en"


def sheet_pdf(sheet: Sheet) -> bytes:
    """Set the lesson as a PDF.

    Raises
    ------
    OutputError
        When a picture of it cannot be read.
    """
    (pdf,) = _typeset(sheet, "pdf", 72.0)
    return pdf


def sheet_png(sheet: Sheet, ppi: float = 144.0) -> list[bytes]:
    """The pages of the lesson as PNG, at ``ppi`` pixels an inch.

    Raises
    ------
    OutputError
        When a picture of it cannot be read.
    """
    return _typeset(sheet, "png", ppi)


def _typeset(sheet: Sheet, form: Literal["pdf", "png"], ppi: float) -> list[bytes]:
    import typst

    template = resources.files("lickwright.engrave.sheet").joinpath("sheet.typ").read_bytes()
    try:
        made = typst.compile(
            template,
            # Only the faces inside the wheel: the same page on every machine.
            font_paths=typst.Fonts(include_system_fonts=False),
            sys_inputs={"sheet": json.dumps(_sheet_data(sheet))},
            format=form,
            ppi=ppi,
            timestamp=0,
        )
    except typst.TypstError as error:
        raise OutputError(
            f"the lesson sheet could not be typeset: {' '.join(error.message.split())}",
            mend="Check the pictures that go on the sheet",
        ) from error
    # Several pages come as a list, whatever the typesetter's types say.
    return list(made) if isinstance(made, list) else [made]  # type: ignore[redundant-expr]


# --- the sheet as JSON values ---------------------------------------------------------------------


def _sheet_data(sheet: Sheet) -> dict[str, object]:
    width = TEXT_WIDTH_PT[sheet.paper]
    systems = [svg for example in sheet.examples for svg in example.notation]
    # One scale for all systems, so that the staves of a lesson are all of one size.
    staff_scale = width / max((svg_size(svg)[0] for svg in systems), default=width)
    facts = (
        ("Key", printed_symbol(sheet.key)),
        ("Tempo", sheet.tempo),
        ("Instrument", sheet.instrument),
    )
    return {
        "title": sheet.title,
        "number": sheet.number,
        "byline": sheet.byline,
        "facts": [{"name": name, "value": value} for name, value in facts if value],
        "opening": _text(sheet.opening),
        "examples": [_example_data(example, width, staff_scale) for example in sheet.examples],
        "closing": _text(sheet.closing),
        "cautions": list(sheet.cautions),
        "footer": sheet.footer,
        "paper": sheet.paper,
        "language": sheet.language,
    }


def _example_data(example: SheetExample, width: float, staff_scale: float) -> dict[str, object]:
    text = parse_markdown(example.text)
    short = sum(len(block.words()) for block in text) <= KEPT_LETTERS
    systems = [(svg, svg_size(svg)[0] * staff_scale) for svg in example.notation]
    rows = diagram_rows(example.diagrams, width)
    beside = len(systems) == len(rows) == 1 and (
        systems[0][1] + BESIDE_GAP_PT + sum(w + DIAGRAM_GAP_PT for _, w in rows[0])
        <= width + DIAGRAM_GAP_PT
    )
    return {
        "name": example.name,
        "number": example.number,
        "setting": printed_symbol(example.setting),
        "text": [block.data() for block in text],
        "sticky": len(text) if short else 1,
        "systems": [{"svg": svg, "width": system_width} for svg, system_width in systems],
        "beside": beside,
        "diagrams": [
            [
                {
                    "svg": diagram.svg,
                    "caption": printed_symbol(diagram.caption),
                    "width": picture_width,
                }
                for diagram, picture_width in row
            ]
            for row in rows
        ],
        "implied": [
            {
                "over": printed_symbol(row.over),
                "symbol": printed_symbol(row.symbol),
                "degrees": printed_symbol(row.degrees),
                "why": printed_symbol(row.why),
                "alternatives": ", ".join(printed_symbol(other) for other in row.alternatives),
            }
            for row in example.implied
        ],
        "notes": _text(example.notes),
        "playability": printed_symbol(example.playability),
        "practice": [asdict(row) for row in example.practice],
        "rests": example.rests,
    }


def _text(markdown: str) -> list[dict[str, object]]:
    return [node.data() for node in parse_markdown(markdown)]


def diagram_rows(diagrams: Iterable[Diagram], width_pt: float) -> list[list[tuple[Diagram, float]]]:
    """Diagrams side by side as far as they fit, each with its width in points."""
    diagrams = list(diagrams)
    scale = DIAGRAM_PT_PER_PX
    if len(diagrams) >= MANY_DIAGRAMS:  # two in a row, if they stay legible
        widest = max(svg_size(diagram.svg)[0] for diagram in diagrams)
        two = (width_pt - DIAGRAM_GAP_PT) / 2 / widest
        scale = max(LEAST_PT_PER_PX, min(MANY_PT_PER_PX, two))
    rows: list[list[tuple[Diagram, float]]] = []
    room = 0.0
    for diagram in diagrams:
        picture_width = min(width_pt, svg_size(diagram.svg)[0] * scale)
        if rows and picture_width + DIAGRAM_GAP_PT <= room:
            rows[-1].append((diagram, picture_width))
            room -= picture_width + DIAGRAM_GAP_PT
        else:
            rows.append([(diagram, picture_width)])
            room = width_pt - picture_width
    return rows


_ROOT = re.compile(r"<svg\b[^>]*>")
_VIEW_BOX = re.compile(r"""\bviewBox\s*=\s*["']([^"']*)["']""")


def svg_size(svg: str) -> tuple[float, float]:
    """Width and height of a picture in px, by its view box.

    Raises
    ------
    OutputError
        When it has none.
    """
    root = _ROOT.search(svg)
    box = _VIEW_BOX.search(root[0]) if root else None
    numbers = re.findall(r"-?\d+(?:\.\d+)?", box[1]) if box else []
    width, height = (float(numbers[2]), float(numbers[3])) if len(numbers) == 4 else (0.0, 0.0)
    if not (width > 0 and height > 0):
        raise OutputError("a picture is not SVG with a view box", mend="Engrave the lesson again")
    return width, height
