"""What does a MusicXML ``note`` say beside pitch and time: strings, hands, ties, tuplets?

Source: W3C MusicXML 4.0 (2021), ``note``, ``notations`` and ``technical``.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Self
from xml.etree.ElementTree import Element

from lickwright.lick import Marks, Stroke, Technique

#: ``note-type-value`` in quarter notes.
NOTE_TYPES = {
    "long": Fraction(16),
    "breve": Fraction(8),
    "whole": Fraction(4),
    "half": Fraction(2),
    "quarter": Fraction(1),
    "eighth": Fraction(1, 2),
    "16th": Fraction(1, 4),
    "32nd": Fraction(1, 8),
    "64th": Fraction(1, 16),
    "128th": Fraction(1, 32),
    "256th": Fraction(1, 64),
}

_TECHNIQUES = {
    "hammer-on": Technique.HAMMER_ON,
    "pull-off": Technique.PULL_OFF,
    "slide": Technique.SLIDE,
    "glissando": Technique.SLIDE,
}
_BOWS = {"down-bow": Stroke.DOWN, "up-bow": Stroke.UP}


@dataclass(frozen=True, slots=True)
class TupletWords:
    """A note's place in a tuplet.

    Parameters
    ----------
    actual, normal : so many values in the time of so many.
    unit : the value they count, in quarter notes; ``None`` where the file does not say.
    starts, stops : whether a bracket begins or ends at the note.
    """

    actual: int
    normal: int
    unit: Fraction | None
    starts: bool
    stops: bool


@dataclass(frozen=True, slots=True)
class NoteWords:
    """What stands on one note.

    Parameters
    ----------
    tied_from, tied_to : it goes on from, and into, a note of its pitch.
    comes_by, leaves_by : the technique that leads to it, and from it.
    whole_bar : a rest that fills its bar.
    """

    tied_from: bool
    tied_to: bool
    string: int | None
    fret: int | None
    finger: int | None
    stroke: Stroke | None
    comes_by: Technique | None
    leaves_by: Technique | None
    marks: Marks
    whole_bar: bool
    tuplet: TupletWords | None

    @classmethod
    def of(cls, element: Element) -> Self:
        """Read a ``note``."""
        edges = {(tie.tag, tie.get("type")) for tie in _ties(element)}
        technical = [mark for group in element.iterfind("notations/technical") for mark in group]
        marks = [*technical, *element.iterfind("notations/*")]
        rest = element.find("rest")
        return cls(
            tied_from=("tie", "stop") in edges or ("tied", "stop") in edges,
            tied_to=("tie", "start") in edges or ("tied", "start") in edges,
            string=_small_number(technical, "string"),
            fret=_small_number(technical, "fret"),
            finger=_finger(technical),
            stroke=next((_BOWS[mark.tag] for mark in technical if mark.tag in _BOWS), None),
            comes_by=_technique(marks, "stop"),
            leaves_by=_technique(marks, "start"),
            marks=marks_of(element),
            whole_bar=rest is not None and rest.get("measure") == "yes",
            tuplet=_tuplet(element),
        )


def marks_of(element: Element) -> Marks:
    """What a ``note`` of the notation or the tablature bears."""
    return Marks(
        vibrato=element.find("notations/ornaments/wavy-line") is not None,
        palm_mute=(element.findtext("play/mute") or "").strip() == "palm",
        dead=(element.findtext("notehead") or "").strip() == "x",
    )


def written_length(element: Element) -> Fraction | None:
    """The length that type, dots and tuplet write, in quarter notes; ``None`` without a type."""
    plain = NOTE_TYPES.get((element.findtext("type") or "").strip())
    if plain is None:
        return None
    dots = min(len(element.findall("dot")), 4)
    tuplet = _tuplet(element)
    ratio = Fraction(1) if tuplet is None else Fraction(tuplet.normal, tuplet.actual)
    return plain * (2 - Fraction(1, 2**dots)) * ratio


def _ties(element: Element) -> list[Element]:
    return [*element.findall("tie"), *element.findall("notations/tied")]


def _small_number(marks: list[Element], tag: str) -> int | None:
    for mark in marks:
        text = (mark.text or "").strip()
        if mark.tag == tag and re.fullmatch("[0-9]{1,2}", text):
            return int(text)
    return None


def _finger(marks: list[Element]) -> int | None:
    """The fretting finger; other signs of hands (thumbs, letters) say nothing to us."""
    finger = _small_number(marks, "fingering")
    return finger if finger is not None and finger <= 4 else None


def _technique(marks: list[Element], edge: str) -> Technique | None:
    for mark in marks:
        if mark.tag in _TECHNIQUES and mark.get("type") == edge:
            return _TECHNIQUES[mark.tag]
    return None


def _tuplet(element: Element) -> TupletWords | None:
    change = element.find("time-modification")
    if change is None:
        return None
    numbers = [(change.findtext(tag) or "").strip() for tag in ("actual-notes", "normal-notes")]
    if not all(re.fullmatch("[1-9][0-9]?", number) for number in numbers):
        return None
    actual, normal = map(int, numbers)
    unit_name = (change.findtext("normal-type") or element.findtext("type") or "").strip()
    unit = NOTE_TYPES.get(unit_name)
    if unit is not None and change.find("normal-dot") is not None:
        unit *= Fraction(3, 2)
    edges = {mark.get("type") for mark in element.iterfind("notations/tuplet")}
    return TupletWords(actual, normal, unit, "start" in edges, "stop" in edges)
