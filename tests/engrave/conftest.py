"""Scores to engrave: a builder, some hard cases by name, and random ones."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from fractions import Fraction

import pytest
from hypothesis import strategies as st

from lickwright.lick.notes import Lick, LickNote, Marks, Stroke, Technique, Tuplet
from lickwright.neck.instrument import Guitar, Position
from lickwright.score.score import Bar, ChordSpan, Score
from lickwright.theory.chord import parse_chord
from lickwright.theory.key import Key, parse_key
from lickwright.theory.pitch import parse_pitch, pitch_from_midi
from lickwright.theory.spelling import spell

F = Fraction  # quarter notes

#: How a beat is filled, by name: the lengths, and the tuplet they stand in.
Cell = tuple[tuple[F, ...], tuple[int, int] | None]
QUARTER_CELLS: tuple[Cell, ...] = (
    ((F(1),), None),
    ((F(1, 2),) * 2, None),
    ((F(1, 4),) * 4, None),
    ((F(3, 4), F(1, 4)), None),
    ((F(1, 4), F(1, 2), F(1, 4)), None),
    ((F(1, 8),) * 8, None),
    ((F(1, 3),) * 3, (3, 2)),
    ((F(2, 3), F(1, 3)), (3, 2)),
    ((F(1, 5),) * 5, (5, 4)),
    ((F(1, 6),) * 6, (6, 4)),
    ((F(1, 7),) * 7, (7, 4)),
)
DOTTED_CELLS: tuple[Cell, ...] = (
    ((F(3, 2),), None),
    ((F(1, 2),) * 3, None),
    ((F(1, 4),) * 6, None),
    ((F(3, 4), F(1, 4), F(1, 2)), None),
    ((F(1), F(1, 2)), None),
    ((F(3, 4),) * 2, (2, 3)),
    ((F(3, 8),) * 4, (4, 3)),
)


def guitar(tuning: str = "E2 A2 D3 G3 B3 E4", capo: int = 0) -> Guitar:
    strings = tuple(parse_pitch(text) for text in reversed(tuning.split()))
    return Guitar(open_strings=strings, capo=capo)


def bars(count: int, time: str = "4/4", key: str = "C", pickup: F | None = None) -> tuple[Bar, ...]:
    beats, unit = map(int, time.split("/"))
    lengths = [F(4 * beats, unit)] * count
    if pickup is not None:
        lengths.insert(0, pickup)
    made, onset = [], F(0)
    for number, length in enumerate(lengths, start=0 if pickup is not None else 1):
        made.append(Bar(number, onset, length, beats, unit, parse_key(key)))
        onset += length
    return tuple(made)


def note(
    guitar: Guitar, string: int, fret: int, onset: F, length: F, key: Key, **more: object
) -> LickNote:
    position = Position(string, fret)
    midi = guitar.midi_at(position)
    pitch = pitch_from_midi(midi, spell(midi % 12, key))
    return LickNote(position, pitch, onset, length, **more)  # type: ignore[arg-type]


def chord(onset: F, length: F, symbol: str) -> ChordSpan:
    known = parse_chord(symbol)
    return ChordSpan(onset, length, known, tuple(known.notes), known.bass_note)


def line(
    places: Iterable[tuple[int, int]],
    length: F,
    *,
    time: str = "4/4",
    key: str = "C",
    tuning: str = "E2 A2 D3 G3 B3 E4",
    chords: str = "",
    tuplets: tuple[int, int] | None = None,
    capo: int = 0,
    pickup: F | None = None,
    marks: Callable[[int], dict[str, object]] | None = None,
) -> Score:
    """Equal notes one after another; ``chords`` are spread evenly over the whole."""
    instrument = guitar(tuning, capo)
    notes, onset = [], F(0)
    for index, (string, fret) in enumerate(places):
        more = marks(index) if marks else {}
        notes.append(note(instrument, string, fret, onset, length, parse_key(key), **more))
        onset += length
    beats, unit = map(int, time.split("/"))
    full = F(4 * beats, unit)
    count = -((-(onset - (pickup or F(0)))) // full)
    laid = bars(max(1, int(count)), time, key, pickup)
    end = laid[-1].end
    symbols = chords.split()
    spans = tuple(
        chord(end * index / len(symbols), end / len(symbols), symbol)
        for index, symbol in enumerate(symbols)
    )
    groups: list[Tuplet] = []
    if tuplets is not None:
        groups = [Tuplet(F(beat), F(1), *tuplets) for beat in range(int(onset))]
    lick = Lick(tuple(notes), end, tuple(groups))
    return Score("line", instrument, lick, laid, spans, 66, 112)


def _picked(index: int) -> dict[str, object]:
    return {"stroke": (Stroke.DOWN, Stroke.UP)[index % 2], "finger": 1 + index % 4}


def _swept(index: int) -> dict[str, object]:
    down = index % 10 < 5
    return {"stroke": Stroke.DOWN if down else Stroke.UP, "finger": (4, 1, 2, 1, 3)[index % 5]}


def _joined(index: int) -> dict[str, object]:
    technique = (Technique.PICK, Technique.HAMMER_ON, Technique.PULL_OFF, Technique.SLIDE)[
        index % 4
    ]
    stroke = Stroke.DOWN if technique is Technique.PICK else None
    return {"technique": technique, "stroke": stroke, "finger": 1 + index % 4,
            "marks": Marks(vibrato=index == 7, palm_mute=8 <= index < 14)}  # fmt: skip


def hard_cases() -> dict[str, Score]:
    up = [(5, 12), (4, 10), (3, 10), (2, 10), (1, 13)]
    high = [(5, 24), (4, 22), (3, 21), (2, 20), (1, 24)]
    scale = [(6, 8), (6, 10), (5, 7), (5, 8), (5, 10), (4, 7), (4, 9), (4, 10)]
    return {
        "sixteenths": line([*up, (1, 12), *reversed(up[1:]), *up, (1, 12)], F(1, 4),
                           key="D dorian", chords="Dm9", marks=_picked),
        "high quintuplets": line([*up, *reversed(high)] * 2, F(1, 5), key="Eb", tuplets=(5, 4),
                                 chords="Bbmaj7#5/D C13#11 F#m7b5/E Bbmaj9", marks=_swept),
        "high over systems": line((high + high[::-1]) * 7, F(1, 4), key="Eb", marks=_joined),
        "triplets": line(scale[:6] * 2, F(1, 3), chords="G7#9 C6/9", tuplets=(3, 2), marks=_picked),
        "sextuplets": line(scale[:6] * 4, F(1, 6), chords="Am11", tuplets=(6, 4), marks=_picked),
        "septuplets": line((scale * 4)[:28], F(1, 7), chords="E7alt", tuplets=(7, 4),
                           marks=_picked),
        "joined": line([(3, 5), (3, 7), (3, 5), (3, 9)] * 4, F(1, 2), key="G", chords="Em7 D7b9",
                       marks=_joined),
        "long notes": line([(2, 8), (1, 8), (3, 9), (4, 7)], F(7, 2), chords="C C13#11 F6/9 Bb7",
                           marks=_picked),
        "low eight strings": line([(8, 0), (8, 1), (8, 3), (7, 2), (7, 3), (6, 2), (6, 4), (8, 0)],
                                  F(1, 2), tuning="F#1 B1 E2 A2 D3 G3 B3 E4", chords="F#m",
                                  marks=lambda i: {**_picked(i), "marks": Marks(palm_mute=True)}),
        "nine strings": line([(9, 2), (8, 2), (7, 4), (6, 3), (5, 5), (4, 4), (3, 6), (1, 5)],
                             F(1, 2), tuning="C#1 F#1 B1 E2 A2 D3 G3 B3 E4", marks=_picked),
        "bass": line([(4, 0), (4, 3), (3, 2), (2, 2), (2, 4), (1, 2), (1, 4), (1, 16)], F(1, 2),
                     tuning="E1 A1 D2 G2", key="E minor", chords="Em9", marks=_picked),
        "small and high": line([(3, 0), (2, 0), (1, 3), (1, 7)], F(1), tuning="G4 C4 E4 A4",
                               chords="C6", marks=_picked),
        "six eight": line(scale[2:] + scale[2:], F(1, 2), time="6/8", key="A", pickup=F(1, 2),
                          chords="A6/9 F#m11", marks=_picked),
        "seven eight": line(scale[:7] * 2, F(1, 2), time="7/8", key="Bb", chords="Gm11 Cm9",
                            marks=_picked),
        "capo": line(up, F(1, 2), capo=3, key="Bb", chords="Bbmaj7", marks=_picked),
        "twelve bars": line((scale + scale[::-1]) * 12, F(1, 4), key="Ab", marks=_picked,
                            chords="Abmaj9 Fm11 Bbm9 Eb13 Cm7 F7#9 Bbm7 Eb7b9 Ab6 Dbmaj7#11 "
                                   "Gm7b5 C7alt"),
    }  # fmt: skip


@st.composite
def random_scores(draw: st.DrawFn) -> Score:
    """Any lick that a page can hold: meters, tuplets, rests, notes held over anything."""
    time, cells = draw(
        st.sampled_from(
            [("4/4", QUARTER_CELLS), ("3/4", QUARTER_CELLS), ("2/2", QUARTER_CELLS),
             ("5/4", QUARTER_CELLS), ("6/8", DOTTED_CELLS), ("12/8", DOTTED_CELLS)]
        )
    )  # fmt: skip
    beat = sum(cells[0][0])
    key = draw(st.sampled_from(["C", "D dorian", "F# minor", "Eb", "Db", "B"]))
    pickup = draw(st.sampled_from([None, beat]))
    laid = bars(draw(st.integers(1, 2)), time, key, pickup)
    instrument = guitar()
    notes: list[LickNote] = []
    tuplets: list[Tuplet] = []
    moment = F(0)
    while moment < laid[-1].end:
        lengths, ratio = draw(st.sampled_from(cells))
        if ratio is not None:
            tuplets.append(Tuplet(moment, beat, *ratio))
        for length in lengths:
            kind = draw(st.sampled_from(["note", "note", "note", "hold", "rest"]))
            if kind == "hold" and notes and notes[-1].end == moment:
                last = notes.pop()
                notes.append(
                    LickNote(last.position, last.pitch, last.onset, last.duration + length)
                )
            elif kind != "rest":
                place = draw(st.tuples(st.integers(1, 6), st.integers(0, 24)))
                notes.append(note(instrument, *place, moment, length, parse_key(key)))
            moment += length
    lick = Lick(tuple(notes), laid[-1].end, tuple(tuplets))
    return Score("random", instrument, lick, laid, (), 66, 112)


@pytest.fixture(scope="session")
def scores() -> st.SearchStrategy[Score]:
    return random_scores()


@pytest.fixture(scope="session")
def cases() -> dict[str, Score]:
    return hard_cases()


@pytest.fixture(scope="session")
def lay() -> Callable[..., Score]:
    """:func:`line`, for tests."""
    return line


@pytest.fixture(scope="session")
def lay_bars() -> Callable[..., tuple[Bar, ...]]:
    return bars
