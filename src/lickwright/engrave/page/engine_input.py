"""What does the layout engine get to see? Our MusicXML, less what it cannot draw well.

The engine lays out notes, strokes, fingers, tuplets and chord symbols.  What it misplaces or
leaves out (all that joins the numbers of a tablature, the tempo) is taken away here and drawn by
us later.  A chord symbol becomes one string, since its printed text is settled already.
"""

from __future__ import annotations

from xml.etree.ElementTree import Element, SubElement, tostring

#: Marks that the engine would draw on a tablature, and draw wrongly.
_NOT_ON_TAB = frozenset({"tied", "slur", "slide", "ornaments"})


def page_input(score: Element) -> str:
    """The document for the layout engine; ``score`` is used up in making it."""
    notation, tablature = score.findall("part")
    for harmony in notation.iter("harmony"):
        _one_string(harmony)
    for bar in score.iter("measure"):
        for direction in bar.findall("direction"):
            if direction.find("direction-type/octave-shift") is None:
                bar.remove(direction)
    for note in tablature.iter("note"):
        _only_number(note)
    return tostring(score, encoding="unicode")


def chord_text(harmony: Element) -> str:
    """The printed text of a ``harmony`` element: root, kind and bass."""
    root, kind = harmony.find("root/root-step"), harmony.find("kind")
    text = "" if root is None else root.get("text", root.text or "")
    text += "" if kind is None else kind.get("text", "")
    bass = harmony.findtext("bass/bass-step")
    if bass is not None:
        alter = int(harmony.findtext("bass/bass-alter", "0"))
        text += f"/{bass}" + ("♯" * alter if alter > 0 else "♭" * -alter)
    return text


def _one_string(harmony: Element) -> None:
    """Reduce a ``harmony`` to its printed text and its offset."""
    text = chord_text(harmony)
    offset = harmony.find("offset")
    harmony[:] = []
    SubElement(SubElement(harmony, "root"), "root-step").text = text[:1]
    SubElement(harmony, "kind", {"text": text[1:]}).text = "other"
    if offset is not None:
        harmony.append(offset)


def _only_number(note: Element) -> None:
    """Leave a tablature note its string, fret and tuplet."""
    for tag in ("tie", "play"):
        for element in note.findall(tag):
            note.remove(element)
    for notations in note.findall("notations"):
        notations[:] = [mark for mark in notations if mark.tag not in _NOT_ON_TAB]
        for technical in notations.findall("technical"):
            technical[:] = [mark for mark in technical if mark.tag in ("string", "fret")]
