"""What is tried: each parser with what its inputs are made of, and the law for what it takes."""

from __future__ import annotations

import io
import json
import tempfile
import zipfile
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from random import Random
from typing import Any

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn, SearchStrategy

from lickwright.formats.musicxml.writing import musicxml
from lickwright.lesson.compile.examples import Workshop
from lickwright.lesson.file.reading import load_lesson
from lickwright.shelf.licks.shelving import shelved_lesson
from lickwright.shelf.store.export import export_lines
from lickwright.shelf.store.keeping import keep_lesson
from lickwright.shelf.store.store import Shelf

from . import grammar, laws
from .bend import bent_columns, bent_data, bent_text, bent_xml
from .lessons import lessons, properties, yaml_text
from .mutate import mutated
from .scores import scores
from .tab_lines import tabs

EXAMPLES = Path(__file__).parent.parent.parent / "examples"
DEMO = EXAMPLES / "two-triads-one-chord.yaml"
#: Of twenty inputs so many are bent in one place, and so many are damaged past knowing.
BENT, DAMAGED, OF = 5, 2, 20


@dataclass(frozen=True, slots=True)
class Target:
    """A parser under trial.

    Parameters
    ----------
    parse : the parser and its law.
    made : texts that mean something.
    bend : the same text with one thing bent.
    words : of its trade, for bending and damaging.
    seeds : texts to be damaged.
    refuses : whether there is anything that it does not take.
    """

    name: str
    parse: Callable[[str], None]
    made: SearchStrategy[str]
    words: tuple[str, ...] = field(repr=False)
    seeds: Callable[[], tuple[str, ...]]
    bend: Callable[[str, Any, Random], str] = bent_text
    refuses: bool = True

    def inputs(self) -> SearchStrategy[str]:
        """Texts that mean something, such with one thing bent, and damaged ones."""
        return _inputs(self)


@cache
@st.composite
def _inputs(draw: DrawFn, target: Target) -> str:
    # The dice come first, so that a long text does not use up what can be drawn.
    way, start = draw(st.sampled_from(range(OF))), draw(st.integers(0, 2**31))
    rng = Random(start)
    if way < DAMAGED:
        return mutated(target.seeds(), target.words, rng)
    text = draw(target.made)
    return target.bend(text, target.words, rng) if way < DAMAGED + BENT else text


def _bent_tab(text: str, _: object, rng: Random) -> str:
    return bent_columns(text, "0123456789-|hp/\\~x()PM e", rng)


def _bent_lesson(text: str, words: tuple[str, ...], rng: Random) -> str:
    """A lesson in brackets is bent as data, one in blocks as text."""
    if text.startswith("{"):
        return yaml_text(bent_data(json.loads(text), words, rng), flow=rng.random() < 0.3)
    return bent_text(text, words, rng)


@cache
@st.composite
def _lesson_texts(draw: DrawFn) -> str:
    return yaml_text(draw(lessons()), flow=draw(st.booleans()))


def _bent_line(text: str, words: tuple[str, ...], rng: Random) -> str:
    """One line of JSON bent as data."""
    lines = text.splitlines()
    at = rng.randrange(len(lines))
    lines[at] = json.dumps(bent_data(json.loads(lines[at]), words, rng))
    return "\n".join(lines) + "\n"


def _bent_bytes(text: str, _: object, rng: Random) -> str:
    """One byte changed."""
    at = rng.randrange(len(text))
    return text[:at] + chr(rng.randrange(256)) + text[at + 1 :]


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
CHORDS = (
    "Dm9", "F#m7b5", "Bb13(#11)", "C6/9", "Ebmaj7#5/G", "Dm/Cmaj7", "A7#9b13", "Gsus4(add9)", "C|D",
    "Am7(add11)(no5)/E", "B°7", "Cø", "EΔ9", "Abaug", "D7alt",
)  # fmt: skip
_KEYS = tuple(
    f"{key}: "
    for entry in ("LessonEntry", "ExampleEntry", "GuitarEntry", "PinEntry")
    for key in properties(entry)
)
_YAML = ("&a ", "*a", "!!python/object:os.system", "? ", "<<: *a", "|\n", "---\n", "2026-01-01")
_VALUES = (
    *CHORDS,
    *RHYTHMS[:2],
    "up down",
    "DDD U",
    "1-24",
    "0-0",
    "null",
    "[]",
    "7/8",
    "The pair",
)
_TAB_SIGNS = ("-12-", "h", "p", "~", "(", ")", "|", "x", "\\", "PM--", "e|")
_CHORD_SIGNS = ("A", "Bb", "F#", "/", "(", ")", "add", "no3", "sus", "Δ", "maj", "m", "13", "#9")
_RHYTHM_SIGNS = (
    "w", "h", "q", "e", "s", "t", ".", "..", "r", "+", "x4", "|", "3(", "5:4(", ")", "(", "x64",
    "15:16(", "sextuplets",
)  # fmt: skip
_CONTOUR_WORDS = (
    "up", "down", "up-down", "down-up", "broken", "in", "threes", "sixes", "from", "turn", "2",
    "nearest", ",",
)  # fmt: skip
_STROKE_SIGNS = ("D", "U", "-", "x3", "x999", "(", ")", "mirrored")
_CHANGES_SIGNS = (
    "|", "|:", ":|", "x3", "%", ".", "N.C.", "(3/4)", "(F lydian)", "iim7", "V7/V", "||", "x512",
    "(",
)  # fmt: skip
_SCALE_WORDS = ("D", "F#", "minor", "dorian", "harmonic", "pentatonic", "b2", "#11", "natural")
_TUNING_WORDS = ("drop", "D", "E2", "F#3", "7-string", "bass", "open", "DADGAD", ",", "Ebb4")
_MUSICXML_WORDS = (
    "start", "stop", "0", "-1", "7", "C", "H", "0.5", "other", "none", "half-diminished", "quarter",
    "1024th", "long", "3+2", "palm", "x", "yes", "P1", "",
)  # fmt: skip
_JSON = ('"lesson":', '"licks":[', "{}", "null", "[]", '"1/4"', '"score":', "1e400", '"\\ud800"')
_QUERY_SIGNS = ('"', "'", "*", "AND", "NOT", "col:", "^", "-", ":", "\\")
_QUERIES = ("tide swee", 'a" OR "b', "NEAR(a b)", "f#m'x", "' OR 1=1 --")
_ZIP_SIGNS = ("PK\x01\x02", "PK\x03\x04", "PK\x05\x06", "a.xml", "\x00\x00", "\xff\xff")
_MARKDOWN = (
    "# ",
    "- ",
    "1. ",
    "> ",
    "`",
    "**",
    "*",
    "|",
    "[a](b)",
    "<b>",
    "\n\n",
    "    ",
    "---",
    "~",
)
_PROSE = (
    "Learn the *two* shapes first, **each on its own**, then the `join`.\n\n- one\n- two\n",
    "# A head\n\n> Let it [ring](https://example.org).\n\n| a | b |\n|---|---|\n| 1 | 2 |\n",
    "1. Down\n2. Up\n\n---\n\n<script>x</script> &amp; ![p](q.png)\n",
)


@cache
@st.composite
def _proses(draw: DrawFn) -> str:
    words = st.sampled_from((*_MARKDOWN, "Down ", "up ", "then ", "\n", "♯", "&", "<i>", "\\"))
    return "".join(draw(st.lists(words, min_size=1, max_size=30)))


@cache
def _lesson_seeds() -> tuple[str, ...]:
    return (SMALL, *(path.read_text("utf-8") for path in sorted(EXAMPLES.glob("*.yaml"))))


@cache
def _musicxml_seeds() -> tuple[str, ...]:
    """The demo's examples as we write them, and its own tab with every mark of the hands."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "marks.yaml"
        path.write_text(MARKS, encoding="utf-8")
        shops = [Workshop(load_lesson(DEMO)), Workshop(load_lesson(path))]
        return tuple(
            musicxml(shop.worked(index).score)
            for shop, indices in zip(shops, ((0, 2, 3, 4, 5), (0,)), strict=True)
            for index in indices
        )


MARKS = """\
lesson: Every Mark
key: A minor
guitar: {tuning: drop D, capo: 2}
examples:
  - name: Marks
    over: A
    changes: Am7 | D9
    rhythm: q e e e e e e | 3(e e e) q q q
    tab: |2
        PM----
      e|-----------------|-----------------|
      B|-----------8~----|--------5-----8--|
      G|-----5h7p5----7--|-(7)--x----5/7---|
      D|-5-7-------------|-----------------|
      A|-----------------|-----------------|
      D|-----------------|-----------------|
"""


@cache
def _compressed_seeds() -> tuple[str, ...]:
    container = b"<container><rootfiles><rootfile full-path='a.xml'/></rootfiles></container>"
    seeds = []
    for score in _musicxml_seeds():
        for packing in (zipfile.ZIP_DEFLATED, zipfile.ZIP_STORED):
            data = io.BytesIO()
            with zipfile.ZipFile(data, "w", packing) as archive:
                for name, content in (
                    ("META-INF/container.xml", container),
                    ("a.xml", score.encode()),
                ):
                    archive.writestr(zipfile.ZipInfo(name), content, packing)
            seeds.append(data.getvalue().decode("latin-1"))
    return tuple(seeds)


@cache
def _shelf_seeds() -> tuple[str, ...]:
    with tempfile.TemporaryDirectory() as folder:
        seeds = []
        for number, text in enumerate((LESSON_FOR_THE_SHELF, MARKS)):
            path = Path(folder) / f"{number}.yaml"
            path.write_text(text, encoding="utf-8")
            with Shelf(Path(folder) / f"{number}.sqlite") as shelf:
                keep_lesson(shelf, shelved_lesson(load_lesson(path)))
                seeds.append("".join(export_lines(shelf)))
        return tuple(seeds)


LESSON_FOR_THE_SHELF = """\
lesson: A Small One
key: B dorian
examples:
  - {name: The pair, triads: [D, F#m], over: B, frets: 9-16, rhythm: 8ths}
"""


def _one_of(seeds: Callable[[], tuple[str, ...]]) -> SearchStrategy[str]:
    """One of some texts, made when the first is drawn."""
    return st.deferred(lambda: st.sampled_from(seeds()))


def _of(*texts: str) -> Callable[[], tuple[str, ...]]:
    return lambda: texts


_SEARCHES = st.one_of(
    grammar.chords(), grammar.tunings(), grammar.triads(), st.sampled_from(_QUERIES)
)

TARGETS: tuple[Target, ...] = (
    Target(
        "lesson", laws.lesson, _lesson_texts(), (*_KEYS, *_YAML, *_VALUES), _lesson_seeds,
        _bent_lesson,
    ),
    Target(
        "tab block", laws.tab, tabs().map(lambda made: made.text), _TAB_SIGNS, _of(*TABS), _bent_tab
    ),
    Target("changes", laws.changes, grammar.changes(), (*CHORDS, *_CHANGES_SIGNS), _of(*CHANGES)),
    Target("rhythm", laws.rhythm, grammar.rhythms(), _RHYTHM_SIGNS, _of(*RHYTHMS)),
    Target(
        "contour", laws.contour, grammar.contours(), _CONTOUR_WORDS,
        _of("up down", "up in threes, down broken", "up-down from 2 turn, down-up from nearest"),
    ),
    Target(
        "strokes", laws.strokes, grammar.strokes(), _STROKE_SIGNS,
        _of("DDD U UUU D", "(D U) x3 -D-", "DDD U mirrored", "((DU)x2 D)x4"),
    ),
    Target("chord", laws.chord, grammar.chords(), _CHORD_SIGNS, _of(*CHORDS)),
    Target("triad", laws.triad, grammar.triads(), _CHORD_SIGNS, _of("F#m", "Bbsus2", "Caug")),
    Target("key", laws.key, grammar.keys(), _SCALE_WORDS, _of("D dorian", "F# harmonic minor")),
    Target("tuning", laws.tuning, grammar.tunings(), _TUNING_WORDS, _of("drop D", "D A D G A D")),
    Target("note", laws.note, grammar.notes(), _SCALE_WORDS, _of("F#", "Bb", "Cx")),
    Target("pitch", laws.pitch, grammar.pitches(), _TUNING_WORDS, _of("F#4", "Bb-1")),
    Target(
        "interval", laws.interval, grammar.intervals(), ("m", "P", "AA", "-", "3", "9"),
        _of("-m3", "AA4"),
    ),
    Target("time", laws.time, grammar.times(), ("/", "4", "16", "3+2"), _of("7/8", "12/8")),
    Target(
        "scale length", laws.scale_length, grammar.scale_lengths(), ("mm", "in", "cm", "-", "25.5"),
        _of("648 mm", "25.5-27 in"),
    ),
    Target("prose", laws.prose, _proses(), _MARKDOWN, _of(*_PROSE), refuses=False),
    Target(
        "MusicXML", laws.score, st.one_of(scores(), scores(), _one_of(_musicxml_seeds)),
        _MUSICXML_WORDS, _musicxml_seeds, bent_xml,
    ),
    Target(
        "compressed MusicXML", laws.compressed, _one_of(_compressed_seeds), _ZIP_SIGNS,
        _compressed_seeds, _bent_bytes,
    ),
    Target(
        "shelf lines", laws.shelf_lines, _one_of(_shelf_seeds), _JSON, _shelf_seeds, _bent_line
    ),
    Target(
        "shelf search", laws.search, _SEARCHES, _QUERY_SIGNS, _of(*_QUERIES, *CHORDS),
        refuses=False,
    ),
)  # fmt: skip
