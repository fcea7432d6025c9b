"""How does the layout engine's picture become ours?  One system in, one clean drawing out.

The engine's SVG is rewritten: ids stay on note heads alone, style sheets go, words become
outlines, tablature lines are cut around our numbers, and the marks that the engine cannot draw
on a tablature are added.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from xml.etree.ElementTree import Element, fromstring

from lickwright.drawing import Style
from lickwright.engrave.page.boxes import Box, lowest, take_boxes
from lickwright.engrave.page.brackets import clear_brackets
from lickwright.engrave.page.chord_row import ChordWord, set_chords
from lickwright.engrave.page.elements import lettered
from lickwright.engrave.page.tab_heads import Tablature
from lickwright.engrave.page.tab_marks import (
    AIR,
    PlacedHead,
    TabStaff,
    joining_marks,
    number,
    staff_lines,
)
from lickwright.errors import OutputError

#: Words by the class of their group: style and size (a five-line staff is 720 high).
_WORDS: dict[str, tuple[Style, float]] = {
    "fing": ("bold", 290.0),
    "mNum": ("italic", 280.0),
}
#: The engine sets accidentals inside words in the music font (SMuFL, figured bass U+EA63 to
#: U+EA67), and spaces as spaces that do not break.
_SIGNS = str.maketrans(
    {
        "\uea63": "𝄫",
        "\uea64": "♭",
        "\uea65": "♮",
        "\uea66": "♯",
        "\uea67": "𝄪",
        "\xa0": " ",
    }
)
_DROPPED = frozenset({"placeholder", "systemMilestoneEnd"})
_RESTS = frozenset({"rest", "mRest"})
#: From the lowest staff line to the tablature, and from anything else of the notation.
STAFF_GAP, CLEARANCE = 600.0, 130.0
#: From the left edge of a black note head to its middle.
HALF_HEAD = 113.0
_NUMBERS = re.compile(r"-?[\d.]+")
_NAMESPACE = re.compile(r' xmlns(:\w+)?="[^"]*"')
_LINE = re.compile(r"M([-\d.]+) ([-\d.]+) L([-\d.]+) ([-\d.]+)")


@dataclass(frozen=True, slots=True)
class CleanSystem:
    """One system as drawn, in the engine's units.

    Parameters
    ----------
    group : all that is drawn.
    glyphs : music glyphs that it uses: code -> ``d`` of their path.
    width : of the page, which begins at x = 0.
    boxes : what is taken on the page: the engine's notation, our numbers and marks.
    heads : id, x, y of every note head of both staves, in the order drawn.
    """

    group: Element
    glyphs: dict[str, str]
    width: float
    boxes: tuple[Box, ...]
    heads: tuple[tuple[str, float, float], ...]


def read_page(svg: str, tab: Tablature, first_measure: int) -> tuple[CleanSystem, int]:
    """Our drawing of one page of the layout engine, and the number of measures on it.

    Parameters
    ----------
    svg : the engine's page, holding one system.
    tab : the tablature of the whole piece.
    first_measure : index of the page's first measure.
    """
    root = _plain(svg)
    scaled = root.find("svg[@class='definition-scale']")
    system = None if scaled is None else scaled.find("g/g[@class='system']")
    if scaled is None or system is None:
        raise OutputError("the layout engine drew a page of another make")
    width = float(scaled.get("viewBox", "").split()[2])
    measures = system.findall("g[@class='measure']")
    staves = [measure.findall("g[@class='staff']")[1] for measure in measures]
    for staff in staves:
        take_boxes(staff)  # the tablature is drawn anew
    clear_brackets(system)
    boxes = [box for box in take_boxes(system) if box.kind != "system"]
    heads = list(_heads(measures))
    lines, placed = _redraw_tablature(staves, tab, first_measure)
    marks = list(joining_marks(placed, tab, lines))
    ours = [each.box for each in placed] + [mark.box for mark in marks]
    shift = _room(boxes, ours, lines)
    for staff in staves:
        staff.set("transform", f"translate(0,{shift:.0f})")
    _stretch_lines(system, min(lines[0].lines), shift)
    chords = _reset_chords(system, width)
    boxes = [box for box in boxes if box.kind != "harm"] + chords
    _mend(system, {name for name, _, _ in heads})
    over = Element("g", {"class": "lw-tab-marks", "transform": f"translate(0,{shift:.0f})"})
    over.extend(mark.drawn for mark in marks)
    system.append(over)
    ours = [box.moved(shift) for box in (*ours, _staff_box(lines))]
    numbers = {each.head.id: each.y + shift for each in placed}
    heads = [(name, x, numbers.get(name, y)) for name, x, y in heads]
    return CleanSystem(system, _glyphs(root), width, (*boxes, *ours), tuple(heads)), len(measures)


def _staff_box(lines: Sequence[TabStaff]) -> Box:
    tops, bottoms = lines[0].lines[0], lines[0].lines[-1]
    return Box("tablature", lines[0].left, tops, lines[-1].right, bottoms)


def _glyphs(root: Element) -> dict[str, str]:
    glyphs = {}
    for glyph in root.iterfind("defs/g"):
        path = glyph.find("path")
        if path is not None:
            glyphs[glyph.get("id", "").partition("-")[0]] = path.get("d", "")
    return glyphs


def _plain(svg: str) -> Element:
    """The page's root, its names without namespaces: those are declared in its first tag alone."""
    head, end, rest = svg.partition(">")
    return fromstring(_NAMESPACE.sub("", head) + end + rest)


def _heads(measures: Sequence[Element]) -> Iterator[tuple[str, float, float]]:
    """Id and place of every note head: the middle of the head, or of the number."""
    for measure in measures:
        for note in measure.iterfind(".//g[@class='note']"):
            head, text = note.find("g[@class='notehead']/use"), note.find("text")
            if head is not None:
                x, y = map(float, _NUMBERS.findall(head.get("transform", ""))[:2])
                yield note.get("id", ""), x + HALF_HEAD, y
            elif text is not None:
                yield note.get("id", ""), float(text.get("x", "0")), float(text.get("y", "0"))


def _redraw_tablature(
    staves: Sequence[Element], tab: Tablature, first_measure: int
) -> tuple[list[TabStaff], list[PlacedHead]]:
    """Set our lines and numbers in place of the engine's; say where they stand."""
    lines, everything = [], []
    for index, staff in enumerate(staves, start=first_measure):
        taken = _take_lines(staff, index)
        notes = {note.get("id"): note for note in staff.iterfind(".//g[@class='note']")}
        placed = []
        for head in tab.measures[index]:
            note = notes[head.id]
            text = note.find("text")
            x = float("nan" if text is None else text.get("x", "nan"))
            placed.append(PlacedHead(head, x, taken.lines[head.string - 1]))
            note[:] = [number(placed[-1])]
        staff.insert(0, staff_lines(taken, placed))
        for layer in staff.findall("g[@class='layer']"):
            for rest in [each for each in layer.iter("g") if each.get("class") in _RESTS]:
                rest.clear()
        lines.append(taken)
        everything += placed
    return lines, everything


def _room(boxes: Sequence[Box], ours: Sequence[Box], lines: Sequence[TabStaff]) -> float:
    """How far down the tablature has to go so that nothing of it meets the notation."""
    top = min(lines[0].lines)
    drawn = [box for box in boxes if box.kind != "barLine"]
    staff_bottom = max(box.bottom for box in drawn if box.kind == "staff")
    needs = [staff_bottom + STAFF_GAP - top, max(box.bottom for box in drawn) + CLEARANCE - top]
    # Whatever does not stand out over the top line is clear of everything by now.
    tall = [box for box in ours if box.top < top + 2 * AIR - CLEARANCE]
    needs += [lowest(drawn, box.left - AIR, box.right + AIR) + 2 * AIR - box.top for box in tall]
    return max(needs)


def _take_lines(staff: Element, measure: int) -> TabStaff:
    """Take the engine's broken lines off a tablature staff and say where they ran."""
    reach: dict[float, tuple[float, float]] = {}
    for path in staff.findall("path"):
        match = _LINE.fullmatch(path.get("d", ""))
        if match is not None:
            x1, y, x2 = float(match[1]), float(match[2]), float(match[3])
            left, right = reach.get(y, (x1, x2))
            reach[y] = (min(left, x1), max(right, x2))
            staff.remove(path)
    lefts, rights = zip(*reach.values(), strict=True)
    return TabStaff(measure, tuple(sorted(reach)), min(lefts), max(rights))


def _stretch_lines(system: Element, tab_top: float, shift: float) -> None:
    """Carry the lines that join both staves down to the tablature, each in one piece."""
    groups = [group for group in system.iter("g") if group.get("class") == "barLine"]
    for group in [system, *groups]:
        reach: dict[tuple[str, str], tuple[float, float]] = {}
        for path in group.findall("path"):
            match = _LINE.fullmatch(path.get("d", ""))
            if match is not None and match[1] == match[3]:
                key = match[1], path.get("stroke-width", "")
                y1, y2 = sorted((float(match[2]), float(match[4])))
                top, bottom = reach.get(key, (y1, y2))
                reach[key] = min(top, y1), max(bottom, y2)
                group.remove(path)
        for (x, width), (top, bottom) in reach.items():
            end = bottom + shift if bottom > tab_top else bottom
            group.append(Element("path", {"d": f"M{x} {top:.0f}V{end:.0f}", "stroke-width": width}))


def _mend(element: Element, keep: set[str]) -> None:
    """Drop, letter and strip what is below an element."""
    for child in list(element):
        names = set(child.get("class", "").split())
        if names & _DROPPED or child.get("visibility") == "hidden":
            element.remove(child)
            continue
        if child.get("id") not in keep:
            child.attrib.pop("id", None)
        words = next((name for name in _WORDS if name in names), None)
        if words is not None:
            child[:] = [_relettered(text, *_WORDS[words]) for text in child.iter("text")]
        else:
            _mend(child, keep)
        if child.tag == "g" and not len(child):
            element.remove(child)
        elif names:
            child.set("class", " ".join(f"lw-{name}" for name in sorted(names)))


def _relettered(text: Element, style: Style, size: float) -> Element:
    words, x, y = _words(text)
    # The engine centres a bar number on the system's edge, where half of it would be cut.
    middle = text.get("text-anchor") == "middle" and x > 0
    return lettered(words, x, y, size, style, middle=middle)


def _words(text: Element) -> tuple[str, float, float]:
    """What a text says, and where it stands."""
    words = "".join(text.itertext()).strip().translate(_SIGNS)
    return words, float(text.get("x", "0")), float(text.get("y", "0"))


def _reset_chords(system: Element, width: float) -> list[Box]:
    """Set the chord symbols in our letters; the boxes that they take."""
    groups = [group for group in system.iter("g") if group.get("class") == "harm"]
    texts = [(group, text) for group in groups for text in group.iter("text")]
    texts.sort(key=lambda pair: float(pair[1].get("x", "0")))
    words = set_chords([ChordWord(*_words(text)) for _, text in texts], width)
    for (group, _), word in zip(texts, words, strict=True):
        group[:] = [lettered(word.text, word.x, word.y, word.size)]
    return [Box("harm", word.x, word.y - word.size, word.right, word.y) for word in words]
