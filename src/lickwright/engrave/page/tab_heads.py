"""What does a MusicXML tablature say? Its numbers in time, and what joins them."""

from __future__ import annotations

from dataclasses import dataclass
from xml.etree.ElementTree import Element

from lickwright.formats.musicxml import marks_of
from lickwright.lick import Marks


@dataclass(frozen=True, slots=True)
class TabHead:
    """One number of the tablature.

    Parameters
    ----------
    id : of its note element.
    measure : index of its measure, from 0.
    place : index among the notes and rests of its measure.
    tied_from, tied_to : it goes on from the number before, into the next.
    slur_from, slur_to : a slur ends, begins here.
    pull : ``H`` or ``P`` where the next number is hammered on or pulled off.
    slides : it slides into the next number.
    marks : what the note bears; of a dead one, a cross stands for its number.
    """

    id: str
    measure: int
    place: int
    string: int
    fret: int
    tied_from: bool
    tied_to: bool
    slur_from: bool
    slur_to: bool
    pull: str
    slides: bool
    marks: Marks


def tab_heads(part: Element) -> tuple[TabHead, ...]:
    """The numbers of a tablature part, in time."""
    return tuple(
        _head(note, measure, place)
        for measure, bar in enumerate(part.iter("measure"))
        for place, note in enumerate(bar.iter("note"))
        if note.find("rest") is None
    )


def _head(note: Element, measure: int, place: int) -> TabHead:
    notations = note.find("notations")
    edges = {(mark.tag, mark.get("type")) for mark in (notations if notations is not None else ())}
    pulls = [
        mark.text or ""
        for tag in ("hammer-on", "pull-off")
        for mark in note.iterfind(f"notations/technical/{tag}[@type='start']")
    ]
    return TabHead(
        id=note.get("id", ""),
        measure=measure,
        place=place,
        string=int(note.findtext("notations/technical/string", "1")),
        fret=int(note.findtext("notations/technical/fret", "0")),
        tied_from=("tied", "stop") in edges,
        tied_to=("tied", "start") in edges,
        slur_from=("slur", "stop") in edges,
        slur_to=("slur", "start") in edges,
        pull="".join(pulls),
        slides=("slide", "start") in edges,
        marks=marks_of(note),
    )
