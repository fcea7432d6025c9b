"""The rhythm of a lick in the time of each chord."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.changes.carry.filling import fill_chords
from lickwright.changes.progression.chart import parse_changes
from lickwright.errors import RhythmError
from lickwright.lick.notes import Lick
from lickwright.lick.phrase.composing import compose
from lickwright.neck.instrument import Position

SHAPE = [Position(3, 5), Position(2, 6), Position(1, 5), Position(1, 8)]


def lick(rhythm: str, bars: int = 1) -> Lick:
    return compose([SHAPE], "up-down", rhythm, bars=bars)


def test_a_chord_as_long_as_the_lick_takes_it_as_it_is():
    line = lick("8ths")
    (filling,) = fill_chords(line, parse_changes("C"))
    assert [(n.onset, n.duration) for n in filling.notes] == [
        (n.onset, n.duration) for n in line.notes
    ]


def test_a_shorter_chord_takes_the_beginning_and_cuts_what_rings_on():
    line = lick("q h q")
    first, second = fill_chords(line, parse_changes("C G"))
    assert [(n.source, n.onset, n.duration) for n in first.notes] == [(0, 0, 1), (1, 1, 1)]
    assert [(n.source, n.onset, n.duration) for n in second.notes] == [(0, 2, 1), (1, 3, 1)]


def test_a_longer_chord_takes_the_lick_over_and_over():
    line = lick("quarters")
    (filling,) = fill_chords(line, parse_changes("C | . G"))[:1]
    assert filling.sources == (0, 1, 2, 3, 0, 1)


def test_a_cut_tuplet_is_left_out_and_the_note_before_is_held():
    line = lick("q 3(q q q) q")  # the triplet fills beats 2 and 3
    (first, _) = fill_chords(line, parse_changes("C G", time="4/4"))
    assert [(n.source, n.onset, n.duration) for n in first.notes] == [(0, 0, 2)]
    assert first.tuplets == ()


def test_a_chord_too_short_for_the_first_tuplet_gets_its_first_note():
    line = lick("3(h h h)")
    (first, _) = fill_chords(line, parse_changes("C G"))
    assert [(n.source, n.duration) for n in first.notes] == [(0, 2)]


def test_where_a_tuplet_would_cross_a_bar_line_the_lick_starts_again():
    line = lick("q q 3(q q q)")
    (filling,) = fill_chords(line, parse_changes("C | .", time="3/4"))
    assert [(n.source, n.onset, n.duration) for n in filling.notes] == [
        (0, 0, 1),
        (1, 1, 2),
        (0, 3, 1),
        (1, 4, 2),
    ]
    assert filling.tuplets == ()


CHANGES = st.sampled_from(
    ["C", "C G", "C . . G", "C | .", "C | . G", "(3/4) C G | F", "(7/8) C | . G", "(5/4) C G"]
)
RHYTHMS = st.sampled_from(
    ["16ths", "8th triplets", "q e e 3(e e e) q", "quintuplets", "e. s rq e e h", "halves"]
)


@given(CHANGES, RHYTHMS)
def test_fillings_stay_under_their_chord_and_tuplets_inside_a_bar(text, rhythm):
    changes = parse_changes(text)
    for placed, filling in zip(changes.chords, fill_chords(lick(rhythm), changes), strict=True):
        assert filling.notes
        now = placed.onset
        for note in filling.notes:
            assert now <= note.onset < note.end <= placed.end
            now = note.end
        for tuplet in filling.tuplets:
            end = tuplet.onset + tuplet.length
            assert any(
                bar.onset <= tuplet.onset and end <= bar.onset + bar.length for bar in changes.bars
            )
            assert placed.onset <= tuplet.onset
            assert end <= placed.end


def test_a_lick_without_notes_is_refused():
    with pytest.raises(RhythmError):
        fill_chords(Lick((), Fraction(4)), parse_changes("C"))
