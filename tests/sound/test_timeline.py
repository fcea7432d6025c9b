from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.errors import RhythmError
from lickwright.sound.timeline import beats_of, check_tempo, count_in


# Felt beats: common practice, no source.
@pytest.mark.parametrize(
    ("meter", "beats"),
    [
        ((4, 4), [1, 1, 1, 1]),
        ((3, 4), [1, 1, 1]),
        ((6, 8), [Fraction(3, 2), Fraction(3, 2)]),
        ((12, 8), [Fraction(3, 2)] * 4),
        ((3, 8), [Fraction(1, 2)] * 3),
        ((5, 8), [1, Fraction(3, 2)]),
        ((7, 8), [1, 1, Fraction(3, 2)]),
        ((2, 2), [2, 2]),
    ],
)
def test_a_meter_is_felt_in_its_beats(meter, beats):
    assert list(beats_of(*meter)) == beats


@given(st.integers(1, 15), st.sampled_from([1, 2, 4, 8, 16]))
def test_beats_fill_their_bar(beats, unit):
    assert sum(beats_of(beats, unit)) == Fraction(4 * beats, unit)


def test_a_count_is_whole_bars_with_an_accent_on_each_first_beat(score_of):
    count = count_in(score_of(), 2)
    assert count.length == 8
    assert [click.onset for click in count.clicks] == list(range(8))
    assert [click.onset for click in count.clicks if click.accent] == [0, 4]


def test_a_count_before_a_pickup_goes_on_to_its_entry(score_of):
    count = count_in(score_of(pickup=Fraction(1)), 1)
    assert count.length == 7
    assert [click.onset for click in count.clicks] == [0, 1, 2, 3, 4, 5, 6]


def test_no_count_takes_no_time(score_of):
    assert count_in(score_of(), 0).length == 0


def test_a_count_of_less_than_nothing_is_refused(score_of):
    with pytest.raises(RhythmError, match="count-in"):
        count_in(score_of(), -1)


@pytest.mark.parametrize("tempo", [0, 19.9, 401, float("nan")])
def test_a_tempo_nobody_can_play_is_refused(tempo):
    with pytest.raises(RhythmError, match="tempo"):
        check_tempo(tempo)
