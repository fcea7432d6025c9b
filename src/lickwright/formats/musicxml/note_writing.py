"""One note or rest as a MusicXML element, for the notation and for the tablature.

The order of an element's children is the schema's: W3C MusicXML 4.0, complex type ``note``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from xml.etree.ElementTree import Element, SubElement

from lickwright.lick import LickNote, Stroke, Technique
from lickwright.score.notation import AccidentalBook, Run, WrittenNote, WrittenScore, runs_at

_BOWS = {Stroke.DOWN: "down-bow", Stroke.UP: "up-bow"}
_PULLS = {Technique.HAMMER_ON: ("hammer-on", "H"), Technique.PULL_OFF: ("pull-off", "P")}


def note_id(note: int, part: int = 0, *, tablature: bool = False) -> str:
    """The id of a note head.

    Parameters
    ----------
    note : index into the lick's notes.
    part : which of its tied parts, 0 for the first.
    """
    return f"{'t' if tablature else 'n'}{note + 1}" + (f"-{part + 1}" if part else "")


def text_element(parent: Element, tag: str, text: str, /, **attributes: str) -> Element:
    """A child that holds text."""
    element = SubElement(parent, tag, attributes)
    element.text = text
    return element


def notation_note(written: WrittenScore, piece: WrittenNote, book: AccidentalBook) -> Element:
    """A note or rest of the notation; ``book`` knows the accidentals in force and learns."""
    element = _open(written, piece, tablature=False)
    note = written.note(piece)
    sign = None
    if note is not None and piece.note is not None and not note.marks.dead:
        step = written.clef.written_step(note.pitch) + 7 * written.shifts[piece.note]
        sign = book.sign(note.pitch.name, step, tied=piece.tied_from)
    if sign is not None:
        marks = {"cautionary": "yes", "parentheses": "yes"} if sign.reminder else {}
        text_element(element, "accidental", sign.sign, **marks)
    _time_modification(element, piece)
    if note is not None and piece.value is not None and piece.value.plain < 4:
        text_element(element, "stem", "up" if piece.stem_up else "down")
    _notehead(element, note)
    for number, beam in enumerate(piece.beams, start=1):
        text_element(element, "beam", beam.value, number=str(number))
    notations = [*_bonds(written, piece), *_tuplet(piece, shown=True)]
    technical = Element("technical")
    if note is not None and not piece.tied_from:
        if note.stroke is not None:
            SubElement(technical, _BOWS[note.stroke], placement="above")
        if note.finger is not None and not note.marks.dead:
            text_element(technical, "fingering", str(note.finger), placement="above")
    _close(element, note, [*notations, technical])
    return element


def tablature_note(written: WrittenScore, piece: WrittenNote) -> Element:
    """A note or rest of the tablature: string, fret and what the fretting hand does."""
    element = _open(written, piece, tablature=True)
    note = written.note(piece)
    _time_modification(element, piece)
    if note is not None:
        text_element(element, "stem", "none")
    _notehead(element, note)
    ornaments, technical = Element("ornaments"), Element("technical")
    if note is not None:
        if note.marks.vibrato:
            edges = [
                edge
                for edge, at in (("start", not piece.tied_from), ("stop", not piece.tied_to))
                if at
            ]
            for edge in edges or ["continue"]:
                SubElement(ornaments, "wavy-line", type=edge, number="1")
        technical.extend(_pulls(written, piece))
        text_element(technical, "string", str(note.position.string))
        text_element(technical, "fret", str(note.position.fret))
    bonds = [*_bonds(written, piece), *_tuplet(piece, shown=False)]
    _close(element, note, [*bonds, *_slides(written, piece), ornaments, technical])
    return element


def _open(written: WrittenScore, piece: WrittenNote, *, tablature: bool) -> Element:
    """Pitch or rest, duration, ties, voice, value: all up to the accidental."""
    element = Element("note")
    note = written.note(piece)
    if note is None or piece.note is None:
        SubElement(element, "rest", {} if piece.value is not None else {"measure": "yes"})
    else:
        element.set("id", note_id(piece.note, piece.part, tablature=tablature))
        pitch = SubElement(element, "pitch")
        text_element(pitch, "step", note.pitch.name.letter)
        if note.pitch.name.alter:
            text_element(pitch, "alter", str(note.pitch.name.alter))
        text_element(pitch, "octave", str(note.pitch.octave))
    text_element(element, "duration", written.ticks(piece.duration))
    for tied, edge in ((piece.tied_from, "stop"), (piece.tied_to, "start")):
        if tied:
            SubElement(element, "tie", type=edge)
    text_element(element, "voice", "1")
    if piece.value is not None:
        text_element(element, "type", piece.value.type)
        if piece.value.dotted:
            SubElement(element, "dot")
    return element


def _notehead(element: Element, note: LickNote | None) -> None:
    """A cross for a note that is struck on a damped string."""
    if note is not None and note.marks.dead:
        text_element(element, "notehead", "x")


def _time_modification(element: Element, piece: WrittenNote) -> None:
    if piece.tuplet is None:
        return
    change = SubElement(element, "time-modification")
    text_element(change, "actual-notes", str(piece.tuplet.actual))
    text_element(change, "normal-notes", str(piece.tuplet.normal))
    text_element(change, "normal-type", piece.tuplet.unit.type)
    if piece.tuplet.unit.dotted:
        SubElement(change, "normal-dot")


def _runs(runs: Sequence[Run], piece: WrittenNote) -> Iterator[Run]:
    """The runs that hold the note of a piece; a rest is in none."""
    return iter(()) if piece.note is None else runs_at(runs, piece.note)


def _bonds(written: WrittenScore, piece: WrittenNote) -> Iterator[Element]:
    """Ties and slurs that end and begin at a piece."""
    for tied, edge in ((piece.tied_from, "stop"), (piece.tied_to, "start")):
        if tied:
            yield Element("tied", type=edge)
    for first, last in _runs(written.slurs, piece):
        if piece.note == last and not piece.tied_from:
            yield Element("slur", type="stop", number="1")
        if piece.note == first and not piece.tied_to:
            yield Element("slur", type="start", number="1")


def _tuplet(piece: WrittenNote, *, shown: bool) -> Iterator[Element]:
    if piece.tuplet is None:
        return
    if piece.tuplet.starts:
        look = {"bracket": "no", "show-number": "none"}
        if shown:
            look = {"bracket": "yes" if piece.tuplet.bracket else "no", "placement": "below"}
        yield Element("tuplet", {"type": "start", "number": "1", **look})
    if piece.tuplet.stops:
        yield Element("tuplet", type="stop", number="1")


def _pulls(written: WrittenScore, piece: WrittenNote) -> Iterator[Element]:
    """Hammer-ons and pull-offs that end and begin at a piece."""
    notes = written.score.lick.notes
    if piece.note is None:
        return
    for first, last in runs_at(written.slurs, piece.note):
        for note, free, edge in (
            (piece.note, not piece.tied_from, "stop"),
            (piece.note + 1, not piece.tied_to, "start"),
        ):
            if free and first < note <= last and notes[note].technique in _PULLS:
                tag, sign = _PULLS[notes[note].technique]
                pull = Element(tag, type=edge, number="1")
                pull.text = sign if edge == "start" else None
                yield pull


def _slides(written: WrittenScore, piece: WrittenNote) -> Iterator[Element]:
    for first, last in _runs(written.slides, piece):
        if piece.note == last and not piece.tied_from:
            yield Element("slide", {"type": "stop", "number": "1", "line-type": "solid"})
        if piece.note == first and not piece.tied_to:
            yield Element("slide", {"type": "start", "number": "1", "line-type": "solid"})


def _close(element: Element, note: LickNote | None, notations: list[Element]) -> None:
    """The notations that say something, and how the note is damped."""
    telling = [
        each for each in notations if len(each) or each.tag not in ("technical", "ornaments")
    ]
    if telling:
        SubElement(element, "notations").extend(telling)
    if note is not None and note.marks.palm_mute:
        text_element(SubElement(element, "play"), "mute", "palm")
