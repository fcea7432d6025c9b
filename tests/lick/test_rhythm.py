"""Rhythm text: values against an outside library, round trips, clear errors."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from music21.duration import Duration, Tuplet

from lickwright.errors import RhythmError
from lickwright.lick.rhythm.reading import (
    FLOWS,
    VALUES,
    BarMark,
    Rhythm,
    RhythmValue,
    TupletGroup,
    cycle_of,
    parse_rhythm,
)

_NAMES = {"w": "whole", "h": "half", "q": "quarter", "e": "eighth", "s": "16th", "t": "32nd"}


@pytest.mark.parametrize("dots", [0, 1, 2])
@pytest.mark.parametrize("letter", list(VALUES))
def test_values_and_dots_have_the_lengths_music21_gives_them(letter: str, dots: int) -> None:
    theirs = Duration(type=_NAMES[letter], dots=dots).quarterLength
    assert parse_rhythm(letter + "." * dots).length == Fraction(theirs)


@pytest.mark.parametrize(
    ("text", "actual", "normal", "letter"),
    [
        ("8th triplets", 3, 2, "e"),
        ("16th triplets", 3, 2, "s"),
        ("quarter triplets", 3, 2, "q"),
        ("quintuplets", 5, 4, "s"),
        ("sextuplets", 6, 4, "s"),
        ("septuplets", 7, 4, "s"),
        ("7:8(t x7)", 7, 8, "t"),
        ("2:3(e e)", 2, 3, "e"),
        ("9(t x9)", 9, 8, "t"),
    ],
)
def test_tuplets_take_the_time_music21_gives_them(
    text: str, actual: int, normal: int, letter: str
) -> None:
    theirs = Tuplet(actual, normal, durationActual=_NAMES[letter], durationNormal=_NAMES[letter])
    rhythm = parse_rhythm(text)
    assert rhythm.length == Fraction(theirs.totalTupletLength())
    assert rhythm.attacks == actual


@pytest.mark.parametrize(
    ("text", "same"),
    [
        ("s", "16ths"),
        ("e e e e", "8ths"),
        ("  Q   e E ", "q e e"),
        ("(e s s) x3", "e s s"),
        ("3(e x3)", "triplets"),
        ("e x4 q", "e e e e q"),
        ("8th-triplets", "8th triplets"),
        ("sixteenths", "16ths"),
        ("3((e) x3)", "8th triplets"),
    ],
)
def test_ways_of_writing_one_rhythm(text: str, same: str) -> None:
    assert parse_rhythm(text) == parse_rhythm(same)


@pytest.mark.parametrize(
    ("text", "length", "attacks"),
    [
        ("q e e", 2, 3),
        ("q. e", 2, 2),
        ("rq q", 2, 1),
        ("q+s e.", 2, 2),
        ("3(e e e)+q e e", 3, 5),
        ("e q+", Fraction(3, 2), 1),
        ("3(q e) q", 2, 3),
        ("q q q q |", 4, 4),
    ],
)
def test_cycles(text: str, length: Fraction, attacks: int) -> None:
    rhythm = parse_rhythm(text)
    assert (rhythm.length, rhythm.attacks) == (length, attacks)
    assert parse_rhythm(str(rhythm)) == rhythm


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "empty"),
        ("16th", "Did you mean '16ths'?"),
        ("8th tripletz", "Did you mean '8th triplets'?"),
        ("quintuplet", "Did you mean 'quintuplets'?"),
        ("q z e", "'z'"),
        ("qe", "'qe'"),
        ("3(e e)", "does not hold 3 equal values"),
        ("4(e e e e)", "in the time of how many"),
        ("3(3(e e e) e e)", "tuplet inside a tuplet"),
        ("3(e | e e)", "bar line inside a tuplet"),
        ("5:5(s x5)", "ratio 5:5"),
        ("3()", "empty tuplet"),
        ("(e", "bracket open"),
        ("e)", "never opened"),
        ("x4", "repeats nothing"),
        ("e x0", "repeats 0 times"),
        ("e+ x4", "repeats nothing"),
        ("rq re", "no notes"),
        ("e+rq", "joins a rest"),
        ("rq+e", "joins a rest"),
        ("+e", "starts from no note"),
        ("e++e", "starts from no note"),
        ("e+", "no note ever starts"),
        ("|", "no notes"),
        ("(((s x64) x64) x64)", "longer than"),
    ],
)
def test_bad_rhythms_say_what_is_wrong(text: str, words: str) -> None:
    with pytest.raises(RhythmError) as raised:
        parse_rhythm(text)
    assert words in str(raised.value)
    assert "\n" not in str(raised.value)


def test_every_flow_prints_as_its_first_name() -> None:
    for name in FLOWS:
        assert parse_rhythm(str(parse_rhythm(name))) == parse_rhythm(name)
    assert str(parse_rhythm("eighth triplets")) == "8th triplets"


values = st.builds(
    RhythmValue,
    st.sampled_from(list(VALUES.values())),
    st.integers(0, 2),
    st.booleans(),
    st.just(False),
)
notes = st.builds(RhythmValue, st.sampled_from(list(VALUES.values())), st.integers(0, 1))
unit_tuplets = st.builds(
    lambda ratio, letter: TupletGroup(*ratio, (RhythmValue(VALUES[letter]),) * ratio[0]),
    st.sampled_from([(3, 2), (5, 4), (6, 4), (7, 8), (2, 3), (4, 3)]),
    st.sampled_from("qest"),
)


@st.composite
def rhythms(draw: st.DrawFn) -> Rhythm:
    items = draw(
        st.lists(st.one_of(values, notes, unit_tuplets, st.builds(BarMark)), min_size=1, max_size=9)
    )
    head = draw(st.one_of(notes, unit_tuplets))
    ties = draw(st.booleans())
    tail = (RhythmValue(Fraction(1), tied=True), RhythmValue(Fraction(1, 4))) if ties else ()
    return cycle_of((head, *tail, *items))


@given(rhythms())
def test_reading_what_is_printed_gives_the_same_rhythm(rhythm: Rhythm) -> None:
    assert parse_rhythm(str(rhythm)) == rhythm


@given(st.text(alphabet="whqestrx0123456789.+|() ", max_size=30))
def test_any_text_is_read_or_refused_cleanly(text: str) -> None:
    try:
        rhythm = parse_rhythm(text)
    except RhythmError:
        return
    assert parse_rhythm(str(rhythm)) == rhythm
