"""What is tried: each parser with seeds, words of its trade, and laws for what it takes."""

from __future__ import annotations

import io
import tempfile
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from lickwright.changes.progression import parse_changes, parse_time
from lickwright.engrave.musicxml import musicxml
from lickwright.errors import LickwrightError
from lickwright.lesson.checks import check
from lickwright.lesson.musicxml_read import read_musicxml
from lickwright.lesson.read import decode_lesson, load_lesson, read_lesson
from lickwright.lesson.workout import Workshop
from lickwright.library.carriage import export_lines, import_file
from lickwright.library.find import Search, find
from lickwright.library.keeping import keep_lesson
from lickwright.library.shelving import shelved_lesson
from lickwright.library.store import Shelf
from lickwright.lick.contour import parse_contour, trace
from lickwright.lick.from_tab import lick_from_tab
from lickwright.lick.layout import lay_out
from lickwright.lick.rhythm import parse_rhythm
from lickwright.lick.stroke_text import parse_strokes, print_strokes
from lickwright.lick.tab_read import parse_tab
from lickwright.lick.tab_write import print_tab
from lickwright.neck.geometry import parse_scale_length
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.tunings import parse_tuning
from lickwright.theory.chord import parse_chord
from lickwright.theory.harmony_export import musicxml_harmony
from lickwright.theory.implied import implied_chords
from lickwright.theory.interval import parse_interval
from lickwright.theory.key import parse_key
from lickwright.theory.pitch import parse_note_name, parse_pitch
from lickwright.theory.triad import parse_triad
from lickwright.theory.vocabulary import VOCABULARY

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
DEMO = EXAMPLES / "two-triads-one-chord.yaml"


@dataclass(frozen=True, slots=True)
class Target:
    """A parser under trial.

    Parameters
    ----------
    weight : share of the usual number of inputs; parsers that do much work get fewer.
    """

    name: str
    parse: Callable[[str], object]
    seeds: Callable[[], tuple[str, ...]]
    words: tuple[str, ...]
    weight: float = 1.0


SMALL = """\
lesson: A Small One
number: 3
teacher: Tern Street Guitar Room
guitar: {tuning: drop D, frets: 22, scale_length: 25.5 in, capo: 2, left_handed: true}
hand: small
key: B dorian
time: 7/8
tempo: {slow: 60, target: 90}
text: |
  Some *words*.
examples:
  - name: The pair
    triads: [D, F#m]
    over: B
    implies: Bm9
    frets: [9-12, 9-16]
    strings: 1-4
    contour: up in threes, down broken
    rhythm: 5(s s s s s) q. rq e+e
    strokes: DDD U mirrored
    picking: legato
    bars: 2
  - name: Own notes
    over: B
    pickup: 1/2
    tab: |
      e|--------------9-|
      B|-------10h12----|
      G|----11~---------|
      D|-12-------------|
      A|----------------|
      D|----------------|
    rhythm: q
    fingers: 1 2 . 4
  - name: Carried
    lick: The pair
    changes: Bm9 . E13 | % | (3/4) Amaj9 :| x2
    carry: diatonic
    pins: {2: {triads: [A], frets: 3-9}}
"""

TABS = (
    """\
e|----------10-9----|---------------|
B|-------10------10-|(10)-7---------|
G|----11------------|-------6--7----|
D|-12---------------|------------7--|
A|------------------|---------------|
E|------------------|---------------|
""",
    """\
   PM------
E4|--5h7p5---|
B3|---------8~|
G3|--x-------|
D3|-----7/9\\7|
A2|----------|
E2|----------|
""",
    "--0--\n-----\n-----\n-----\n-----\n--3--\n",
)
CHANGES = (
    "Dm9 | G13 . | Cmaj9 A7b9",
    "|: iim9 | V13/ii :| x3 (3/4) bVII . | % |",
    "(Bb lydian) Bbmaj7#11 . . F/A || Gm7\nC7alt",
    "C6/9 | F#m7b5 B7#9b13 | Em(maj7) | Am7/G | D/C | N",
)
RHYTHMS = (
    "16ths",
    "8th triplets",
    "q. e (e s s) x2 | 3(e e e) rq q+s",
    "7:8(s x7) | 5(s s. t s s) h..",
    "e x4 | w",
)
CONTOURS = ("up down", "up in threes, down broken", "up-down from 2 turn, down-up from nearest")
STROKES = ("DDD U UUU D", "(D U) x3 -D-", "DDD U mirrored", "((DU)x2 D)x4")
CHORDS = (
    "Dm9", "F#m7b5", "Bb13(#11)", "C6/9", "Ebmaj7#5/G", "Dm/Cmaj7", "A7#9b13", "Gsus4(add9)", "C|D",
    "Am7(add11)(no5)/E", "B°7", "Cø", "EΔ9", "Abaug", "D7alt",
)  # fmt: skip
SMALL_WORDS = (
    "D dorian", "F# harmonic minor", "drop D", "E2 A2 D3 G3 B3 E4", "D A D G A D", "F A C",
    "C# E G# B", "-m3", "AA4", "25.5 in", "648 mm", "12/8", "Bb4", "Caug",
)  # fmt: skip

MUSICXML_WORDS = (
    "<note>", "</note>", "<chord/>", "<grace/>", "<rest measure='yes'/>", "<duration>7</duration>",
    "<divisions>0</divisions>", "<backup><duration>999</duration></backup>", "<tie type='start'/>",
    "<forward><duration>4</duration></forward>", "<alter>0.5</alter>", "<octave>99</octave>",
    "<time-modification><actual-notes>3</actual-notes>", "<normal-notes>2</normal-notes>",
    "</time-modification>",
    "<fifths>99</fifths>", "<beats>3+2</beats>", "<beat-type>0</beat-type>", "<mode>none</mode>",
    "<string>0</string>", "<fret>40</fret>", "<fingering>9</fingering>", "<staff>2</staff>",
    "<transpose><chromatic>-2</chromatic></transpose>", "<part id='P1'>", "</part>", "</measure>",
    "<!DOCTYPE a [<!ENTITY a 'b'>]>", "&a;", "<![CDATA[", "]]>", "<!--", "<?xml version='1.0'?>",
    "<voice>2</voice>", "<kind>other</kind>", "<degree-value>13</degree-value>", "xmlns='u:x'",
    "<sound tempo='1e9'/>", "<capo>99</capo>", "<staff-tuning line='9'/>", "<measure number='x'>",
)  # fmt: skip


def _lesson(text: str) -> None:
    data = text.encode("utf-8", "surrogatepass")
    read_lesson(decode_lesson(data, DEMO), DEMO)


def _checked_lesson(text: str) -> None:
    lesson = read_lesson(text, DEMO)
    for finding in check(lesson):
        assert finding.what
        assert str(finding)


def _tab(text: str) -> None:
    guitar = Guitar()
    block = parse_tab(text, guitar)
    lick = lick_from_tab(block, "8ths", guitar) if block.bars == 1 else None
    if lick is not None and not any(column.held for column in block.columns):
        again = parse_tab(print_tab(lick, guitar), guitar)
        assert again.positions == block.positions


def _chord(text: str) -> None:
    chord = parse_chord(text)
    assert parse_chord(str(chord)) == chord
    assert chord.mask
    musicxml_harmony(chord)


def _rhythm(text: str) -> None:
    rhythm = parse_rhythm(text)
    assert parse_rhythm(str(rhythm)) == rhythm
    lay_out(rhythm, 40)


def _contour(text: str) -> None:
    contour = parse_contour(text)
    assert parse_contour(str(contour)) == contour
    shape = [Position(4, 12), Position(3, 11), Position(2, 10), Position(1, 10)]
    trace(contour, [shape, shape])


def _strokes(text: str) -> None:
    strokes = parse_strokes(text)
    assert parse_strokes(print_strokes(strokes)) == strokes


def _changes(text: str) -> None:
    changes = parse_changes(text, "C major")
    assert parse_changes(str(changes), "C major") == changes


def _first_that_reads(text: str, *parsers: Callable[[str], object]) -> None:
    """Give a text to every parser; refused only where all refuse it."""
    refused = []
    for parse in parsers:
        try:
            parse(text)
        except LickwrightError as error:
            refused.append(error)
    if len(refused) == len(parsers):
        raise max(refused, key=lambda error: len(str(error)))


def _words(text: str) -> None:
    _first_that_reads(
        text,
        parse_key,
        parse_triad,
        parse_tuning,
        parse_note_name,
        parse_pitch,
        parse_interval,
        parse_scale_length,
        parse_time,
        lambda words: implied_chords(words, "C"),
    )


def _musicxml(text: str) -> None:
    read = read_musicxml(text.encode("utf-8", "surrogatepass"))
    musicxml(read.score)


def _compressed(text: str) -> None:
    """The bytes of a compressed file, a sign a byte."""
    read_musicxml(text.encode("latin-1", "ignore"))


@cache
def _shelf() -> tuple[Shelf, Path]:
    folder = Path(tempfile.mkdtemp(prefix="lickwright-fuzz-"))
    return Shelf(folder / "shelf.sqlite"), folder


def _shelf_lines(text: str) -> None:
    shelf, folder = _shelf()
    file = folder / "lines.jsonl"
    file.write_bytes(text.encode("utf-8", "surrogatepass"))
    import_file(shelf, file)


def _search(text: str) -> None:
    shelf, _ = _shelf()
    find(shelf, Search(words=text))
    _first_that_reads(
        text,
        lambda chord: find(shelf, Search(chord=chord)),
        lambda tuning: find(shelf, Search(tuning=tuning)),
        lambda triad: find(shelf, Search(triads=(triad,))),
    )


@cache
def _lesson_seeds() -> tuple[str, ...]:
    return (SMALL, *(path.read_text("utf-8") for path in sorted(EXAMPLES.glob("*.yaml"))))


@cache
def _musicxml_seeds() -> tuple[str, ...]:
    shop = Workshop(load_lesson(DEMO))
    return tuple(musicxml(shop.worked(index).score) for index in (1, 2, 3))


@cache
def _compressed_seeds() -> tuple[str, ...]:
    score = _musicxml_seeds()[2].encode()
    container = b"<container><rootfiles><rootfile full-path='a.xml'/></rootfiles></container>"
    seeds = []
    for packing in (zipfile.ZIP_DEFLATED, zipfile.ZIP_STORED):
        data = io.BytesIO()
        with zipfile.ZipFile(data, "w", packing) as archive:
            for name, content in (("META-INF/container.xml", container), ("a.xml", score)):
                archive.writestr(zipfile.ZipInfo(name), content, packing)
        seeds.append(data.getvalue().decode("latin-1"))
    return tuple(seeds)


@cache
def _shelf_seeds() -> tuple[str, ...]:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "small.yaml"
        path.write_text(LESSON_FOR_THE_SHELF, encoding="utf-8")
        with Shelf(Path(folder) / "shelf.sqlite") as shelf:
            keep_lesson(shelf, shelved_lesson(load_lesson(path)))
            return ("".join(export_lines(shelf)),)


LESSON_FOR_THE_SHELF = """\
lesson: A Small One
key: B dorian
examples:
  - {name: The pair, triads: [D, F#m], over: B, frets: 9-16, rhythm: 8ths}
"""

_SUFFIXES = tuple(sorted({kind.suffix for kind in VOCABULARY} - {""}))
_KEYS = tuple(
    f"{key}: "
    for key in (
        *("lesson", "key", "examples", "- name", "over", "triads", "tab", "rhythm", "frets"),
        *("changes", "lick", "tempo", "guitar", "tuning", "pins", "strings", "fingers"),
        *("strokes", "bars", "time", "pickup", "contour", "implies", "text"),
    )
)
_YAML = ("&a ", "*a", "!!python/object:os.system", "? ", "<<: *a", "|\n", "---\n", "2026-01-01")
_TAB_SIGNS = ("-12-", "h", "p", "~", "(", ")", "|", "x", "\\", "PM--", "e|")
_CHORD_SIGNS = ("A", "Bb", "F#", "/", "(", ")", "add", "no3", "sus", "Δ")
_RHYTHM_SIGNS = (
    "w",
    "h",
    "q",
    "e",
    "s",
    "t",
    ".",
    "..",
    "r",
    "+",
    "x4",
    "|",
    "3(",
    "5:4(",
    ")",
    "(",
)
_STROKE_SIGNS = ("D", "U", "-", "x3", "x999", "(", ")", "mirrored")
_CONTOUR_WORDS = ("up", "down", "up-down", "down-up", "broken", "in", "threes", "from", "turn", "2")
_CHANGES_SIGNS = ("|", "|:", ":|", "x3", "%", ".", "(3/4)", "(F lydian)", "iim7", "V7/V", "||")
_JSON = ('"lesson":', '"licks":[', "{}", "null", "[]", '"1/4"', '"score":', "1e400", '"\\ud800"')
_QUERY_SIGNS = ('"', "'", "*", "AND", "NOT", "col:", "^", "-", ":", "\\")
_QUERIES = ("tide swee", 'a" OR "b', "NEAR(a b)", "f#m'x", "' OR 1=1 --")
_ZIP_SIGNS = ("PK\x01\x02", "PK\x03\x04", "PK\x05\x06", "a.xml", "\x00\x00", "\xff\xff")
_WORKED = (*_KEYS, *CHORDS, *RHYTHMS, *CONTOURS, *STROKES, "1-24", "0-0", "null", "[]", "7/8")

TARGETS: tuple[Target, ...] = (
    Target("lesson file", _lesson, _lesson_seeds, (*_KEYS, *_YAML)),
    Target("lesson worked out", _checked_lesson, _lesson_seeds, _WORKED, 0.05),
    Target("tab block", _tab, lambda: TABS, _TAB_SIGNS),
    Target("chord", _chord, lambda: CHORDS, (*_SUFFIXES, *_CHORD_SIGNS)),
    Target("rhythm", _rhythm, lambda: RHYTHMS, (*_RHYTHM_SIGNS, "x64", "15:16(")),
    Target("contour", _contour, lambda: CONTOURS, (*_CONTOUR_WORDS, ",", "sixes", "nearest")),
    Target(
        "strokes", _strokes, lambda: STROKES, ("D", "U", "-", "x3", "x999", "(", ")", "mirrored")
    ),
    Target("changes", _changes, lambda: CHANGES, (*CHORDS, *_CHANGES_SIGNS, "x512")),
    Target("words", _words, lambda: SMALL_WORDS, (*SMALL_WORDS, *_SUFFIXES)),
    Target("MusicXML", _musicxml, _musicxml_seeds, MUSICXML_WORDS),
    Target("compressed MusicXML", _compressed, _compressed_seeds, _ZIP_SIGNS),
    Target("shelf lines", _shelf_lines, _shelf_seeds, _JSON),
    Target("shelf search", _search, lambda: (*CHORDS, *_QUERIES), _QUERY_SIGNS),
)
