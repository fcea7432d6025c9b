from __future__ import annotations

from fractions import Fraction

import pytest

from lickwright.errors import RhythmError
from lickwright.score.timeline import check_tempo, count_in


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
