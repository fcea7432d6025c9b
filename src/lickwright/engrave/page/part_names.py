"""The names of a lick's parts over a system: each where its part begins, above what is there."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from xml.etree.ElementTree import Element

from lickwright.drawing import text_width
from lickwright.engrave.page.boxes import Box, highest
from lickwright.engrave.page.elements import lettered

SIZE = 300.0
AIR = 130.0
#: From the middle of a note head to the left end of a name.
BEFORE = 110.0


def part_starts(notation: Element) -> dict[str, str]:
    """The name of the part that begins with a note, by the note's id (MusicXML ``rehearsal``)."""
    starts: dict[str, str] = {}
    name = ""
    for element in notation.iterfind("measure/*"):
        if element.tag == "direction":
            name = element.findtext("direction-type/rehearsal", name)
        elif element.tag == "note" and element.find("rest") is None and name:
            starts[element.get("id", "")] = name
            name = ""
    return starts


def part_names(
    starts: Mapping[str, str], heads: Sequence[tuple[str, float, float]], boxes: list[Box]
) -> list[Element]:
    """The names drawn over a system; their boxes are added to what is drawn already.

    Parameters
    ----------
    starts : as :func:`part_starts` has them.
    heads : id, x and y of every note head of the system.
    """
    drawn = []
    for name, x, _ in heads:
        text = starts.get(name)
        if text is None:
            continue
        left = max(x - BEFORE, 0.0)
        right = left + text_width(text, SIZE, "bold")
        base = highest(boxes, left - AIR, right + AIR) - AIR
        drawn.append(lettered(text, left, base, SIZE, "bold"))
        boxes.append(Box("part", left, base - SIZE, right, base))
    return drawn
