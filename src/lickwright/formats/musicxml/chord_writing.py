"""A chord as a MusicXML ``harmony`` element that prints as the house writes it."""

from __future__ import annotations

from xml.etree.ElementTree import Element, SubElement

from lickwright.formats.musicxml.chord_kinds import musicxml_harmony
from lickwright.formats.musicxml.note_writing import text_element
from lickwright.score import NO_CHORD, ChordSpan
from lickwright.theory import NoteName, engraved_degree


def harmony_element(chord: ChordSpan) -> Element:
    """The ``harmony`` of a chord, without its time.

    The text of root and kind is the printed symbol; the degrees that change the kind are there
    to be read and heard, not printed.  Notes that have no common name over their bass are a
    pedal on it; where no chord sounds the kind is ``none``.
    """
    if chord.silent:
        return _no_chord()
    if chord.chord is None:
        return _pedal(chord.bass)
    harmony = musicxml_harmony(chord.chord)
    element = Element("harmony", {"print-frame": "no"})
    root = SubElement(element, "root")
    text_element(root, "root-step", harmony.root_step, text=harmony.root_text)
    if harmony.root_alter:
        # The accidental stands in the text of the step already.
        text_element(root, "root-alter", str(harmony.root_alter), **{"print-object": "no"})
    text_element(element, "kind", harmony.kind, text=harmony.kind_text)
    if harmony.bass_step is not None:
        bass = SubElement(element, "bass")
        text_element(bass, "bass-step", harmony.bass_step)
        if harmony.bass_alter:
            text_element(bass, "bass-alter", str(harmony.bass_alter))
    for change in harmony.degrees:
        degree = SubElement(element, "degree", {"print-object": "no"})
        text_element(degree, "degree-value", str(change.value))
        text_element(degree, "degree-alter", str(change.alter))
        text_element(degree, "degree-type", change.type)
    return element


def _no_chord() -> Element:
    """The schema asks for a root; with the kind ``none`` it means nothing and is not printed."""
    element = Element("harmony", {"print-frame": "no"})
    text_element(SubElement(element, "root"), "root-step", "C", text="")
    text_element(element, "kind", "none", text=NO_CHORD)
    return element


def _pedal(bass: NoteName) -> Element:
    element = Element("harmony", {"print-frame": "no"})
    root = SubElement(element, "root")
    text_element(root, "root-step", bass.letter, text=engraved_degree(str(bass)))
    if bass.alter:
        text_element(root, "root-alter", str(bass.alter), **{"print-object": "no"})
    text_element(element, "kind", "pedal", text=" ped.")
    return element
