"""A Score as engraved systems: one SVG a line of music.

Verovio lays the music out; :mod:`lickwright.engrave.page.engine_input` decides what it gets to see
and :mod:`lickwright.engrave.page.cleaning` turns its picture into ours.  Each system is a picture
of its own, as wide as asked and as high as its content, so that a sheet never splits one; the
letters in it are outlines, so that it looks the same everywhere.  System breaks stand at bar lines.

Every note head keeps an id: ``n1`` is the first note of the lick in the notation, ``t1`` its
number in the tablature, ``n1-2`` the head tied to ``n1``.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element

from lickwright.engrave.page.cleaning import CleanSystem, read_page
from lickwright.engrave.page.engine import STAFF_UNITS, lay_out
from lickwright.engrave.page.engine_input import page_input
from lickwright.engrave.page.part_names import part_names, part_starts
from lickwright.engrave.page.pictures import Picture, picture, svg_text
from lickwright.engrave.page.tab_heads import tablature_of
from lickwright.engrave.page.tempo_mark import tempo_mark
from lickwright.errors import OutputError
from lickwright.formats.musicxml import score_element
from lickwright.score import Score
from lickwright.score.notation import PrintedTempo, printed_tempo, write

#: Height of a five-line staff on the page, in mm.
STAFF_MM = 6.4
#: Air above and below a system, in units of the drawing.
AIR = 40.0

_HEAD = re.compile(r"([nt])(\d+)(?:-(\d+))?")


@dataclass(frozen=True, slots=True)
class ScoreHead:
    """One note head, or number of the tablature, on the page.

    Parameters
    ----------
    id : of its group in the SVG.
    note : index into the lick's notes.
    part : which of the note's tied heads, 0 for the first.
    tablature : whether it stands in the tablature.
    x_mm, y_mm : its middle, from the top left corner of the system.
    """

    id: str
    note: int
    part: int
    tablature: bool
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class System:
    """One line of music as a picture of its own."""

    svg: str
    width_mm: float
    height_mm: float
    heads: tuple[ScoreHead, ...]


@dataclass(frozen=True, slots=True)
class Engraving:
    """A whole example: its systems in order, and all of them in one picture, ``svg``."""

    systems: tuple[System, ...]
    svg: str

    @property
    def svgs(self) -> tuple[str, ...]:
        """One SVG for each system."""
        return tuple(system.svg for system in self.systems)

    @property
    def note_ids(self) -> dict[int, tuple[str, ...]]:
        """Per note of the lick the ids of all its heads, in the order of the page."""
        ids: dict[int, list[str]] = {}
        for system in self.systems:
            for head in system.heads:
                ids.setdefault(head.note, []).append(head.id)
        return {note: tuple(heads) for note, heads in sorted(ids.items())}


def engrave(
    score: Score,
    width_mm: float = 170.0,
    *,
    staff_mm: float = STAFF_MM,
    gap_mm: float = 4.0,
    prefix: str = "",
) -> Engraving:
    """Engrave a Score.

    Parameters
    ----------
    width_mm : width of every system.
    staff_mm : height of the five-line staff.
    gap_mm : between systems in the picture that holds them all.
    prefix : stands before every id, so that several examples can share one document.

    Raises
    ------
    OutputError
        When the music cannot be laid out, or a note is lost on the way.
    RhythmError
        When the Score cannot be written: see :func:`lickwright.score.notation.write`.
    """
    if width_mm < 10 * staff_mm:
        raise OutputError(
            f"a page of {width_mm:g} mm has no room for a staff {staff_mm:g} mm high",
            mend=f"Give at least {10 * staff_mm:g} mm",
        )
    written = write(score)
    music = score_element(written)
    tab = tablature_of(written)
    wanted = [note.get("id", "") for note in music.iter("note") if note.find("rest") is None]
    tempo = printed_tempo(score)
    starts = part_starts(music.findall("part")[0])
    mm_per_unit = staff_mm / STAFF_UNITS
    drawings: list[CleanSystem] = []
    measure = 0
    for page in lay_out(page_input(music), width_mm / mm_per_unit):
        drawing, measures = read_page(page, tab, measure)
        drawings.append(drawing)
        measure += measures
    check_heads(wanted, [name for drawing in drawings for name, _, _ in drawing.heads])
    systems, pictures = [], []
    for index, drawing in enumerate(drawings):
        each, top = _finish(drawing, starts, tempo if index == 0 else None, prefix)
        pictures.append(each)
        systems.append(
            System(
                svg_text([each], mm_per_unit),
                round(each.width * mm_per_unit, 2),
                round(each.height * mm_per_unit, 2),
                tuple(_head(head, top, mm_per_unit, prefix) for head in drawing.heads),
            )
        )
    return Engraving(tuple(systems), svg_text(pictures, mm_per_unit, gap_mm / mm_per_unit))


def _finish(
    drawing: CleanSystem, starts: Mapping[str, str], tempo: PrintedTempo | None, prefix: str
) -> tuple[Picture, float]:
    """A system cut to its content, and the height in the drawing at which it begins."""
    boxes = list(drawing.boxes)
    group = Element("g")
    group.append(drawing.group)
    group.extend(part_names(starts, drawing.heads, boxes))
    if tempo is not None:
        mark, box = tempo_mark(tempo, boxes)
        group.append(mark)
        boxes.append(box)
    top = min(box.top for box in boxes) - AIR
    height = max(box.bottom for box in boxes) + AIR - top
    return picture(group, drawing.glyphs, top, (drawing.width, height), prefix), top


def check_heads(wanted: Sequence[str], drawn: Sequence[str]) -> None:
    """Whether every note head is on the page, once.

    Raises
    ------
    OutputError
    """
    seen = set(drawn)
    lost = [name for name in wanted if name not in seen]
    if lost or len(drawn) != len(wanted):
        names = ", ".join(lost[:4]) or "some of them twice"
        raise OutputError(f"the layout engine drew {len(drawn)} of {len(wanted)} notes: {names}")


def _head(head: tuple[str, float, float], top: float, mm_per_unit: float, prefix: str) -> ScoreHead:
    name, x, y = head
    match = _HEAD.fullmatch(name)
    if match is None:
        raise OutputError(f"a note head is called '{name}'")
    return ScoreHead(
        prefix + name,
        int(match[2]) - 1,
        int(match[3] or 1) - 1,
        match[1] == "t",
        round(x * mm_per_unit, 3),
        round((y - top) * mm_per_unit, 3),
    )
