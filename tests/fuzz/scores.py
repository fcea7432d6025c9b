"""MusicXML that means something: one line with every mark that the program writes or reads.

Source of the elements and their order: W3C MusicXML 4.0 (2021), ``score-partwise``.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from xml.etree.ElementTree import Element, SubElement, tostring

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from lickwright.formats.incoming.chord_reading import KIND_SUFFIXES
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.tunings import TUNINGS, parse_tuning
from lickwright.theory.pitch import parse_note_name, pitch_from_midi

from .grammar import often, pick, whole
from .tab_lines import positions

#: 5, 7 and 9 in the time of 4 and 8 all fit.
DIVISIONS = 5040
_TYPES = {
    Fraction(4): "whole",
    Fraction(2): "half",
    Fraction(1): "quarter",
    Fraction(1, 2): "eighth",
    Fraction(1, 4): "16th",
    Fraction(1, 8): "32nd",
}
_SHARP = ("C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B")
_FLAT = ("C", "Db", "D", "Eb", "E", "F", "Gb", "G", "Ab", "A", "Bb", "B")
_MODES = ("major", "minor", "dorian", "phrygian", "lydian", "mixolydian", "locrian", "none")
_METERS = ((4, 4), (4, 4), (3, 4), (2, 4), (6, 8), (7, 8), (5, 4), (12, 8))


@dataclass(frozen=True, slots=True)
class _Value:
    """A value to be filled: its written length, its dot, its tuplet (with its place in it)."""

    base: Fraction
    dotted: bool = False
    ratio: tuple[int, int] | None = None
    edge: str = ""

    @property
    def length(self) -> Fraction:
        plain = self.base * Fraction(3, 2) if self.dotted else self.base
        return plain if self.ratio is None else plain * Fraction(self.ratio[1], self.ratio[0])


@dataclass(slots=True)
class _Hand:
    """What the line has come to: where it stands, and what is open."""

    guitar: Guitar
    flat: bool
    tabbed: bool
    place: Position | None = None
    tied: bool = False
    slur: bool = False
    pull: str = ""
    notes: list[Element] = field(default_factory=list)


def _add(parent: Element, tag: str, text: object = None, **attributes: str) -> Element:
    element = SubElement(parent, tag, attributes)
    element.text = None if text is None else str(text)
    return element


@lru_cache(maxsize=256)
@st.composite
def scores(draw: DrawFn) -> str:
    """A document with one part, or the same line once more as tablature."""
    guitar = _guitars(draw)
    root = Element("score-partwise", version="4.0")
    if often(draw, 5):
        _add(_add(root, "work"), "work-title", "A line")
    both = often(draw, 4)
    parts = _add(root, "part-list")
    for name in ("P1", "P2")[: 1 + both]:
        _add(_add(parts, "score-part", id=name), "part-name", {"P1": "Lead", "P2": "Tab"}[name])
    part = _add(root, "part", id="P1")
    hand = _Hand(guitar, flat=often(draw, 5), tabbed=both or often(draw, 7))
    meter = pick(draw, _METERS)
    bars = whole(draw, 1, 4)
    pickup = bars > 1 and often(draw, 2)
    for number in range(bars):
        measure = _add(part, "measure", number=str(number + (not pickup)))
        if pickup and number == 0:
            measure.set("implicit", "yes")
        if number and often(draw, 1):
            meter = pick(draw, _METERS)
            _add_meter(_add(measure, "attributes"), meter)
        if number == 0:
            _opening(draw, measure, hand, meter)
        length = Fraction(1) if pickup and number == 0 else Fraction(4 * meter[0], meter[1])
        _bar(draw, measure, hand, length)
    _close(hand, part)
    text = tostring(root, encoding="unicode")
    if both:
        start = text.index('<part id="P1">')
        copy = text[start : text.index("</part>") + len("</part>")].replace("P1", "P2", 1)
        text = text.replace("</score-partwise>", f"{copy}</score-partwise>")
    return text


def _guitars(draw: DrawFn) -> Guitar:
    name = "standard" if often(draw, 5) else pick(draw, tuple(TUNINGS))
    capo = whole(draw, 1, 7) if often(draw, 2) else 0
    return Guitar(open_strings=parse_tuning(name), capo=capo)


def _opening(draw: DrawFn, measure: Element, hand: _Hand, meter: tuple[int, int]) -> None:
    """Divisions, key, meter, tuning and tempo, as the first bar has them."""
    attributes = _add(measure, "attributes")
    _add(attributes, "divisions", DIVISIONS)
    key = _add(attributes, "key")
    _add(key, "fifths", whole(draw, -4, 4))
    if often(draw, 7):
        _add(key, "mode", pick(draw, _MODES))
    _add_meter(attributes, meter)
    clef = _add(attributes, "clef")
    _add(clef, "sign", "G")
    _add(clef, "line", 2)
    if often(draw, 7):
        _add(clef, "clef-octave-change", -1)
    if hand.tabbed:
        details = _add(attributes, "staff-details")
        _add(details, "staff-lines", hand.guitar.string_count)
        for line, pitch in enumerate(reversed(hand.guitar.open_strings), 1):
            tuning = _add(details, "staff-tuning", line=str(line))
            _add(tuning, "tuning-step", pitch.name.letter)
            if pitch.name.alter:
                _add(tuning, "tuning-alter", pitch.name.alter)
            _add(tuning, "tuning-octave", pitch.octave)
        if hand.guitar.capo:
            _add(details, "capo", hand.guitar.capo)
    if often(draw, 5):
        direction = _add(measure, "direction", placement="above")
        mark = _add(_add(direction, "direction-type"), "metronome")
        _add(mark, "beat-unit", pick(draw, ("quarter", "eighth", "half")))
        _add(mark, "per-minute", pick(draw, ("96", "60–96", "54 - 80", "c. 100")))
        if often(draw, 7):
            _add(direction, "sound", tempo=str(whole(draw, 30, 300)))


def _add_meter(attributes: Element, meter: tuple[int, int]) -> None:
    time = _add(attributes, "time")
    _add(time, "beats", meter[0])
    _add(time, "beat-type", meter[1])


def _bar(draw: DrawFn, measure: Element, hand: _Hand, length: Fraction) -> None:
    left = length
    while left:
        if often(draw, 2):
            _harmony(draw, measure)
        if often(draw, 1):
            direction = _add(measure, "direction", placement="above")
            kind = _add(direction, "direction-type")
            _add(kind, *pick(draw, (("words", "P.M."), ("words", "let ring"))))
        for value in _group(draw, left):
            _note(draw, measure, hand, value)
            left -= value.length
    if often(draw, 1):
        barline = _add(measure, "barline", location="right")
        _add(barline, "bar-style", pick(draw, ("light-light", "light-heavy")))
        if often(draw, 3):
            _add(barline, "repeat", direction="backward")


def _group(draw: DrawFn, left: Fraction) -> list[_Value]:
    """One value that fits into what is left, or a tuplet."""
    if left >= 1 and often(draw, 2):
        actual, normal, base = pick(draw, ((3, 2, 2), (5, 4, 4), (6, 4, 4), (7, 4, 4), (9, 8, 8)))
        values = [_Value(Fraction(1, base), False, (actual, normal)) for _ in range(actual)]
        first, last = values[0], values[-1]
        return [
            _Value(first.base, False, first.ratio, "start"),
            *values[1:-1],
            _Value(last.base, False, last.ratio, "stop"),
        ]
    fitting = [_Value(base) for base in _TYPES if base <= min(left, Fraction(2))]
    fitting += [
        _Value(base, dotted=True)
        for base in (Fraction(1), Fraction(1, 2))
        if base * Fraction(3, 2) <= left
    ]
    return [pick(draw, fitting or [_Value(Fraction(1, 8))])]


def _note(draw: DrawFn, measure: Element, hand: _Hand, value: _Value) -> None:
    """A rest, or a note with some of its marks, in the order that the standard gives them."""
    note = _add(measure, "note")
    rest = not hand.tied and often(draw, 1)
    tied_from = hand.tied
    place = hand.place if tied_from else positions(draw, hand.guitar, hand.place)
    assert place is not None
    if rest:
        _add(note, "rest")
    else:
        midi = hand.guitar.midi_at(place)
        name = parse_note_name((_FLAT if hand.flat else _SHARP)[midi % 12])
        pitch = pitch_from_midi(midi, name)
        element = _add(note, "pitch")
        _add(element, "step", name.letter)
        if name.alter:
            _add(element, "alter", name.alter)
        _add(element, "octave", pitch.octave)
    _add(note, "duration", int(value.length * DIVISIONS))
    ties = not rest and often(draw, 1)
    if tied_from:
        _add(note, "tie", type="stop")
    if ties:
        _add(note, "tie", type="start")
    _add(note, "voice", 1)
    _add(note, "type", _TYPES[value.base])
    if value.dotted:
        _add(note, "dot")
    dead = not rest and not tied_from and not hand.pull and often(draw, 1)
    if value.ratio is not None:
        change = _add(note, "time-modification")
        _add(change, "actual-notes", value.ratio[0])
        _add(change, "normal-notes", value.ratio[1])
        _add(change, "normal-type", _TYPES[value.base])
    _add(note, "stem", pick(draw, ("up", "down", "none")))
    if dead:
        _add(note, "notehead", "x")
    notations = Element("notations")
    for tied, edge in ((tied_from, "stop"), (ties, "start")):
        if tied:
            _add(notations, "tied", type=edge)
    if value.edge:
        _add(notations, "tuplet", type=value.edge, number="1", bracket="no")
    if not rest:
        _marks(draw, notations, hand, place, dead=dead, tied=ties or tied_from)
        hand.place = place
        hand.notes.append(note)
    if len(notations):
        note.append(notations)
    if not rest and often(draw, 1):
        _add(_add(note, "play"), "mute", "palm")
    hand.tied = ties


def _marks(
    draw: DrawFn, notations: Element, hand: _Hand, place: Position, *, dead: bool, tied: bool
) -> None:
    """Slurs, slides, ornaments and what both hands do."""
    technical, ornaments = Element("technical"), Element("ornaments")
    led = hand.place is not None and hand.place.string == place.string
    if hand.slur:
        _add(notations, "slur", type="stop", number="1")
        hand.slur = False
    elif not tied and often(draw, 1):
        _add(notations, "slur", type="start", number="1")
        hand.slur = True
    if hand.pull:
        _add(notations if hand.pull == "slide" else technical, hand.pull, type="stop", number="1")
        hand.pull = ""
    if led and not tied and not dead and often(draw, 2):
        hand.pull = pick(draw, ("hammer-on", "pull-off", "slide"))
        _add(notations if hand.pull == "slide" else technical, hand.pull, type="start", number="1")
    if often(draw, 1):
        _add(ornaments, "wavy-line", type="start", number="1")
        _add(ornaments, "wavy-line", type="stop", number="1")
    if often(draw, 2):
        _add(technical, pick(draw, ("down-bow", "up-bow")))
    if often(draw, 2):
        _add(technical, "fingering", 0 if place.fret == 0 else whole(draw, 1, 4))
    if hand.tabbed or often(draw, 2):
        _add(technical, "string", place.string)
        _add(technical, "fret", place.fret)
    notations.extend(each for each in (ornaments, technical) if len(each))


def _close(hand: _Hand, part: Element) -> None:
    """Take back a tie that nothing answers."""
    if hand.tied and hand.notes:
        last = hand.notes[-1]
        for parent, tag in ((last, "tie"), (last.find("notations"), "tied")):
            for edge in [] if parent is None else parent.findall(tag):
                if edge.get("type") == "start" and parent is not None:
                    parent.remove(edge)


def _harmony(draw: DrawFn, measure: Element) -> None:
    harmony = _add(measure, "harmony")
    root = _add(harmony, "root")
    _add(root, "root-step", pick(draw, "CDEFGAB"))
    if often(draw, 3):
        _add(root, "root-alter", pick(draw, (-1, 1)))
    _add(harmony, "kind", pick(draw, tuple(KIND_SUFFIXES)))
    if often(draw, 2):
        _add(_add(harmony, "bass"), "bass-step", pick(draw, "CDEFGAB"))
    if often(draw, 2):
        degree = _add(harmony, "degree")
        _add(degree, "degree-value", pick(draw, (5, 9, 11, 13)))
        _add(degree, "degree-alter", pick(draw, (-1, 0, 1)))
        _add(degree, "degree-type", pick(draw, ("add", "alter", "subtract")))
