"""Intervals beside music21.interval, on every pair of letters and accidentals."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21 import interval as m21_interval
from music21 import pitch as m21_pitch

from lickwright.errors import TheoryError
from lickwright.theory.interval import Interval, interval_between, note_above, parse_interval
from lickwright.theory.pitch import LETTERS, NoteName, Pitch, parse_note_name, parse_pitch

NAMES = [NoteName(letter, alter) for letter, alter in product(LETTERS, range(-2, 3))]
names = st.builds(NoteName, st.sampled_from(LETTERS), st.integers(-2, 2))
pitches = st.builds(Pitch, names, st.integers(1, 6))


def music21_between(low: Pitch, high: Pitch) -> m21_interval.Interval | None:
    """music21's interval; ``None`` for the quintuple qualities that it has no word for."""
    try:
        return m21_interval.Interval(
            m21_pitch.Pitch(str(low).replace("b", "-")),
            m21_pitch.Pitch(str(high).replace("b", "-")),
        )
    except (m21_interval.IntervalException, IndexError):
        return None


def test_every_pair_of_names_up_and_down_as_music21_says(
    documented: Callable[[str], dict[tuple[str, str], tuple[str, str]]],
) -> None:
    # Both directions: from each name in octave 4 to each in octave 5, and back.
    differ = {}
    for first, second in product(NAMES, NAMES):
        low, high = Pitch(first, 4), Pitch(second, 5)
        for start, end, sign in ((low, high, ""), (high, low, "-")):
            theirs, ours = music21_between(start, end), interval_between(start, end)
            name = "not named" if theirs is None else f"{sign}{theirs.name}"
            if name != str(ours):
                differ["music21", f"{start} to {end}"] = (name, str(ours))
            if theirs is not None:
                assert ours.semitones == theirs.semitones, (start, end)
    assert differ == documented("### Intervals")


def test_names_alone_count_up_to_the_next_such_letter() -> None:
    # music21 on the nearest pitches: the second name is at or above the first on the staff.
    for first, second in product(NAMES, NAMES):
        octave = 4 if LETTERS.index(second.letter) >= LETTERS.index(first.letter) else 5
        if first.letter == second.letter and second.alter < first.alter:
            octave = 5
        theirs = music21_between(Pitch(first, 4), Pitch(second, octave))
        ours = interval_between(first, second)
        if len(ours.quality) < 5:  # music21 has no quintuple qualities: see the document
            assert theirs is not None
            assert (str(ours), ours.semitones) == (theirs.name, theirs.semitones), (first, second)


@pytest.mark.parametrize(
    ("low", "high", "text"),
    [
        # Worked examples of primers of theory; common practice, no source.
        ("C4", "E4", "M3"),
        ("C4", "Eb4", "m3"),
        ("B3", "F4", "d5"),
        ("F4", "B4", "A4"),
        ("C4", "E5", "M10"),
        ("E5", "C4", "-M10"),
        ("C4", "C5", "P8"),
        ("C4", "C#4", "A1"),
        ("C#4", "C4", "-A1"),
        ("Ab3", "B3", "A2"),
        ("F#4", "Eb5", "d7"),
        ("Gb4", "B#4", "AA3"),
        ("B#3", "Cb4", "dd2"),
        ("C4", "D##4", "AA2"),
    ],
)
def test_worked_examples(low: str, high: str, text: str) -> None:
    found = interval_between(parse_pitch(low), parse_pitch(high))
    assert str(found) == text
    assert parse_interval(text) == found


@given(pitches, pitches)
def test_print_and_parse_are_inverse(low: Pitch, high: Pitch) -> None:
    found = interval_between(low, high)
    assert parse_interval(str(found)) == found


@given(pitches, pitches)
def test_note_above_undoes_interval_between(low: Pitch, high: Pitch) -> None:
    assert note_above(low, interval_between(low, high)) == high


@given(names, names)
def test_note_above_undoes_interval_between_names(first: NoteName, second: NoteName) -> None:
    assert note_above(first, interval_between(first, second)) == second


@given(pitches, pitches, pitches)
def test_intervals_add_like_journeys(first: Pitch, second: Pitch, third: Pitch) -> None:
    there = interval_between(first, second) + interval_between(second, third)
    assert there == interval_between(first, third)
    assert there - interval_between(second, third) == interval_between(first, second)
    assert -interval_between(first, third) == interval_between(third, first)


@given(names, names)
def test_an_interval_and_its_inversion_make_an_octave(first: NoteName, second: NoteName) -> None:
    found = interval_between(first, second)
    inverted = found.inverted
    assert found.number + inverted.number == 9
    assert found.semitones + inverted.semitones == 12
    theirs = music21_between(Pitch(first, 4), note_above(Pitch(first, 4), found))
    if theirs is not None and len(found.quality) < 5:  # it has no quintuple qualities
        assert str(inverted) == theirs.complement.name


@given(pitches, pitches)
def test_simple_intervals_as_music21_has_them(low: Pitch, high: Pitch) -> None:
    ours = interval_between(low, high)
    theirs = music21_between(low, high)
    if theirs is None or len(ours.quality) > 4:  # it has no quintuple qualities
        return
    if abs(ours.number) % 7 != 1:  # at unisons and octaves conventions differ
        assert str(ours.simple).removeprefix("-") == theirs.semiSimpleName


@pytest.mark.parametrize(
    "text", ["", "3", "P3", "M5", "m4", "X2", "P0", "Mm3", "--M3", "-m-3", "d1"]
)
def test_bad_intervals_say_how_to_mend(text: str) -> None:
    with pytest.raises(TheoryError) as caught:
        parse_interval(text)
    assert caught.value.mend


def test_number_zero_is_refused() -> None:
    with pytest.raises(TheoryError):
        Interval(0, 0)


def test_names_and_pitches_do_not_mix() -> None:
    with pytest.raises(TheoryError):
        interval_between(parse_note_name("C"), parse_pitch("E4"))  # type: ignore[call-overload]
