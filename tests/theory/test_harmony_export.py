"""The MusicXML view of chords, read back by music21, beside the schema's enumeration."""

from __future__ import annotations

from collections.abc import Callable
from importlib.resources import files
from xml.sax.saxutils import quoteattr

import pytest
from lxml import etree
from music21 import converter
from music21 import harmony as m21_harmony

from lickwright.formats.musicxml.chord_kinds import KIND_VALUES, Harmony, musicxml_harmony
from lickwright.theory.chord import Chord, parse_chord
from lickwright.theory.degree import degree_semitones
from lickwright.theory.pitch import mask_of, parse_note_name, pitch_classes, rotate_mask
from lickwright.theory.symbols.kinds import VOCABULARY

XS = "{http://www.w3.org/2001/XMLSchema}"
OTHERS = (
    *("C/E", "Eb/F", "C7/Bb", "Dm7/G", "F#m7b5/E", "Ab/Bb"),
    *("D/C7", "Eb/C7", "Ab/C7", "F#m/C7", "F#/Cmaj", "B/C7", "Db/Cmaj7", "Gb/Cm7", "D/C7/E"),
    *("C7(no5)", "C7(no3)", "Cm7(add11)(no5)", "C9(addb9)", "C7b5#5", "Cmaj9#11(no5)", "C(b5)"),
    *("Cdim7(addmaj7)", "C7#9b13(no5)", "Cm(addb6)", "C6/9sus4", "C7(no1)"),
)


def element(harmony: Harmony) -> str:
    degrees = "".join(
        f"<degree><degree-value>{degree.value}</degree-value>"
        f"<degree-alter>{degree.alter}</degree-alter>"
        f"<degree-type>{degree.type}</degree-type></degree>"
        for degree in harmony.degrees
    )
    bass = (
        f"<bass><bass-step>{harmony.bass_step}</bass-step>"
        f"<bass-alter>{harmony.bass_alter}</bass-alter></bass>"
        if harmony.bass_step
        else ""
    )
    return (
        f"<harmony><root><root-step>{harmony.root_step}</root-step>"
        f"<root-alter>{harmony.root_alter}</root-alter></root>"
        f"<kind text={quoteattr(harmony.kind_text)}>{harmony.kind}</kind>{bass}{degrees}</harmony>"
        "<note><rest/><duration>1</duration></note>"
    )


def read_back(chords: list[Chord]) -> list[m21_harmony.ChordSymbol]:
    body = "".join(element(musicxml_harmony(chord)) for chord in chords)
    score = converter.parseData(
        '<?xml version="1.0"?><score-partwise version="4.0"><part-list><score-part id="P1">'
        '<part-name/></score-part></part-list><part id="P1"><measure number="1"><attributes>'
        f"<divisions>1</divisions></attributes>{body}</measure></part></score-partwise>",
        format="musicxml",
    )
    return list(score.recurse().getElementsByClass(m21_harmony.ChordSymbol))


@pytest.mark.parametrize("root", ["C", "F#", "Bb", "E"])
def test_music21_reads_the_same_notes(
    root: str, documented: Callable[[str], dict[tuple[str, str], tuple[str, str]]]
) -> None:
    chords = [Chord(parse_note_name(root), kind) for kind in VOCABULARY]
    chords += [parse_chord(symbol) for symbol in OTHERS if "no1" not in symbol]
    read = read_back(chords)
    assert len(read) == len(chords)
    differ = {}
    for chord, symbol in zip(chords, read, strict=True):
        theirs = mask_of(pitch.pitchClass for pitch in symbol.pitches)
        if theirs != chord.mask:
            masks = (rotate_mask(mask, -chord.root.pc) for mask in (theirs, chord.mask))
            found, ours = (" ".join(map(str, pitch_classes(mask))) for mask in masks)
            differ["music21", str(chord)] = (found, ours)
    assert differ == documented("### MusicXML harmony")


def test_the_bass_is_read_back() -> None:
    chords = [parse_chord(symbol) for symbol in OTHERS if "no1" not in symbol]
    for chord, symbol in zip(chords, read_back(chords), strict=True):
        assert symbol.bass().name.replace("-", "b") == str(chord.bass_note)


def test_kinds_are_those_of_the_schema() -> None:
    # MusicXML 4.0 schema, kind-value, as the musicxml package ships it.
    schema = files("musicxml") / "generate_classes" / "musicxml_4_0.xsd"
    tree = etree.fromstring(schema.read_bytes())
    kinds = tree.find(f"{XS}simpleType[@name='kind-value']")
    assert kinds is not None
    values = [found.get("value") for found in kinds.iter(f"{XS}enumeration")]
    functional = {"Neapolitan", "Italian", "French", "German", "pedal", "Tristan", "other", "none"}
    assert [value for value in values if value not in functional] == list(KIND_VALUES)


@pytest.mark.parametrize("symbol", [*(f"C{kind.suffix}" for kind in VOCABULARY), *OTHERS])
def test_the_degrees_rebuild_the_chord_by_the_standard(symbol: str) -> None:
    # MusicXML 4.0, degree-alter: "add" counts from a dominant chord, the others from the kind.
    chord = parse_chord(symbol)
    harmony = musicxml_harmony(chord)
    tones = [degree_semitones(name) for name in KIND_VALUES[harmony.kind]]
    numbers = [int(name.strip("b#")) for name in KIND_VALUES[harmony.kind]]
    semitones = dict(zip(numbers, tones, strict=True))
    dominant = dict(zip(range(1, 14), (0, 2, 4, 5, 7, 9, 10, 0, 2, 4, 5, 7, 9), strict=True))
    extra = []
    for degree in harmony.degrees:
        if degree.type == "subtract":
            del semitones[degree.value]
        elif degree.type == "alter":
            semitones[degree.value] += degree.alter
        else:
            extra.append(dominant[degree.value] + degree.alter)
    found = mask_of(chord.root.pc + above for above in (*semitones.values(), *extra))
    bass = 0 if chord.bass is None else 1 << chord.bass.pc
    assert found | bass == chord.mask


@pytest.mark.parametrize(
    ("symbol", "kind", "root_text", "kind_text"),
    [
        ("C", "major", "C", ""),
        ("F#m7b5", "half-diminished", "F♯", "m7♭5"),
        ("Bb7#9", "dominant", "B♭", "7♯9"),
        ("C13", "dominant-13th", "C", "13"),
        ("C9sus4", "dominant-11th", "C", "9sus4"),
        ("Eb5", "power", "E♭", "5"),
        ("D/C7", "dominant-13th", "D/C", "7"),
        ("Eb/Cmaj", "major", "E♭/C", "maj"),
    ],
)
def test_what_is_printed(symbol: str, kind: str, root_text: str, kind_text: str) -> None:
    harmony = musicxml_harmony(parse_chord(symbol))
    assert (harmony.root_text, harmony.kind_text) == (root_text, kind_text)
    if symbol != "Eb/Cmaj":
        assert harmony.kind == kind
