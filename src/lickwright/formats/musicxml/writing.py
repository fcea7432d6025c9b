"""A Score as MusicXML 4.0: a staff of notation and a staff of tablature, side by side.

Two parts carry the same music.  ``P1`` is the notation: clef, key, chord symbols, strokes (as
down-bow and up-bow), fingers, beams, octave brackets.  ``P2`` is the tablature: strings, frets,
slurs, slides, mutes.  Pitches are sounding pitches; the clef's small 8 (``clef-octave-change``)
says that they are read an octave higher, as guitar music is printed.

Every note head has an ``id`` by which a page or a playhead finds it: the first piece of note 1
is ``n1`` in the notation and ``t1`` in the tablature, the pieces tied to it ``n1-2``, ``n1-3``.

Source: W3C MusicXML 4.0 (2021), ``score-partwise``.
"""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from xml.etree.ElementTree import Element, SubElement, indent, tostring

from lickwright.formats.musicxml.chord_writing import harmony_element
from lickwright.formats.musicxml.note_writing import notation_note, tablature_note, text_element
from lickwright.score import ChordSpan, Score, Swing
from lickwright.score.notation import (
    AccidentalBook,
    NotatedBar,
    WrittenNote,
    WrittenScore,
    printed_tempo,
    runs_at,
    tempo_number,
    write,
)

_HEAD = (
    '<?xml version="1.0" encoding="UTF-8" standalone="no"?>\n'
    '<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" '
    '"http://www.musicxml.org/dtds/partwise.dtd">\n'
)

#: Modes that MusicXML names; any other scale is known by its signature alone.
_MODES = frozenset(
    {
        "major",
        "minor",
        "dorian",
        "phrygian",
        "lydian",
        "mixolydian",
        "aeolian",
        "ionian",
        "locrian",
    }
)


def musicxml(score: Score) -> str:
    """The Score as a MusicXML 4.0 document.

    Raises
    ------
    RhythmError
        When the Score cannot be written: see :func:`lickwright.score.notation.bars.write_bars`.
    """
    root = score_element(write(score))
    indent(root, " ")
    return _HEAD + tostring(root, encoding="unicode") + "\n"


def score_element(written: WrittenScore) -> Element:
    """The ``score-partwise`` element of a written Score, not yet made into text."""
    root = Element("score-partwise", version="4.0")
    encoding = SubElement(SubElement(root, "identification"), "encoding")
    text_element(encoding, "software", "Lickwright")
    _part_list(root)
    notation, tablature = (SubElement(root, "part", id=name) for name in ("P1", "P2"))
    book = AccidentalBook()
    for index in range(len(written.bars)):
        _notation_bar(notation, written, index, book)
        _tablature_bar(tablature, written, index)
    return root


def _part_list(root: Element) -> None:
    parts = SubElement(root, "part-list")
    group = SubElement(parts, "part-group", type="start", number="1")
    text_element(group, "group-barline", "yes")
    for name, title in (("P1", "Notation"), ("P2", "Tablature")):
        part = SubElement(parts, "score-part", id=name)
        text_element(part, "part-name", title, **{"print-object": "no"})
    SubElement(parts, "part-group", type="stop", number="1")


def _measure(part: Element, bar: NotatedBar) -> Element:
    number = str(bar.bar.number)
    if bar.pickup:
        return SubElement(part, "measure", number=number, implicit="yes")
    return SubElement(part, "measure", number=number)


def _attributes(
    measure: Element, written: WrittenScore, index: int, *, tablature: bool = False
) -> Element:
    """Divisions, key and meter, where they begin or change; a tablature prints no meter."""
    bar = written.score.bars[index]
    before = written.score.bars[index - 1] if index else None
    attributes = SubElement(measure, "attributes")
    if before is None:
        text_element(attributes, "divisions", str(written.divisions))
    if before is None or before.key.fifths != bar.key.fifths:
        key = SubElement(attributes, "key")
        text_element(key, "fifths", str(bar.key.fifths))
        if bar.key.mode in _MODES:
            text_element(key, "mode", bar.key.mode)
    if before is None or (before.beats, before.unit) != (bar.beats, bar.unit):
        time = SubElement(attributes, "time", {"print-object": "no"} if tablature else {})
        text_element(time, "beats", str(bar.beats))
        text_element(time, "beat-type", str(bar.unit))
    if len(attributes) == 0:
        measure.remove(attributes)
    return attributes


def _last_barline(measure: Element, written: WrittenScore, index: int) -> None:
    if index == len(written.bars) - 1:
        barline = SubElement(measure, "barline", location="right")
        text_element(barline, "bar-style", "light-heavy")


def _notation_bar(part: Element, written: WrittenScore, index: int, book: AccidentalBook) -> None:
    bar = written.bars[index]
    measure = _measure(part, bar)
    attributes = _attributes(measure, written, index)
    if index == 0:
        clef = SubElement(attributes, "clef")
        text_element(clef, "sign", written.clef.sign)
        text_element(clef, "line", str(written.clef.line))
        if written.clef.octave:
            text_element(clef, "clef-octave-change", str(written.clef.octave))
        _tempo(measure, written.score)
    book.start_bar(bar.bar.key.fifths)
    chords = written.score.chords_in(bar.bar.onset, bar.bar.end)
    for piece in bar.pieces:
        _part_names(measure, written, piece)
        _chord_symbols(measure, written, piece, chords)
        _octave_bracket(measure, written, piece, opens=True)
        measure.append(notation_note(written, piece, book))
        _octave_bracket(measure, written, piece, opens=False)
    _last_barline(measure, written, index)


def _tablature_bar(part: Element, written: WrittenScore, index: int) -> None:
    bar = written.bars[index]
    measure = _measure(part, bar)
    attributes = _attributes(measure, written, index, tablature=True)
    if index == 0:
        clef = SubElement(attributes, "clef")
        text_element(clef, "sign", "TAB")
        text_element(clef, "line", str(written.score.guitar.string_count - 1))
        _staff_details(attributes, written.score)
    for piece in bar.pieces:
        _palm_mute(measure, written, piece, opens=True)
        measure.append(tablature_note(written, piece))
        _palm_mute(measure, written, piece, opens=False)
    _last_barline(measure, written, index)


def _staff_details(attributes: Element, score: Score) -> None:
    guitar = score.guitar
    details = SubElement(attributes, "staff-details")
    text_element(details, "staff-lines", str(guitar.string_count))
    # MusicXML counts staff lines from the bottom: line 1 is the lowest string.
    for line, pitch in enumerate(reversed(guitar.open_strings), start=1):
        tuning = SubElement(details, "staff-tuning", line=str(line))
        text_element(tuning, "tuning-step", pitch.name.letter)
        if pitch.name.alter:
            text_element(tuning, "tuning-alter", str(pitch.name.alter))
        text_element(tuning, "tuning-octave", str(pitch.octave))
    if guitar.capo:
        text_element(details, "capo", str(guitar.capo))


def _tempo(measure: Element, score: Score) -> None:
    """The practice range as one mark; the target tempo for playback."""
    tempo = printed_tempo(score)
    direction = SubElement(measure, "direction", placement="above", directive="yes")
    mark = SubElement(SubElement(direction, "direction-type"), "metronome")
    text_element(mark, "beat-unit", tempo.beat.type)
    if tempo.beat.dotted:
        SubElement(mark, "beat-unit-dot")
    text_element(mark, "per-minute", tempo.per_minute)
    if tempo.swing:
        text_element(SubElement(direction, "direction-type"), "words", tempo.swing)
    sound = SubElement(direction, "sound", tempo=tempo_number(score.target_bpm))
    if score.swing is not None:
        _swing(SubElement(sound, "swing"), score.swing, score.target_bpm)


def _swing(element: Element, swing: Swing, tempo_bpm: float) -> None:
    """How pairs are played back, at the target tempo where the ratio goes by tempo (4.0)."""
    share = swing.share(tempo_bpm)
    if share == Fraction(1, 2):
        SubElement(element, "straight")
        return
    ratio = share / (1 - share)
    text_element(element, "first", str(ratio.numerator))
    text_element(element, "second", str(ratio.denominator))
    text_element(element, "swing-type", "16th" if swing.unit == Fraction(1, 4) else "eighth")


def _chord_symbols(
    measure: Element, written: WrittenScore, piece: WrittenNote, chords: Sequence[ChordSpan]
) -> None:
    """The symbols of the chords that begin while a piece sounds."""
    for chord in chords:
        if piece.onset <= chord.onset < piece.end:
            harmony = harmony_element(chord)
            if chord.onset > piece.onset:
                text_element(harmony, "offset", written.ticks(chord.onset - piece.onset))
            measure.append(harmony)


def _part_names(measure: Element, written: WrittenScore, piece: WrittenNote) -> None:
    """The names of the parts that begin while a piece sounds, where there are several."""
    parts = written.score.lick.parts
    for part in parts if len(parts) > 1 else ():
        if piece.onset <= part.onset < piece.end:
            direction = SubElement(measure, "direction", placement="above")
            kind = SubElement(direction, "direction-type")
            text_element(kind, "rehearsal", part.name)
            if part.onset > piece.onset:
                text_element(direction, "offset", written.ticks(part.onset - piece.onset))


def _octave_bracket(
    measure: Element, written: WrittenScore, piece: WrittenNote, *, opens: bool
) -> None:
    """The start of an octave bracket before its first note, the end after its last."""
    if piece.note is None or (piece.tied_from if opens else piece.tied_to):
        return
    shift = written.shifts[piece.note]
    beside = piece.note - 1 if opens else piece.note + 1
    goes_on = 0 <= beside < len(written.shifts) and written.shifts[beside] == shift
    if shift == 0 or goes_on:
        return
    direction = SubElement(measure, "direction", placement="above" if shift < 0 else "below")
    kind = "stop" if not opens else "down" if shift < 0 else "up"
    size = str(7 * abs(shift) + 1)
    SubElement(SubElement(direction, "direction-type"), "octave-shift", type=kind, size=size)


def _palm_mute(measure: Element, written: WrittenScore, piece: WrittenNote, *, opens: bool) -> None:
    """``P.M.`` and its dashes over the muted notes."""
    if piece.note is None or (piece.tied_from if opens else piece.tied_to):
        return
    for first, last in runs_at(written.mutes, piece.note):
        if piece.note == (first if opens else last):
            direction = SubElement(measure, "direction", placement="above")
            if opens:
                text_element(SubElement(direction, "direction-type"), "words", "P.M.")
            if first < last:
                dashes = SubElement(direction, "direction-type")
                SubElement(dashes, "dashes", type="start" if opens else "stop")
            elif not opens:
                measure.remove(direction)
