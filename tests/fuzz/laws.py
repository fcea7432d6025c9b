"""What must hold of everything that a parser takes: it prints, reads back, sounds, can be written.

Each function reads one text.  A :class:`LickwrightError` is a refusal; an ``AssertionError`` or
anything else is a fault.
"""

from __future__ import annotations

import tempfile
from collections import Counter
from collections.abc import Callable
from functools import cache
from itertools import pairwise
from pathlib import Path

from lickwright.changes.progression.chart import parse_changes, parse_time
from lickwright.engrave.sheet.markdown import markdown_html, parse_markdown
from lickwright.errors import LickwrightError
from lickwright.formats.incoming.reading import read_musicxml
from lickwright.formats.musicxml.chord_kinds import musicxml_harmony
from lickwright.formats.musicxml.writing import musicxml
from lickwright.lesson.checks import check_example
from lickwright.lesson.compile.examples import Worked, Workshop
from lickwright.lesson.file.reading import decode_lesson, read_lesson
from lickwright.lick.phrase.contour import parse_contour, trace
from lickwright.lick.picking.text import parse_strokes, print_strokes
from lickwright.lick.rhythm.reading import parse_rhythm
from lickwright.lick.rhythm.timing import lay_out
from lickwright.lick.tab.lick import lick_from_tab
from lickwright.lick.tab.reading import parse_tab
from lickwright.lick.tab.writing import print_tab
from lickwright.neck.geometry import parse_scale_lengths
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.tunings import parse_tuning
from lickwright.score.score import Score
from lickwright.shelf.searching import LickSearch, find
from lickwright.shelf.store.export import import_file
from lickwright.shelf.store.store import Shelf
from lickwright.theory.chord import parse_chord
from lickwright.theory.hearing.implied import implied_chords
from lickwright.theory.interval import parse_interval
from lickwright.theory.key import parse_key
from lickwright.theory.pitch import parse_note_name, parse_pitch
from lickwright.theory.triad import parse_triad

from .watch import check_sentence

PATH = Path("made.yaml")
#: Keys of the lessons that were read, and what became of their examples.
KEYS_READ: Counter[str] = Counter()
EXAMPLES: Counter[str] = Counter()


def lesson(text: str) -> None:
    """A lesson file; every example of it is worked out to a Score, or refused in a sentence."""
    read = read_lesson(decode_lesson(text.encode("utf-8", "surrogatepass"), PATH), PATH)
    note_keys("LessonEntry", read.entry)
    shop = Workshop(read)
    for index, entry in enumerate(read.examples):
        EXAMPLES[f"{entry.kind} read"] += 1
        refused: LickwrightError | None = None
        try:
            worked = shop.worked(index)
        except LickwrightError as error:
            refused = error
        if refused is not None:
            check_sentence(refused)
            assert refused.where is not None, f"no place: {refused}"
            assert refused.where.line is not None, f"no line: {refused}"
            continue
        EXAMPLES[f"{entry.kind} worked out"] += 1
        check_worked(worked)
        for finding in check_example(shop, index):
            assert finding.what
            assert finding.mend
            assert str(finding).isprintable()


def note_keys(entry: str, model: object) -> None:
    """Count the keys that a lesson that was read has."""
    fields = getattr(model, "model_fields_set", ())
    for key in fields:
        KEYS_READ[f"{entry}.{key}"] += 1
        value = getattr(model, key)
        inner = list(value.values()) if isinstance(value, dict) else value
        for each in inner if isinstance(inner, list) else [inner]:
            note_keys(type(each).__name__, each)


def check_worked(worked: Worked) -> None:
    """A Score that every medium can read: bars that join, notes that sound, and MusicXML of it."""
    check_score(worked.score)
    assert worked.spans[0].onset == 0
    assert all(before.end == after.onset for before, after in pairwise(worked.spans))
    assert worked.spans[-1].end == worked.score.length
    try:
        musicxml(worked.score)
    except LickwrightError as error:
        check_sentence(error)


def check_score(score: Score) -> None:
    bars, notes = score.bars, score.lick.notes
    assert bars[0].onset == 0
    assert all(before.end == after.onset for before, after in pairwise(bars))
    assert notes
    assert all(before.end <= after.onset for before, after in pairwise(notes))
    assert notes[-1].end <= score.length
    for note in notes:
        assert score.guitar.midi_at(note.position) == note.pitch.midi


def tab(text: str) -> None:
    guitar = Guitar()
    block = parse_tab(text, guitar)
    lick = lick_from_tab(block, "8ths", guitar) if block.bars == 1 else None
    if lick is not None and not any(column.held for column in block.columns):
        again = parse_tab(print_tab(lick, guitar), guitar)
        assert again.positions == block.positions


def chord(text: str) -> None:
    read = parse_chord(text)
    assert parse_chord(str(read)) == read
    assert read.mask
    musicxml_harmony(read)


def triad(text: str) -> None:
    read = parse_triad(text)
    assert parse_triad(str(read)) == read
    implied_chords(list(read.notes), read.root)


def key(text: str) -> None:
    read = parse_key(text)
    assert parse_key(str(read)) == read
    assert abs(read.fifths) <= 7


def note(text: str) -> None:
    read = parse_note_name(text)
    assert parse_note_name(str(read)) == read


def pitch(text: str) -> None:
    read = parse_pitch(text)
    assert parse_pitch(str(read)) == read


def interval(text: str) -> None:
    read = parse_interval(text)
    assert parse_interval(str(read)) == read


def time(text: str) -> None:
    beats, unit = parse_time(text)
    assert parse_time(f"{beats}/{unit}") == (beats, unit)


def tuning(text: str) -> None:
    read = parse_tuning(text)
    guitar = Guitar(open_strings=read)
    assert parse_tuning(guitar.tuning) == read


def scale_length(text: str) -> None:
    lengths = parse_scale_lengths(text, 6)
    assert all(300 <= length <= 1000 for length in lengths)
    Guitar(scale_mm=lengths)


def rhythm(text: str) -> None:
    read = parse_rhythm(text)
    assert parse_rhythm(str(read)) == read
    lay_out(read, 40)


def contour(text: str) -> None:
    read = parse_contour(text)
    assert parse_contour(str(read)) == read
    shape = [Position(4, 12), Position(3, 11), Position(2, 10), Position(1, 10)]
    try:
        trace(read, [shape, shape])
    except LickwrightError as error:  # four notes are too few for some ways
        check_sentence(error)


def strokes(text: str) -> None:
    read = parse_strokes(text)
    assert parse_strokes(print_strokes(read)) == read


def changes(text: str) -> None:
    read = parse_changes(text, "C major")
    assert parse_changes(str(read), "C major") == read
    assert read.chords[0].onset == 0
    assert all(before.end == after.onset for before, after in pairwise(read.chords))
    assert read.chords[-1].end == read.length
    assert all(0 <= start < end <= read.length for start, end in read.silences)
    assert all(before[1] < after[0] for before, after in pairwise(read.silences))


def prose(text: str) -> None:
    parse_markdown(text)
    assert "<script" not in markdown_html(text).lower()


def score(text: str) -> None:
    """A MusicXML file; what we write of it reads back as the same places and times."""
    read = read_musicxml(text.encode("utf-8", "surrogatepass")).score
    check_score(read)
    again = read_musicxml(musicxml(read).encode()).score
    assert _line(again) == _line(read)


def _line(score_: Score) -> list[tuple[object, ...]]:
    return [
        (note.position, note.onset, note.duration, note.technique, note.marks)
        for note in score_.lick.notes
    ]


def compressed(text: str) -> None:
    """The bytes of a compressed file, a sign a byte."""
    read_musicxml(text.encode("latin-1", "ignore"))


@cache
def _shelf() -> tuple[Shelf, Path]:
    folder = Path(tempfile.mkdtemp(prefix="lickwright-fuzz-"))
    return Shelf(folder / "shelf.sqlite"), folder


def shelf_lines(text: str) -> None:
    shelf, folder = _shelf()
    file = folder / "lines.jsonl"
    file.write_bytes(text.encode("utf-8", "surrogatepass"))
    import_file(shelf, file)


def search(text: str) -> None:
    """Words to look for; the same text as a chord, a tuning and a triad, where it is one."""
    shelf, _ = _shelf()
    kinds: tuple[Callable[[], object], ...] = (
        lambda: find(shelf, LickSearch(words=text)),
        lambda: find(shelf, LickSearch(chord=text)),
        lambda: find(shelf, LickSearch(tuning=text)),
        lambda: find(shelf, LickSearch(triads=(text,))),
    )
    refused = []
    for ask in kinds:
        try:
            ask()
        except LickwrightError as error:
            check_sentence(error)
            refused.append(error)
    if len(refused) == len(kinds):
        raise refused[0]
