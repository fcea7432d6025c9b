"""What stands on and over a tablature: numbers, and all that joins them.

Drawn by us, since the layout engine leaves these out or misplaces them: the lines cut around
the numbers, slurs and ties, slides, the letters of hammer-ons and pull-offs, palm mutes and
vibrato.  A number that only goes on from a tie stands in brackets.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from xml.etree.ElementTree import Element

from lickwright.drawing import FIGURE_HEIGHT, text_width
from lickwright.engrave.page.boxes import Box
from lickwright.engrave.page.elements import arc, lettered, stroke, wave
from lickwright.engrave.page.tab_heads import TabHead, Tablature

NUMBER_SIZE = 340.0
WORD_SIZE = 290.0
WORD_HEIGHT = WORD_SIZE * FIGURE_HEIGHT
#: Half the height of a number, and the air around it where its line is cut.
HALF_NUMBER = NUMBER_SIZE * FIGURE_HEIGHT / 2
AIR = 45.0
#: A piece of line between two numbers shorter than this is left out: it would look like a sign.
SHORTEST_LINE = 120.0
LINE_WIDTH = 14.0
#: Rows of marks above the top line: the base line of the first, and from row to row.
FIRST_ROW, NEXT_ROW = 330.0, 310.0
WAVE_HEIGHT = 45.0
MUTE_WIDTH = 1.9 * WORD_SIZE


@dataclass(frozen=True, slots=True)
class TabStaff:
    """The tablature lines of one measure on the page: their heights, and where they run."""

    measure: int
    lines: tuple[float, ...]
    left: float
    right: float


@dataclass(frozen=True, slots=True)
class PlacedHead:
    """A number of the tablature and the middle of its place on the page."""

    head: TabHead
    x: float
    y: float

    @property
    def text(self) -> str:
        sign = "×" if self.head.marks.dead else str(self.head.fret)
        return f"({sign})" if self.head.tied_from else sign

    @property
    def half(self) -> float:
        """Half its width."""
        return text_width(self.text, NUMBER_SIZE) / 2

    @property
    def box(self) -> Box:
        top, bottom = self.y - HALF_NUMBER, self.y + HALF_NUMBER
        return Box("number", self.x - self.half, top, self.x + self.half, bottom)


@dataclass(frozen=True, slots=True)
class TabMark:
    """Something drawn, and its box."""

    drawn: Element
    box: Box


def number(placed: PlacedHead) -> Element:
    """The number itself, upright on its line."""
    return lettered(placed.text, placed.x, placed.y + HALF_NUMBER, NUMBER_SIZE, middle=True)


def staff_lines(staff: TabStaff, placed: Sequence[PlacedHead]) -> Element:
    """The lines of one measure, cut where a number stands."""
    path = ""
    for y in staff.lines:
        at, after_number = staff.left, False
        for each in placed:
            if each.y == y:
                left = each.x - each.half - AIR
                if left - at > (SHORTEST_LINE if after_number else 0):
                    path += f"M{at:.0f} {y:.0f}H{left:.0f}"
                at, after_number = each.x + each.half + AIR, True
        path += f"M{at:.0f} {y:.0f}H{staff.right:.0f}"
    return stroke(path, LINE_WIDTH)


def joining_marks(
    placed: Sequence[PlacedHead], tab: Tablature, staves: Sequence[TabStaff]
) -> Iterator[TabMark]:
    """All marks of one system.

    Parameters
    ----------
    placed : the numbers of the system, in time.
    tab : the numbers of the whole piece; what joins across systems is drawn in halves.
    staves : the tablature lines of the system's measures, in time.
    """
    right = staves[-1].right
    yield from _arcs(placed, tab, right)
    top = min(staves[0].lines)
    taken: list[list[Box]] = [[]]
    for here, there in pairwise([*placed, None]):
        if here is None:
            continue
        next_x = right if there is None else there.x
        if here.head.slides:
            yield _slide(here, there, right)
        if here.head.pull:
            middle = (here.x + next_x) / 2
            mark = _word(here.head.pull, middle, top - FIRST_ROW, middle=True)
            taken[0].append(mark.box)
            yield mark
    for first_x, last_x, kind in _stretches(placed, staves):
        y = top - FIRST_ROW - NEXT_ROW * _free_row(taken, first_x, last_x)
        if kind == "vibrato":
            middle = y - WORD_HEIGHT / 2
            box = Box(kind, first_x, middle - WAVE_HEIGHT, last_x, middle + WAVE_HEIGHT)
            yield TabMark(wave(first_x, last_x, middle), box)
        else:
            yield from _palm_mute(first_x, last_x, y)


def _free_row(taken: list[list[Box]], left: float, right: float) -> int:
    """The first row that is free over a stretch; the stretch is taken in it."""
    row = next(
        (
            index
            for index, boxes in enumerate(taken)
            if not any(box.meets(left - AIR, right + AIR) for box in boxes)
        ),
        len(taken),
    )
    if row == len(taken):
        taken.append([])
    taken[row].append(Box("stretch", left, 0, right, 0))
    return row


def _word(text: str, x: float, y: float, *, middle: bool = False) -> TabMark:
    width = text_width(text, WORD_SIZE)
    left = x - width / 2 if middle else x
    box = Box("word", left, y - WORD_HEIGHT, left + width, y)
    return TabMark(lettered(text, left, y, WORD_SIZE), box)


def _arcs(placed: Sequence[PlacedHead], tab: Tablature, right: float) -> Iterator[TabMark]:
    """Every slur and tie that begins or ends in the system."""
    by_id = {each.head.id: each for each in placed}
    touched = {bond for each in placed for bond in tab.bonds_of.get(each.head.id, ())}
    for first_id, last_id in (tab.bonds[bond] for bond in sorted(touched)):
        first, last = by_id.get(first_id), by_id.get(last_id)
        here = first or last
        if here is not None:
            left = placed[0].x - WORD_SIZE if first is None else first.x + AIR
            end = right - AIR if last is None else last.x - AIR
            y = here.y - HALF_NUMBER - 30
            height = min(max(0.16 * (end - left), 75.0), 135.0)
            yield TabMark(arc(left, end, y, height), Box("arc", left, y - height, end, y))


def _slide(here: PlacedHead, there: PlacedHead | None, right: float) -> TabMark:
    """A slanted line to the next number, or to the end of the system."""
    x1 = here.x + here.half + AIR
    x2 = right if there is None else there.x - there.half
    falls = there is not None and there.head.fret < here.head.fret
    rise = -90.0 if falls else 90.0
    path = f"M{x1:.0f} {here.y + rise:.0f}L{x2 - AIR:.0f} {here.y - rise:.0f}"
    return TabMark(stroke(path, 26), Box("slide", x1, here.y - 90, x2, here.y + 90))


def _stretches(
    placed: Sequence[PlacedHead], staves: Sequence[TabStaff]
) -> Iterator[tuple[float, float, str]]:
    """What stands over a stretch of numbers: from where, to where, what."""
    bar_ends = {staff.measure: staff.right for staff in staves}
    right = staves[-1].right
    start: PlacedHead | None = None
    for index, here in enumerate(placed):
        following = placed[index + 1] if index + 1 < len(placed) else None
        if here.head.marks.vibrato:
            room = bar_ends[here.head.measure] - 4 * AIR
            if following is not None:
                room = min(room, following.x - 3 * AIR)
            yield here.x - HALF_NUMBER, min(room, here.x + 6 * WORD_SIZE), "vibrato"
        if here.head.marks.palm_mute:
            start = start or here
            if following is None or not following.head.marks.palm_mute:
                left = min(start.x - start.half, right - MUTE_WIDTH)
                yield left, max(here.x + here.half, left + MUTE_WIDTH), "mute"
                start = None


def _palm_mute(x1: float, x2: float, y: float) -> Iterator[TabMark]:
    """``P.M.``, and dashes to the last muted number."""
    word = _word("P.M.", x1, y)
    yield word
    dashes, middle = word.box.right + AIR, y - WORD_HEIGHT / 2
    if x2 - dashes > 2 * AIR:
        box = Box("dashes", dashes, middle - 70, x2, middle + 70)
        line = stroke(f"M{dashes:.0f} {middle:.0f}H{x2:.0f}", 18, **{"stroke-dasharray": "90 70"})
        yield TabMark(line, box)
        yield TabMark(stroke(f"M{x2:.0f} {middle - 70:.0f}V{middle + 70:.0f}", 18), box)
