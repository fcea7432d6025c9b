from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from lickwright.errors import OutputError, RhythmError
from lickwright.score.timeline import count_in
from lickwright.sound.mix.rendering import Playing, start_s
from lickwright.video.frames.clock import Clock, Passage, TriadNames, frame_count, frame_time_s

F = Fraction
NOTE = (3, 5, F(1), {})


@pytest.mark.parametrize("meter", [(4, 4), (3, 4), (6, 8), (7, 8), (5, 4)])
@pytest.mark.parametrize("pickup", [F(0), F(1, 2)])
@pytest.mark.parametrize("bars", [0, 1, 2])
def test_the_picture_counts_as_the_audio_clicks(score_of, meter, pickup, bars):
    score = score_of([NOTE] * 8, meter=meter, pickup=pickup)
    tempo = 87.0
    begins = start_s(score, tempo, Playing(count_in_bars=bars))
    clock = Clock(Passage(score, tempo, begins, begins + 20))
    shown = [beat.time_s for beat in clock.beats if beat.bar is None]
    clicks = [float(click.onset) * 60 / tempo for click in count_in(score, bars).clicks]
    assert shown == pytest.approx(clicks, abs=1e-9)
    accents = [click.onset for click in count_in(score, bars).clicks if click.accent]
    ones = [beat for beat in clock.beats if beat.bar is None and beat.number == 1]
    assert len(ones) == len(accents)


def test_a_pickup_has_the_last_beats_of_its_meter(score_of, passage_of):
    score = score_of([NOTE] * 5, pickup=F(1))
    beats = Clock(passage_of(score, 60)).beats
    assert [beat.number for beat in beats if beat.bar == 0] == [4]
    assert [beat.number for beat in beats if beat.bar is None] == [1, 2, 3, 4, 1, 2, 3]


def test_a_note_is_shown_from_its_onset_until_its_end(score_of, passage_of):
    score = score_of([(3, 5, F(1), {}), (0, 0, F(1), {}), (2, 6, F(2), {})])
    clock = Clock(passage_of(score, 60, count_in_bars=1))
    shown = [clock.note_at(time) for time in (3.99, 4.0, 4.99, 5.0, 5.99, 6.0, 7.99, 8.0)]
    assert shown == [None, 0, 0, None, None, 1, 1, None]


def test_the_first_chord_stands_during_the_count_and_the_last_one_rings_on(score_of, passage_of):
    score = score_of([NOTE] * 8, chords=[(F(0), "Dm9", "D"), (F(4), "G13", "G")])
    clock = Clock(passage_of(score, 60))
    assert [clock.chord_at(time).symbol for time in (0.0, 7.9, 8.0, 13.0)] == [
        *("Dm9", "Dm9", "G13", "G13")
    ]


def test_triads_are_called_by_the_last_names_given(score_of):
    names = (TriadNames(F(0), ("D", "F#m")), TriadNames(F(4), ("G", "Bm")))
    passage = Passage(score_of([NOTE] * 8), 60, 0, 9, names)
    assert passage.names_at(F(7, 2)) == ("D", "F#m")
    assert passage.names_at(F(4)) == ("G", "Bm")


@given(frame=st.integers(0, 10**6), fps=st.sampled_from([F(24), F(25), F(30), F(30000, 1001)]))
def test_a_frame_shows_the_middle_of_its_time(frame, fps):
    assert abs(frame_time_s(frame, fps) - float(frame / fps)) <= float(1 / fps / 2) + 1e-9


@given(length_s=st.floats(0.01, 5000), fps=st.sampled_from([F(24), F(30), F(30000, 1001)]))
def test_the_frames_cover_the_audio_and_not_a_frame_more(length_s, fps):
    frames = frame_count(length_s, fps)
    assert (frames - 1) / fps < length_s + 1e-6
    assert frames / fps >= length_s - 1e-6


@pytest.mark.parametrize(
    ("tempo", "start", "length", "error"),
    [
        (0, 0, 4, RhythmError),
        (float("nan"), 0, 4, RhythmError),
        (60, -1, 4, OutputError),
        (60, 5, 4, OutputError),
        (60, 0, float("inf"), OutputError),
    ],
)
def test_times_that_no_audio_has_are_refused(quarters, tempo, start, length, error):
    with pytest.raises(error) as caught:
        Passage(quarters(1), tempo, start, length)
    assert caught.value.mend
