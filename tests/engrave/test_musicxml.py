"""Our MusicXML against its schema, and against music21's reading of it."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from lxml import etree

from lickwright.formats.musicxml.note_writing import note_id
from lickwright.formats.musicxml.writing import musicxml
from lickwright.lick.notes import Stroke, Technique
from lickwright.score.score import Bar, Score
from lickwright.theory.chord import parse_chord
from lickwright.theory.key import parse_key

F = Fraction  # quarter notes


def shipped(package: str, *parts: str) -> Path:
    """A file that an installed package carries."""
    spec = find_spec(package)
    assert spec is not None
    assert spec.submodule_search_locations is not None
    return Path(spec.submodule_search_locations[0], *parts)


class _Shipped(etree.Resolver):
    """The two schemas that MusicXML's schema imports from the network, from the disk instead."""

    def resolve(self, system_url: str, public_id: str, context: Any) -> Any:  # type: ignore[override]
        for name, place in (("xml.xsd", "XML"), ("xlink.xsd", "XLINK")):
            if system_url.endswith(name):
                file = shipped("xmlschema", "schemas", place, name)
                return self.resolve_filename(str(file), context)
        return None


@pytest.fixture(scope="session")
def schema() -> etree.XMLSchema:
    """W3C MusicXML 4.0, ``musicxml.xsd``, as the package ``musicxml`` ships it."""
    parser = etree.XMLParser(no_network=True)
    parser.resolvers.add(_Shipped())
    file = shipped("musicxml", "generate_classes", "musicxml_4_0.xsd")
    return etree.XMLSchema(etree.parse(str(file), parser))


def read(text: str) -> Any:
    from music21 import converter

    return converter.parse(text, format="musicxml", forceSource=True)


def sounding(part: Any) -> Iterator[tuple[Fraction, Fraction, int, str, Any]]:
    """Onset, duration, MIDI key, name and element of every note, ties joined."""
    for each in part.stripTies().flatten().notes:
        if "Harmony" not in each.classes:
            yield F(each.offset), F(each.quarterLength), each.pitch.midi, each.pitch.name, each


def expect_the_score(score: Score, text: str) -> None:
    """music21 reads the notes of the Score out of both parts."""
    stream = read(text)
    notation, tablature = stream.parts
    zero = score.bars[0].onset
    expected = [
        (note.onset - zero, note.duration, note.pitch.midi, str(note.pitch.name).replace("b", "-"))
        for note in score.lick.notes
    ]
    for part in (notation, tablature):
        assert [found[:4] for found in sounding(part)] == expected
    for note, (*_, element) in zip(score.lick.notes, sounding(tablature), strict=True):
        numbers = {type(each).__name__: each.number for each in element.articulations
                   if hasattr(each, "number")}  # fmt: skip
        assert numbers["StringIndication"] == note.position.string
        assert numbers["FretIndication"] == note.position.fret


def test_every_hard_case_is_valid(cases: dict[str, Score], schema: etree.XMLSchema) -> None:
    for name, score in cases.items():
        schema.validate(etree.fromstring(musicxml(score).encode()))
        assert not list(schema.error_log), name


def test_music21_reads_every_hard_case_back(cases: dict[str, Score]) -> None:
    for score in cases.values():
        expect_the_score(score, musicxml(score))


@given(data=st.data())
@settings(max_examples=20, suppress_health_check=[HealthCheck.too_slow], deadline=None)
def test_music21_reads_any_lick_back(
    data: st.DataObject, scores: st.SearchStrategy[Score], schema: etree.XMLSchema
) -> None:
    score = data.draw(scores)
    text = musicxml(score)
    schema.validate(etree.fromstring(text.encode()))
    assert not list(schema.error_log)
    expect_the_score(score, text)


def test_strokes_and_fingers_are_those_of_the_score(cases: dict[str, Score]) -> None:
    score = cases["high quintuplets"]
    bows = {Stroke.DOWN: "DownBow", Stroke.UP: "UpBow"}
    notation = read(musicxml(score)).parts[0]
    for note, (*_, element) in zip(score.lick.notes, sounding(notation), strict=True):
        names = [type(each).__name__ for each in element.articulations]
        assert note.stroke is not None
        assert bows[note.stroke] in names
        fingers = [each.fingerNumber for each in element.articulations
                   if type(each).__name__ == "Fingering"]  # fmt: skip
        assert fingers == [note.finger]


def test_tuplets_are_read_as_tuplets(cases: dict[str, Score]) -> None:
    ratios = {"triplets": (3, 2), "high quintuplets": (5, 4), "sextuplets": (6, 4),
              "septuplets": (7, 4)}  # fmt: skip
    for name, ratio in ratios.items():
        for part in read(musicxml(cases[name])).parts:
            for *_, element in sounding(part):
                (tuplet,) = element.duration.tuplets
                assert (tuplet.numberNotesActual, tuplet.numberNotesNormal) == ratio


def test_chord_symbols_sound_their_notes(cases: dict[str, Score]) -> None:
    """The printed text is the house symbol; what music21 hears in the element is the chord."""
    from music21 import harmony

    score = cases["twelve bars"]
    found = read(musicxml(score)).parts[0].flatten().getElementsByClass(harmony.ChordSymbol)
    assert [F(each.offset) for each in found] == [chord.onset for chord in score.chords]
    for chord, each in zip(score.chords, found, strict=True):
        known = parse_chord(chord.symbol)
        heard = {pitch.pitchClass for pitch in each.pitches}
        assert each.root().pitchClass == known.root.pc
        assert heard == {note.pc for note in known.notes}, chord.symbol


def test_a_chord_inside_a_note_keeps_its_time(lay: Callable[..., Score]) -> None:
    from music21 import harmony

    score = lay([(2, 8)], F(4), chords="C G7 F")
    found = read(musicxml(score)).parts[0].flatten().getElementsByClass(harmony.ChordSymbol)
    assert [F(each.offset) for each in found] == [0, F(4, 3), F(8, 3)]


def test_a_pickup_is_implicit_and_leans_on_its_end(cases: dict[str, Score]) -> None:
    text = musicxml(cases["six eight"])
    bars = read(text).parts[0].getElementsByClass("Measure")
    assert '<measure number="0" implicit="yes">' in text
    assert [F(bar.duration.quarterLength) for bar in bars] == [F(1, 2), 3, 3]


def test_key_and_meter_change_where_the_bars_say(
    lay: Callable[..., Score], lay_bars: Callable[..., tuple[Bar, ...]]
) -> None:
    score = lay([(1, 5)] * 7, F(1))
    first, _ = lay_bars(2)
    second = Bar(2, F(4), F(3), 3, 4, parse_key("Eb"))
    changed = replace(score, bars=(first, second))
    for part in read(musicxml(changed)).parts:
        times = part.flatten().getElementsByClass("TimeSignature")
        keys = part.flatten().getElementsByClass("KeySignature")
        assert [(F(each.offset), each.ratioString) for each in times] == [(0, "4/4"), (4, "3/4")]
        assert [(F(each.offset), each.sharps) for each in keys] == [(0, 0), (4, -3)]


def test_the_tablature_knows_the_instrument(cases: dict[str, Score]) -> None:
    for name in ("nine strings", "bass", "capo"):
        score = cases[name]
        root = etree.fromstring(musicxml(score).encode())
        (details,) = root.iterfind(".//staff-details")
        assert details.findtext("staff-lines") == str(score.guitar.string_count)
        # MusicXML 4.0, staff-tuning: line 1 is the bottom line, which is the lowest string.
        tuned = [
            (each.get("line"), each.findtext("tuning-step"), each.findtext("tuning-octave"))
            for each in details.iterfind("staff-tuning")
        ]
        assert tuned == [
            (str(line), pitch.name.letter, str(pitch.octave))
            for line, pitch in enumerate(reversed(score.guitar.open_strings), start=1)
        ]
        assert details.findtext("capo") == (str(score.guitar.capo) if score.guitar.capo else None)


def test_a_high_passage_sounds_where_it_is_played_and_is_read_lower(
    cases: dict[str, Score],
) -> None:
    """MusicXML 4.0, octave-shift: type ``down`` for 8va, pitches as they sound."""
    root = etree.fromstring(musicxml(cases["high quintuplets"]).encode())
    shifts = [each.get("type") for each in root.iter("octave-shift")]
    assert shifts == ["down", "stop"] * (len(shifts) // 2)
    assert shifts


def test_what_joins_notes_begins_and_ends(cases: dict[str, Score]) -> None:
    score = cases["joined"]
    root = etree.fromstring(musicxml(score).encode())
    notes = score.lick.notes
    tablature = root.findall("part")[1]
    for tag, technique in (("hammer-on", Technique.HAMMER_ON), ("pull-off", Technique.PULL_OFF),
                           ("slide", Technique.SLIDE)):  # fmt: skip
        starts = [each.getparent() for each in tablature.iter(tag) if each.get("type") == "start"]
        stops = [each for each in tablature.iter(tag) if each.get("type") == "stop"]
        assert len(starts) == len(stops) == sum(note.technique is technique for note in notes)
    for part in root.findall("part"):
        slurs = [each.get("type") for each in part.iter("slur")]
        assert slurs == ["start", "stop"] * (len(slurs) // 2)
        assert len(slurs) == 2 * 4
    muted = [each for each in tablature.iter("note") if each.findtext("play/mute") == "palm"]
    assert len(muted) == sum(note.marks.palm_mute for note in notes)
    assert [each.get("type") for each in tablature.iter("wavy-line")] == ["start", "stop"]


def test_ids_tell_the_note_and_its_tied_part(cases: dict[str, Score]) -> None:
    root = etree.fromstring(musicxml(cases["long notes"]).encode())
    ids = [each.get("id") for each in root.findall("part")[0].iter("note") if each.get("id")]
    assert ids[:4] == ["n1", "n1-2", "n2", "n2-2"]
    assert note_id(0) == "n1"
    assert note_id(2, 1, tablature=True) == "t3-2"


def test_the_tempo_is_the_range_to_practise(
    cases: dict[str, Score], lay: Callable[..., Score]
) -> None:
    root = etree.fromstring(musicxml(cases["sixteenths"]).encode())
    assert root.findtext(".//beat-unit") == "quarter"
    assert root.findtext(".//per-minute") == "66–112"
    # 6/8 counts dotted quarters: 66 quarters a minute are 44 of them.
    six_eight = etree.fromstring(musicxml(cases["six eight"]).encode())
    assert six_eight.find(".//beat-unit-dot") is not None
    assert six_eight.findtext(".//per-minute") == "44–75"
    one = replace(lay([(1, 5)], F(4)), slow_bpm=92.5, target_bpm=92.5)
    assert etree.fromstring(musicxml(one).encode()).findtext(".//per-minute") == "92.5"


def test_notes_without_a_common_name_are_a_pedal_on_their_bass(
    lay: Callable[..., Score], schema: etree.XMLSchema
) -> None:
    """MusicXML 4.0, kind-value: ``pedal``."""
    score = lay([(1, 5)], F(4), chords="Bb")
    nameless = replace(score, chords=(replace(score.chords[0], chord=None),))
    root = etree.fromstring(musicxml(nameless).encode())
    schema.validate(root)
    assert not list(schema.error_log)
    assert root.findtext(".//kind") == "pedal"
    assert (root.findtext(".//root-step"), root.findtext(".//root-alter")) == ("B", "-1")
    expect_the_score(nameless, musicxml(nameless))


PROGRAM = """
import hashlib, sys
from fractions import Fraction as F
from lickwright.engrave.page.systems import engrave
from lickwright.formats.musicxml.writing import musicxml
from lickwright.lick.notes import Lick, LickNote
from lickwright.neck.instrument import Guitar, Position
from lickwright.score.score import Bar, ChordSpan, Score
from lickwright.theory.chord import parse_chord
from lickwright.theory.key import parse_key
from lickwright.theory.pitch import parse_note_name, parse_pitch
c = parse_note_name("C")
a = parse_pitch("A4")
notes = tuple(LickNote(Position(1, 5 + i), a, F(i), F(1), finger=1) for i in range(8))
bars = tuple(Bar(i + 1, F(4 * i), F(4), 4, 4, parse_key("C")) for i in range(2))
chords = (ChordSpan(F(0), F(8), parse_chord("C7#9"), (c,), c),)
score = Score("x", Guitar(), Lick(notes, F(8)), bars, chords, 60, 90)
print(hashlib.sha256((musicxml(score) + engrave(score).svg).encode()).hexdigest())
"""


def test_the_same_score_gives_the_same_bytes_in_any_process() -> None:
    """Text and page, whatever the hash seed; and the layout engine stays silent."""
    runs = [
        subprocess.run(
            [sys.executable, "-c", PROGRAM],
            env={"PYTHONHASHSEED": seed, "PATH": ""},
            capture_output=True,
            text=True,
            check=True,
        )
        for seed in ("1", "2")
    ]
    assert runs[0].stdout == runs[1].stdout
    assert [run.stderr for run in runs] == ["", ""]
