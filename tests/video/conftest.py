"""Scores to show: the demo's examples, an invented lick with everything in it, one for timing."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from fractions import Fraction
from functools import cache
from pathlib import Path

import numpy as np
import numpy.typing as npt
import pytest

from lickwright.lesson.compile.examples import Worked, Workshop
from lickwright.lesson.file.reading import load_lesson
from lickwright.lick.notes import Lick, LickNote, Marks, Stroke, Technique, Tuplet
from lickwright.neck.instrument import Guitar, Position
from lickwright.score.score import Bar, ChordSpan, Score
from lickwright.theory.chord import parse_chord
from lickwright.theory.key import Key
from lickwright.theory.pitch import parse_note_name, pitch_from_midi
from lickwright.video.frames.clock import Passage, TriadNames
from lickwright.video.frames.painter import Area
from lickwright.video.frames.palette import LAMP, rgb
from lickwright.video.panels.neck import NeckPanel
from lickwright.video.panels.tab import TabPanel

F = Fraction
DEMO = Path(__file__).parents[2] / "examples" / "two-triads-one-chord.yaml"

_NAMES = tuple(map(parse_note_name, ("C", "C#", "D", "Eb", "E", "F", "F#", "G"))) + tuple(
    map(parse_note_name, ("G#", "A", "Bb", "B"))
)
_NONE = F(0)
_STROKES = (Stroke.DOWN, Stroke.UP)

#: One row a note: string (0 for a rest), fret, length, and what else there is to say.
Row = tuple[int, int, Fraction, dict[str, object]]


@cache
def _shop() -> Workshop:
    return Workshop(load_lesson(DEMO))


def pytest_generate_tests(metafunc: pytest.Metafunc) -> None:
    """A test that asks for ``demo_index`` runs for every example of the demo."""
    if "demo_index" in metafunc.fixturenames:
        metafunc.parametrize("demo_index", range(len(_shop().lesson.examples)))


def worked(index: int) -> Worked:
    return _shop().worked(index)


def passage_of(
    score: Score,
    tempo_bpm: float,
    triads: Sequence[TriadNames] = (),
    count_in_bars: int = 1,
    tail_s: float = 1.5,
) -> Passage:
    """A passage with whole bars of count-in, and up to the entry of a pickup."""
    first = score.bars[0]
    whole = F(4 * first.beats, first.unit)
    count = count_in_bars * whole
    if first.length < whole:
        count += whole - first.length
    start_s = float(count) * 60 / tempo_bpm
    length_s = start_s + float(score.length) * 60 / tempo_bpm + tail_s
    return Passage(score, tempo_bpm, start_s, length_s, tuple(triads))


def demo_passage(index: int, tempo_bpm: float | None = None) -> Passage:
    example = worked(index)
    names = [TriadNames(span.onset, tuple(map(str, span.triads))) for span in example.spans]
    return passage_of(example.score, tempo_bpm or example.score.target_bpm, names)


def score_of(
    rows: Sequence[Row],
    *,
    guitar: Guitar | None = None,
    meter: tuple[int, int] = (4, 4),
    pickup: Fraction = _NONE,
    chords: Sequence[tuple[Fraction, str, str]] = ((F(0), "Dm9", "D"),),
    tuplets: Sequence[Tuplet] = (),
    name: str = "Trial",
) -> Score:
    guitar = guitar or Guitar()
    notes: list[LickNote] = []
    at = F(0)
    for string, fret, length, more in rows:
        if string:
            place = Position(string, fret)
            key = guitar.midi_at(place)
            usual = {
                "stroke": _STROKES[len(notes) % 2],
                "finger": fret % 4 + 1 if fret else 0,
                "degree": "b3",
            }
            pitch = pitch_from_midi(key, _NAMES[key % 12])
            notes.append(LickNote(place, pitch, at, length, **{**usual, **more}))  # type: ignore[arg-type]
        at += length
    whole = F(4 * meter[0], meter[1])
    key_of_score = Key(_NAMES[2], "dorian")
    bars = [Bar(0, F(0), pickup, *meter, key_of_score)] if pickup else []
    end = pickup
    while end < at:
        bars.append(Bar(len(bars) + (0 if pickup else 1), end, whole, *meter, key_of_score))
        end += whole
    onsets = [onset for onset, _, _ in chords]
    spans = tuple(
        ChordSpan(onset, after - onset, parse_chord(symbol), (_NAMES[0],), parse_note_name(bass))
        for (onset, symbol, bass), after in zip(chords, [*onsets[1:], end], strict=True)
    )
    lick = Lick(tuple(notes), end, tuple(tuplets))
    return Score(name, guitar, lick, tuple(bars), spans, 60.0, 100.0)


def everything() -> Score:
    """Techniques, a dead note, palm mutes, a rest, a tie over the bar, long symbols."""
    legato = {"stroke": None}
    rows: list[Row] = [
        (3, 7, F(1, 2), {"voice": 0}),
        (3, 9, F(1, 2), {"voice": 0, "technique": Technique.HAMMER_ON, **legato}),
        (3, 7, F(1, 2), {"voice": 1, "technique": Technique.PULL_OFF, **legato}),
        (
            3,
            12,
            F(1),
            {"voice": 1, "technique": Technique.SLIDE, "marks": Marks(vibrato=True), **legato},
        ),
        (0, 0, F(1, 2), {}),
        (6, 3, F(1, 4), {"marks": Marks(palm_mute=True)}),
        (6, 3, F(1, 4), {"marks": Marks(palm_mute=True)}),
        (6, 5, F(1, 4), {"marks": Marks(palm_mute=True, dead=True)}),
        (1, 12, F(9, 4), {"voice": 1, "marks": Marks(vibrato=True)}),
        (2, 13, F(2), {"voice": 0}),
    ]
    chords = [(F(0), "F#m7b5/C", "C"), (F(2), "B7(b9,#11)", "B"), (F(4), "Ebmaj13(#11)", "Eb")]
    return score_of(rows, chords=chords)


def quarters(bars: int) -> Score:
    """A note a beat, never the same place twice in a row."""
    rows: list[Row] = [
        (1 + index % 6, 3 + index % 5, F(1), {"voice": index % 2}) for index in range(4 * bars)
    ]
    return score_of(rows, name="Quarters")


def note_at(passage: Passage, time_s: float) -> int | None:
    """What the score says, straight from its fractions."""
    quarter = (F(time_s) - F(passage.start_s)) * F(passage.tempo_bpm) / 60
    for index, note in enumerate(passage.score.lick.notes):
        if note.onset <= quarter < note.end:
            return index
    return None


@pytest.fixture(name="score_of")
def _score_of() -> Callable[..., Score]:
    return score_of


@pytest.fixture(name="passage_of")
def _passage_of() -> Callable[..., Passage]:
    return passage_of


@pytest.fixture(name="demo_passage")
def _demo_passage() -> Callable[..., Passage]:
    return demo_passage


@pytest.fixture(name="quarters")
def _quarters() -> Callable[[int], Score]:
    return quarters


@pytest.fixture(name="note_at")
def _note_at() -> Callable[[Passage, float], int | None]:
    return note_at


@pytest.fixture(name="everything")
def _everything() -> Score:
    return everything()


# --- reading a picture back ----------------------------------------------------------------------

Pixels = npt.NDArray[np.uint8]
_LAMP = np.array(rgb(LAMP))


class Reader:
    """Reads from the pixels of a frame which place of the neck and which figure are lit.

    It knows where the panels are, but not what is played: it looks for the lamp's colour, and
    chooses among all places of the neck and all columns of the tab.
    """

    def __init__(self, tab: TabPanel, neck: NeckPanel, tolerance: int) -> None:
        self.tab, self.neck, self.tolerance = tab, neck, tolerance

    def _lit(self, pixels: Pixels, box: Area) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp]]:
        part = pixels[box.top : box.bottom, box.left : box.right, :3].astype(int)
        rows, columns = np.nonzero(np.abs(part - _LAMP).max(axis=2) <= self.tolerance)
        return columns + box.left, rows + box.top

    def place(self, pixels: Pixels, scene: int) -> Position | None:
        """The lit place of the neck: nearest to the middle of the lamp's ring."""
        box, board, unit = self.neck.box, self.neck.boards[scene], self.neck.unit
        below_legend = box._replace(top=round(box.top + 65 * unit))
        xs, ys = self._lit(pixels, below_legend)
        if len(xs) < 30 * unit:
            return None
        x, y = (xs.min() + xs.max()) / 2 - box.left, (ys.min() + ys.max()) / 2 - box.top
        places = [
            Position(string, fret)
            for string in range(1, board.guitar.string_count + 1)
            for fret in range(board.window.last + 1)
            if board.window.holds(Position(string, fret))
        ]
        return min(
            places,
            key=lambda place: (board.x(place) - x) ** 2 + (board.string_y(place.string) - y) ** 2,
        )

    def column(self, pixels: Pixels, page: int) -> tuple[int, Fraction] | None:
        """String and onset of the lit figure on a page of tab."""
        rows, box = self.tab.rows, self.tab.box
        strings = box._replace(
            top=round(box.top + rows.strings[0] - rows.figure / 2),
            bottom=round(box.top + rows.strings[-1] + rows.figure / 2),
        )
        xs, ys = self._lit(pixels, strings)
        if len(xs) < 30 * self.tab.unit:
            return None
        x, y = np.median(xs) - self.tab.slot_x(page), np.median(ys) - box.top
        string = 1 + int(np.argmin(np.abs(np.array(rows.strings) - y)))
        shown = self.tab.pages[page]
        column = int(np.argmin(np.abs(np.array(shown.xs[:-1]) - x)))
        return string, shown.times[column]

    def rows_lit(self, pixels: Pixels) -> tuple[bool, bool]:
        """Whether a stroke and a finger are lit."""
        rows, box, unit = self.tab.rows, self.tab.box, self.tab.unit
        found = []
        for middle in (rows.stroke, rows.finger):
            y = box.top + middle
            around = box._replace(top=round(y - 10 * unit), bottom=round(y + 10 * unit))
            found.append(len(self._lit(pixels, around)[0]) > 100 * unit**2)
        return found[0], found[1]


@pytest.fixture(name="reader")
def _reader() -> Callable[..., Reader]:
    return Reader


def ten_notes(passage: Passage, fps: Fraction) -> list[tuple[int, int]]:
    """Ten notes spread over a passage, each with the frame nearest to its middle."""
    notes = passage.score.lick.notes
    chosen = sorted({round(i * (len(notes) - 1) / 9) for i in range(10)})
    found = []
    for index in chosen:
        note = notes[index]
        middle_s = passage.seconds((note.onset + note.end) / 2)
        found.append((index, int(middle_s * fps)))
    return found


@pytest.fixture(name="ten_notes")
def _ten_notes() -> Callable[..., list[tuple[int, int]]]:
    return ten_notes
