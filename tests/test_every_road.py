"""Every field of a note and of a score goes along every road, or says why it cannot.

Each field is changed in a small score, and the changed score sent along each road.  What a road
gives back or makes must differ from what it makes of the plain score (and, where the road leads
back to notes, hold the changed value); else the field stands in ``CANNOT`` with the reason.  A new
field, or a new mark, fails here until it has a change of its own and has been thought about.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import fields, replace
from fractions import Fraction
from typing import Any

import pytest

from lickwright.changes.carry.carrying import carry
from lickwright.changes.progression import parse_changes
from lickwright.engrave.page import engrave
from lickwright.formats.incoming.reading import read_musicxml
from lickwright.formats.musicxml import musicxml
from lickwright.lick import (
    Belonging,
    Lick,
    LickNote,
    Marks,
    Part,
    PartLink,
    Stroke,
    Technique,
    Tuplet,
)
from lickwright.lick.rhythm import rhythm_of
from lickwright.lick.tab import lick_from_tab, print_tab
from lickwright.neck import Guitar, Position
from lickwright.neck.tunings import parse_tuning
from lickwright.score import Bar, ChordSpan, Score, Swing
from lickwright.shelf.licks import score_from_json, score_json
from lickwright.sound import midi_bytes
from lickwright.sound.mix.rendering import Playing, stems
from lickwright.theory import Chord, NoteName, Pitch, parse_chord, parse_key
from lickwright.video.film import screen_of
from lickwright.video.frames.clock import Clock, Passage
from lickwright.video.frames.pixels import Album, Drawing, Sprite

F = Fraction
C = NoteName("C")


def _notes(*rows: tuple[int, int, str, int, F, F]) -> tuple[LickNote, ...]:
    """String, fret, letter, octave, onset, duration of each note; alternate strokes."""
    return tuple(
        LickNote(
            Position(string, fret),
            Pitch(NoteName(letter), octave),
            onset,
            length,
            finger=2 if fret == 3 else 4 if fret == 5 else 1,
            stroke=(Stroke.DOWN, Stroke.UP)[at % 2],
            voice=0,
            degree="1",
            belongs=Belonging((0, 1), 0),
        )
        for at, (string, fret, letter, octave, onset, length) in enumerate(rows)
    )


NOTES = _notes(
    (5, 3, "C", 3, F(0), F(1)),
    (5, 5, "D", 3, F(1), F(1)),
    (4, 2, "E", 3, F(2), F(1)),
    (4, 3, "F", 3, F(3), F(1)),
)
TRIPLET = _notes(
    (5, 3, "C", 3, F(0), F(1)),
    (5, 5, "D", 3, F(1), F(1)),
    (4, 2, "E", 3, F(2), F(1)),
    (4, 3, "F", 3, F(3), F(1, 3)),
    (4, 2, "E", 3, F(10, 3), F(1, 3)),
    (5, 5, "D", 3, F(11, 3), F(1, 3)),
)
PARTS = (Part("call", F(0), F(2)), Part("answer", F(2), F(2), PartLink.ANSWER, 0))
BAR = Bar(1, F(0), F(4), 4, 4, parse_key("C major"))


def _span(onset: F, length: F, symbol: str) -> ChordSpan:
    chord = parse_chord(symbol)
    return ChordSpan(onset, length, chord, chord.notes, chord.bass_note)


PLAIN_SCORE = Score(
    "Plain", Guitar(), Lick(NOTES, F(4), (), PARTS), (BAR,), (_span(F(0), F(4), "C"),), 60.0, 90.0
)


def _note(**changes: Any) -> Score:
    """The score with its second note changed."""
    notes = (NOTES[0], replace(NOTES[1], **changes), *NOTES[2:])
    return replace(PLAIN_SCORE, lick=replace(PLAIN_SCORE.lick, notes=notes))


def _lick(**changes: Any) -> Score:
    return replace(PLAIN_SCORE, lick=replace(PLAIN_SCORE.lick, **changes))


def _chord(**changes: Any) -> Score:
    return replace(PLAIN_SCORE, chords=(replace(PLAIN_SCORE.chords[0], **changes),))


def _part(**changes: Any) -> Score:
    return _lick(parts=(PARTS[0], replace(PARTS[1], **changes)))


_IN_THREES = _lick(notes=TRIPLET, tuplets=(Tuplet(F(3), F(1), 3, 2),))
_TWO_BARS = replace(
    _lick(length=F(8)), bars=(BAR, replace(BAR, number=2, onset=F(4))),
    chords=(_span(F(0), F(4), "C"), _span(F(4), F(4), "C")),
)  # fmt: skip
_PICKUP = replace(
    PLAIN_SCORE, bars=(replace(BAR, number=0, length=F(1)), replace(BAR, onset=F(1), length=F(4))),
    lick=replace(PLAIN_SCORE.lick, length=F(5)),
)  # fmt: skip
_MOVED_PART = _lick(
    parts=(replace(PARTS[0], length=F(1)), replace(PARTS[1], onset=F(1), length=F(3)))
)

#: The score that differs from the plain one in a field.
CHANGED: dict[str, Score] = {
    "LickNote.position": _note(position=Position(6, 10)),
    "LickNote.pitch": _note(pitch=Pitch(NoteName("E", -2), 3)),
    "LickNote.onset": _note(onset=F(3, 2), duration=F(1, 2)),
    "LickNote.duration": _note(duration=F(1, 2)),
    "LickNote.finger": _note(finger=3),
    "LickNote.stroke": _note(stroke=Stroke.DOWN),
    "LickNote.technique": _note(technique=Technique.HAMMER_ON, stroke=None),
    "LickNote.marks": _note(marks=Marks(vibrato=True, palm_mute=True)),
    "LickNote.voice": _note(voice=1),
    "LickNote.degree": _note(degree="9"),
    "LickNote.belongs": _note(belongs=Belonging((1, 0), 1)),
    "Marks.vibrato": _note(marks=Marks(vibrato=True)),
    "Marks.palm_mute": _note(marks=Marks(palm_mute=True)),
    "Marks.dead": _note(marks=Marks(dead=True)),
    "Belonging.triads": _note(belongs=Belonging((1,), 0)),
    "Belonging.part": _note(belongs=Belonging((0, 1), 1)),
    "Belonging.approach": _note(belongs=Belonging((0, 1), 0, approach=True)),
    "Tuplet.onset": _IN_THREES,
    "Tuplet.length": _IN_THREES,
    "Tuplet.actual": _IN_THREES,
    "Tuplet.normal": _IN_THREES,
    "Part.name": _part(name="echo"),
    "Part.onset": _MOVED_PART,
    "Part.length": _MOVED_PART,
    "Part.link": _part(link=PartLink.REPEAT),
    "Part.of": _part(link=None, of=None),
    "Lick.notes": _lick(notes=NOTES[:3]),
    "Lick.length": _TWO_BARS,
    "Lick.tuplets": _IN_THREES,
    "Lick.parts": _lick(parts=(*PARTS[:1], replace(PARTS[1], name="last"))),
    "Bar.number": _PICKUP,
    "Bar.onset": _PICKUP,
    "Bar.length": _PICKUP,
    "Bar.beats": replace(PLAIN_SCORE, bars=(replace(BAR, beats=8, unit=8),)),
    "Bar.unit": replace(PLAIN_SCORE, bars=(replace(BAR, beats=2, unit=2),)),
    "Bar.key": replace(PLAIN_SCORE, bars=(replace(BAR, key=parse_key("G major")),)),
    "ChordSpan.onset": replace(
        PLAIN_SCORE, chords=(_span(F(0), F(2), "C"), _span(F(2), F(2), "F"))
    ),
    "ChordSpan.length": replace(
        PLAIN_SCORE, chords=(_span(F(0), F(2), "C"), _span(F(2), F(2), "F"))
    ),
    "ChordSpan.chord": replace(PLAIN_SCORE, chords=(_span(F(0), F(4), "Cm"),)),
    "ChordSpan.notes": replace(PLAIN_SCORE, chords=(_span(F(0), F(4), "C7"),)),
    "ChordSpan.bass": replace(PLAIN_SCORE, chords=(_span(F(0), F(4), "C/E"),)),
    "ChordSpan.silent": replace(
        PLAIN_SCORE,
        chords=(
            _span(F(0), F(2), "C"),
            replace(_span(F(2), F(2), "C"), chord=None, notes=(), silent=True),
        ),
    ),
    "Score.name": replace(PLAIN_SCORE, name="Another"),
    "Score.guitar": replace(PLAIN_SCORE, guitar=Guitar(parse_tuning("drop d"))),
    "Score.lick": _lick(notes=NOTES[:3]),
    "Score.bars": _TWO_BARS,
    "Score.chords": replace(PLAIN_SCORE, chords=()),
    "Score.slow_bpm": replace(PLAIN_SCORE, slow_bpm=40.0),
    "Score.target_bpm": replace(PLAIN_SCORE, target_bpm=120.0),
    "Score.swing": replace(_note(onset=F(3, 2), duration=F(1, 2)), swing=Swing(F(2))),
}


# --- roads that lead back to notes ---------------------------------------------------------------


def _shelf(score: Score) -> Score:
    return score_from_json(score_json(score))


def _musicxml(score: Score) -> Score:
    return read_musicxml(musicxml(score).encode()).score


def _tab(score: Score) -> Score:
    meter, guitar = score.meter, score.guitar
    lick = lick_from_tab(
        print_tab(score.lick, guitar, meter=meter), rhythm_of(score.lick), guitar, meter=meter
    )
    return replace(score, lick=lick)


def _carry(score: Score) -> Score:
    """Carried over a bar of its own chord: the same line, as the changes give it."""
    changes = parse_changes("C" if score.length <= 4 else "C | C", "C major")
    lick = carry(score.lick, changes, "exact", source=Chord(C, parse_chord("C").kind)).lick
    return replace(score, lick=lick)


BACK: dict[str, Callable[[Score], Score]] = {
    "shelf": _shelf, "musicxml": _musicxml, "tab": _tab, "carry": _carry,
}  # fmt: skip


# --- roads that make a medium --------------------------------------------------------------------


class _Sketches(Album):
    """An album that remembers what was drawn, and is never painted."""

    def __init__(self) -> None:
        super().__init__()
        self.drawn: list[Drawing] = []

    def add(self, drawing: Drawing) -> Sprite:
        self.drawn.append(drawing)
        return super().add(drawing)


def _film(score: Score) -> object:
    clock = Clock(Passage(score, score.target_bpm, 1.0, 30.0))
    album = _Sketches()
    screen_of(clock, album)
    return album.drawn, clock.beats, [clock.note_at(1 + at / 8) for at in range(48)]


def _sound(score: Score) -> object:
    made = stems(score, score.target_bpm, Playing(feel="chords", count_in_bars=0))
    return made.lead.tobytes(), made.backing.tobytes()


MAKE: dict[str, Callable[[Score], object]] = {
    "midi": lambda score: midi_bytes(score, score.target_bpm),
    "page": lambda score: engrave(score).svg,
    "film": _film,
    "sound": _sound,
}

_PARTS = ("Belonging.triads", "Belonging.part", "Belonging.approach", "LickNote.belongs",
          "Part.name", "Part.onset", "Part.length", "Part.link", "Part.of",
          "Lick.parts")  # fmt: skip
#: A line leans on the first note of each triad and part; what else parts are is not heard.
_UNHEARD = tuple(name for name in _PARTS if name not in ("Belonging.part", "LickNote.belongs"))
_OWN = "which triad, degree and part a note has is the lesson's and the shelf's to know"
_WHOLE = "what a note has and this road cannot (see LickNote) is missing in the whole too"
_ANEW = "a carried line is spelled, labelled and laid out anew for every chord"
_BESIDE = "a tab block has no place for it; it stands beside the tab in the lesson file"
_LOOK = "what is seen and not heard"


def _each(names: tuple[str, ...], why: str) -> dict[str, str]:
    return dict.fromkeys(names, why)


#: What a road cannot have, and why.
CANNOT: dict[str, dict[str, str]] = {
    "shelf": {},
    "musicxml": {
        **_each((*_PARTS, "LickNote.voice", "LickNote.degree"), _OWN),
        **_each(("Lick.notes", "Score.lick"), _WHOLE),
        "Score.name": "our MusicXML has no title: the page that it is printed on has one",
    },
    "tab": {
        **_each((*_PARTS, "LickNote.voice", "LickNote.degree"), _OWN),
        **_each(("LickNote.pitch", "LickNote.finger", "LickNote.stroke"), _BESIDE),
        "Lick.notes": _WHOLE,
        "Lick.length": "tab and rhythm end with their last note's bar",
    },
    "carry": {
        **_each(("LickNote.degree", "Lick.notes", "LickNote.belongs", "Belonging.part"), _ANEW),
    },
    "midi": {
        **_each((*_UNHEARD, "LickNote.degree"), _OWN),
        **_each(("LickNote.pitch", "LickNote.finger"), _LOOK),
        "Marks.palm_mute": "General MIDI has muted guitar as an instrument, not as a way to play",
        "Marks.dead": "General MIDI has no note without a pitch on a guitar",
        "Score.guitar": "strings are channels; how they are tuned is in the keys of the notes",
        "Score.slow_bpm": "a file has one tempo, which the caller names",
    },
    "page": {
        **_each(
            (
                *("Belonging.triads", "Belonging.part", "Belonging.approach"),
                *("LickNote.belongs", "Part.link", "Part.of"),
                *("LickNote.voice", "LickNote.degree"),
            ),
            _OWN,
        ),
        "Score.name": "the sheet prints it over the music",
        "Score.guitar": "the sheet names the tuning; the strings of the tab are the same lines",
    },
    "film": {
        **_each(("Belonging.part", "Belonging.approach"), _OWN),
        "LickNote.voice": "the triads that hold a note are shown, whichever it was placed by",
        "LickNote.pitch": "places and degrees are shown, no note names",
        "Bar.key": "no notation is shown, so no key",
        "Score.slow_bpm": "a passage has one tempo, which the caller names",
    },
    "sound": {
        **_each((*_UNHEARD, "LickNote.degree"), _OWN),
        **_each(("LickNote.pitch", "LickNote.finger", "Bar.key", "Score.name"), _LOOK),
        "Score.guitar": "only an open string that is not played is tuned lower here",
        "Score.slow_bpm": "a take has one tempo, which the caller names",
    },
}


def _read(score: Score, field: str) -> object:
    """All values of a field in a score."""
    kind, name = field.split(".")
    lick = score.lick
    things: dict[str, tuple[object, ...]] = {
        "LickNote": lick.notes,
        "Marks": tuple(note.marks for note in lick.notes),
        "Belonging": tuple(note.belongs for note in lick.notes),
        "Tuplet": lick.tuplets,
        "Part": lick.parts,
        "Lick": (lick,),
        "Bar": score.bars,
        "ChordSpan": score.chords,
        "Score": (score,),
    }
    return [getattr(thing, name) for thing in things[kind]]


_OF_A_LICK = ("LickNote", "Marks", "Belonging", "Tuplet", "Part", "Lick")
CELLS = [
    (road, field)
    for road in (*BACK, *MAKE)
    for field in CHANGED
    if road not in ("tab", "carry") or field.split(".")[0] in _OF_A_LICK
]


def _goes(road: str, field: str) -> bool:
    changed = CHANGED[field]
    if road in BACK:
        return _read(BACK[road](changed), field) == _read(changed, field)
    return MAKE[road](changed) != MAKE[road](PLAIN_SCORE)


def test_every_field_has_a_change() -> None:
    kinds = (LickNote, Marks, Belonging, Tuplet, Part, Lick, Bar, ChordSpan, Score)
    assert set(CHANGED) == {
        f"{kind.__name__}.{each.name}" for kind in kinds for each in fields(kind)
    }
    for field, changed in CHANGED.items():
        assert _read(changed, field) != _read(PLAIN_SCORE, field)


@pytest.mark.parametrize(("road", "field"), CELLS)
def test_a_field_goes_along_a_road_or_says_why_not(road: str, field: str) -> None:
    """Both ways: a reason for what goes well would hide a loss to come."""
    assert _goes(road, field) == (field not in CANNOT[road])
