"""Composing: a line's notes, spelling, time and target, with music21 as the outside ear."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21.pitch import Pitch as TheirPitch

from lickwright.errors import ContourError, NeckError
from lickwright.lick.notes import Lick
from lickwright.lick.phrase.composing import compose
from lickwright.lick.rhythm.timing import Meter
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.shapes.search import find_shapes
from lickwright.neck.shapes.shape import Shape
from lickwright.theory.pitch import parse_note_name
from lickwright.theory.triad import parse_triad

F = Fraction
#: Gb major and Bb minor in one place, spelled by their triads.
GB = Shape(parse_triad("Gb"), (Position(4, 11), Position(3, 11), Position(2, 11), Position(1, 9)))
BBM = Shape(parse_triad("Bbm"), (Position(4, 11), Position(3, 10), Position(2, 11), Position(1, 9)))


def pitches(lick: Lick) -> list[str]:
    return [str(note.pitch) for note in lick.notes]


def test_a_line_once_through_both_triads_is_spelled_by_each() -> None:
    gb = Shape(parse_triad("Gb"), (Position(4, 8), Position(3, 6), Position(2, 7), Position(1, 6)))
    lick = compose([gb, BBM], "up down", "16ths")
    assert pitches(lick) == ["Bb3", "Db4", "Gb4", "Bb4", "Db5", "Bb4", "F4", "Db4"]
    assert [note.voice for note in lick.notes] == [0] * 4 + [1] * 4
    for note in lick.notes:  # the outside ear: what music21 makes of the written pitch
        theirs = TheirPitch(str(note.pitch).replace("b", "-"))
        assert theirs.midi == Guitar().midi_at(note.position)
    assert lick.length == 4
    assert lick.notes[-1].end == 4


def test_bars_are_filled_and_the_last_note_ends_at_the_bar_line() -> None:
    lick = compose([GB], "up-down", "8th triplets", bars=2)
    assert len(lick.notes) == 24
    assert lick.length == 8
    assert lick.notes[-1].end == 8
    assert len(lick.tuplets) == 8


@pytest.mark.parametrize("bars", [None, 1, 2])
@pytest.mark.parametrize("rhythm", ["16ths", "8th triplets", "quintuplets", "q e e", "e. e. e"])
def test_a_target_tone_ends_the_line_on_a_strong_beat(bars: int | None, rhythm: str) -> None:
    meter = Meter()
    lick = compose([GB, BBM], "up down", rhythm, bars=bars, target=[1])
    last = lick.notes[-1]
    assert last.pitch.name == parse_note_name("Db")
    assert meter.is_strong(last.onset)
    assert last.end == lick.length
    assert bars is None or lick.length == 4 * bars


def test_names_degrees_and_voices_come_from_the_caller() -> None:
    lick = compose(
        [[Position(3, 1), Position(2, 1)]],
        "up",
        "8ths",
        names={8: parse_note_name("G#")},
        degrees={8: "3", 0: "b6"},
        voices=[4],
    )
    assert pitches(lick) == ["G#3", "C4"]
    assert [(note.degree, note.voice) for note in lick.notes] == [("3", 4), ("b6", 4)]


def test_equal_triads_share_a_voice() -> None:
    lick = compose([GB, BBM, GB], "up", "16ths")
    assert [n.voice for n in lick.notes][::4] == [0, 1, 0]


@pytest.mark.parametrize(
    ("arguments", "error", "words"),
    [
        ({"bars": 0}, ContourError, "0 bars"),
        ({"target": [2]}, ContourError, "no shape holds the target note"),
        ({"voices": [0, 1]}, ContourError, "2 voices for 1 shapes"),
        ({"rhythm": "re e", "target": [1]}, ContourError, "strong beat"),
        ({"guitar": Guitar(frets=10)}, NeckError, "no string 4 fret 11"),
    ],
)
def test_what_does_not_fit_is_said(
    arguments: dict[str, object], error: type[Exception], words: str
) -> None:
    request: dict[str, object] = {"rhythm": "8ths", **arguments}
    with pytest.raises(error) as raised:
        compose([GB], "up", **request)  # type: ignore[arg-type]
    assert words in str(raised.value)


@given(
    st.sampled_from(["F", "Am", "Bdim", "C#aug", "Dsus4"]),
    st.sampled_from(["up", "down", "up-down", "down-up", "up broken", "up in threes"]),
    st.sampled_from(["16ths", "8th triplets", "quintuplets", "q e e", "q+s e."]),
    st.sampled_from([Meter(), Meter(bar=F(3)), Meter(bar=F(5, 2)), Meter(pickup=F(1))]),
    st.integers(1, 3),
)
def test_a_composed_line_is_a_sound_lick(
    triad: str, contour: str, rhythm: str, meter: Meter, bars: int
) -> None:
    shape = find_shapes(parse_triad(triad), frets=(5, 10), strings=(1, 5))[0]
    lick = compose([shape], contour, rhythm, bars=bars, meter=meter)
    assert lick.length == meter.pickup + bars * meter.bar
    assert {note.pitch.name for note in lick.notes} <= set(shape.triad.notes)
    for one, two in zip(lick.notes, lick.notes[1:], strict=False):
        assert one.end <= two.onset
        assert one.position != two.position
