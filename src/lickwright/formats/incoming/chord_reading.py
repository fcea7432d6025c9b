"""Which chord does a MusicXML ``harmony`` name?

The printed text is tried first, and taken where it says the same as the kind and its degrees;
else the kind and its degrees decide.

Source: MusicXML 4.0 (2021), ``harmony``; the kinds are those of
:data:`lickwright.formats.musicxml.chord_kinds.KIND_VALUES`.
"""

from __future__ import annotations

import re
from dataclasses import replace
from xml.etree.ElementTree import Element

from lickwright.errors import TheoryError
from lickwright.formats.musicxml import KIND_VALUES, musicxml_harmony
from lickwright.theory import (
    LETTERS,
    Chord,
    NoteName,
    chord_from_degrees,
    degree_number,
    parse_chord,
)

#: The symbol that each kind is written with when no degree changes it.  A thirteenth leaves its
#: 11 out there, as players do.
KIND_SUFFIXES = {
    "major": "",
    "minor": "m",
    "augmented": "aug",
    "diminished": "dim",
    "dominant": "7",
    "major-seventh": "maj7",
    "minor-seventh": "m7",
    "diminished-seventh": "dim7",
    "augmented-seventh": "7#5",
    "half-diminished": "m7b5",
    "major-minor": "m(maj7)",
    "major-sixth": "6",
    "minor-sixth": "m6",
    "dominant-ninth": "9",
    "major-ninth": "maj9",
    "minor-ninth": "m9",
    "dominant-11th": "11",
    "major-11th": "maj11",
    "minor-11th": "m11",
    "dominant-13th": "13",
    "major-13th": "maj13",
    "minor-13th": "m13",
    "suspended-second": "sus2",
    "suspended-fourth": "sus4",
    "power": "5",
}


def is_no_chord(element: Element) -> bool:
    """Whether a ``harmony`` says that no chord sounds: N.C."""
    return (element.findtext("kind") or "").strip() == "none"


def chord_of(element: Element) -> Chord | None:
    """The chord of a ``harmony``, or ``None`` where no chord of ours is meant.

    That is so for ``N.C.``, for functions without a root, and for kinds that have no name here.
    """
    chord = _root_position(element)
    inversion = (element.findtext("inversion") or "").strip()
    if chord is None or chord.bass is not None or inversion not in ("1", "2", "3"):
        return chord
    tones = chord.tones
    return replace(chord, bass=tones[int(inversion)]) if int(inversion) < len(tones) else chord


def _root_position(element: Element) -> Chord | None:
    """The chord of a ``harmony`` before its inversion is looked at."""
    root = _note(element, "root")
    kind = element.find("kind")
    if root is None or kind is None:
        return None
    name = (kind.text or "").strip()
    bass = _note(element, "bass")
    degrees = [_degree(degree) for degree in element.findall("degree")]
    step_text = _printed(element.find("root/root-step")) or str(root)
    printed = None
    if kind.get("text") or name in KIND_SUFFIXES:
        printed = _parsed(f"{step_text}{_printed(kind)}", bass)
    if printed is not None and _says(printed, name, degrees):
        return printed
    if not degrees and name in KIND_SUFFIXES:
        return _parsed(f"{root}{KIND_SUFFIXES[name]}", bass)
    if name not in KIND_VALUES:
        return printed
    changed = _changed(KIND_VALUES[name], degrees)
    try:
        return None if changed is None else chord_from_degrees(root, changed, bass)
    except TheoryError:
        return None


def _printed(element: Element | None) -> str:
    return "" if element is None else element.get("text", "")[:40]


def _parsed(symbol: str, bass: NoteName | None) -> Chord | None:
    try:
        return parse_chord(symbol if bass is None else f"{symbol}/{bass}")
    except TheoryError:
        return None


def _note(element: Element, tag: str) -> NoteName | None:
    letter = (element.findtext(f"{tag}/{tag}-step") or "").strip()
    alter = (element.findtext(f"{tag}/{tag}-alter") or "0").strip()
    if letter not in tuple(LETTERS) or not re.fullmatch(r"[+-]?[0-2](?:\.0+)?", alter):
        return None
    return NoteName(letter, int(float(alter)))


Change = tuple[int, int, str]


def _degree(element: Element) -> Change:
    """Value, alteration and what is done; a degree that cannot be read does nothing."""
    value = (element.findtext("degree-value") or "").strip()
    alter = (element.findtext("degree-alter") or "0").strip()
    if not re.fullmatch("[0-9]{1,2}", value) or not re.fullmatch(r"[+-]?[0-2]", alter):
        return 0, 0, ""
    return int(value), int(alter), (element.findtext("degree-type") or "").strip()


def _says(chord: Chord, kind: str, degrees: list[Change]) -> bool:
    """Whether the printed chord is what kind and degrees say; a kind of ``other`` says nothing."""
    if kind in ("other", ""):
        return True
    ours = musicxml_harmony(chord)
    changes = [(change.value, change.alter, change.type) for change in ours.degrees]
    if ours.kind == kind and sorted(changes) == sorted(degrees):
        return True
    if not degrees:
        return KIND_SUFFIXES.get(kind) == chord.kind.suffix
    tones = _changed(KIND_VALUES.get(kind, ()), degrees)
    return tones is not None and set(tones) == set(chord.kind.degrees)


def _changed(kind: tuple[str, ...], changes: list[Change]) -> tuple[str, ...] | None:
    """The degrees of a kind after its changes, ``None`` where one makes no sense."""
    names = list(kind)
    for value, alter, what in changes:
        if not 1 <= value <= 13:
            return None
        own = next((name for name in names if degree_number(name) == value), None)
        if what == "subtract" and own is not None:
            names.remove(own)
        elif what == "alter" and own is not None:
            names[names.index(own)] = _altered(own, alter)
        elif what == "add":
            # An added seventh counts from the minor one of a dominant chord.
            plain = "b7" if value == 7 else str(value)
            names.append(_altered(plain, alter))
        else:
            return None
    return tuple(names)


def _altered(name: str, alter: int) -> str:
    figure = name.lstrip("b#")
    before = name[: len(name) - len(figure)]
    total = before.count("#") - before.count("b") + alter
    return ("#" * total if total > 0 else "b" * -total) + figure
