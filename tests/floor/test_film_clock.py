"""What is lit at a moment of the film: notes, chords and beats, with times worked out by hand."""

from __future__ import annotations

from fractions import Fraction

import pytest

from lickwright.errors import OutputError, RhythmError
from lickwright.lick import Lick, LickNote
from lickwright.neck import Guitar, Position
from lickwright.score import Bar, ChordSpan, Score
from lickwright.theory import Key, parse_note_name, parse_pitch
from lickwright.video.frames.clock import (
    Clock,
    Passage,
    TriadNames,
    frame_count,
    frame_time_s,
)

F = Fraction
KEY = Key(parse_note_name("C"), "ionian")
C, D = parse_note_name("C"), parse_note_name("D")


def bar(number: int, onset: Fraction, length: Fraction, beats: int = 4, unit: int = 4) -> Bar:
    return Bar(number, onset, length, beats, unit, KEY)


def score(
    *notes: tuple[int, int],
    bars: tuple[Bar, ...] = (bar(1, F(0), F(4)), bar(2, F(4), F(4))),
    chords: tuple[tuple[int, str], ...] = (),
) -> Score:
    """Notes as onset and duration in quarters."""
    pitch = parse_pitch("C4")
    line = tuple(LickNote(Position(2, 1), pitch, F(on), F(long)) for on, long in notes)
    spans = tuple(ChordSpan(F(on), F(4), name, (C,), C) for on, name in chords)
    return Score("trial", Guitar(), Lick(line, bars[-1].end), bars, spans, 60.0, 120.0)


def passage(of: Score, tempo_bpm: float = 60.0, start_s: float = 4.0) -> Passage:
    return Passage(of, tempo_bpm, start_s, start_s + 60.0)


def test_a_quarter_at_120_takes_half_a_second_and_the_music_follows_the_count() -> None:
    film = passage(score(), 120.0, 2.0)
    assert [film.seconds(F(at)) for at in (0, 1, 8)] == [2.0, 2.5, 6.0]
    assert film.music_end_s == 6.0


def test_a_note_is_lit_from_its_onset_to_its_end_and_a_rest_lights_none() -> None:
    clock = Clock(passage(score((0, 1), (2, 1), (3, 1))))
    shown = [clock.note_at(at) for at in (0, 3.9, 4.0, 4.9, 5.0, 5.9, 6.0, 6.9, 7.0, 7.9, 8.0, 40)]
    assert shown == [None, None, 0, 0, None, None, 1, 1, 2, 2, None, None]


def test_a_time_that_rounding_leaves_a_hair_short_is_the_time() -> None:
    clock = Clock(passage(score((0, 1), (1, 1), chords=((0, "C"), (4, "F")))))
    assert clock.note_at(4.0 - 1e-9) == 0
    assert clock.note_at(5.0 - 1e-9) == 1
    assert clock.note_at(6.0 - 1e-9) is None
    assert clock.note_at(4.0 - 1e-3) is None
    chord, beat = clock.chord_at(8.0 - 1e-9), clock.beat_at(5.0 - 1e-9)
    assert chord is not None
    assert chord.symbol == "F"
    assert beat is not None
    assert beat.number == 2
    assert clock.beat_at(12.0 - 1e-9) is None


def test_the_first_chord_is_lit_in_the_count_and_the_last_one_to_the_end() -> None:
    clock = Clock(passage(score(chords=((0, "C"), (4, "F")))))
    lit = [clock.chord_at(at) for at in (0.0, 4.0, 7.9, 8.0, 50.0)]
    assert [span.symbol for span in lit if span] == ["C", "C", "C", "F", "F"]
    assert Clock(passage(score())).chord_at(5.0) is None


def test_the_triads_have_the_names_given_last() -> None:
    names = (TriadNames(F(2), ("C", "D")), TriadNames(F(4), ("F", "G")))
    film = Passage(score(), 60.0, 4.0, 20.0, names)
    assert film.names_at(F(1)) == ()
    assert film.names_at(F(2)) == ("C", "D")
    assert film.names_at(F(7, 2)) == ("C", "D")
    assert film.names_at(F(4)) == ("F", "G")


def told(clock: Clock) -> list[tuple[float, int, int | None]]:
    return [(round(one.time_s, 6), one.number, one.bar) for one in clock.beats]


def test_the_count_has_no_bar_and_the_beats_of_each_bar_count_from_one() -> None:
    clock = Clock(passage(score()))
    assert told(clock) == [
        *((0, 1, None), (1, 2, None), (2, 3, None), (3, 4, None)),
        *((4, 1, 1), (5, 2, 1), (6, 3, 1), (7, 4, 1)),
        *((8, 1, 2), (9, 2, 2), (10, 3, 2), (11, 4, 2)),
    ]


def test_a_beat_is_lit_until_the_next_and_none_after_the_music() -> None:
    clock = Clock(passage(score(), start_s=4.5))
    at = {time: clock.beat_at(time) for time in (0.0, 0.5, 1.4, 4.5, 12.4, 12.5, 20.0)}
    assert at[0.0] is None
    assert [beat.number for beat in at.values() if beat] == [1, 1, 1, 4]
    assert at[12.5] is None
    assert at[20.0] is None


def test_no_count_no_beats_before_the_music_and_two_bars_of_count_are_two() -> None:
    assert told(Clock(passage(score(), start_s=0.0)))[0] == (0, 1, 1)
    two = [beat for beat in told(Clock(passage(score(), 120.0, 4.0))) if beat[2] is None]
    assert two == [(0.5 * n, n % 4 + 1, None) for n in range(8)]


def test_six_eight_is_felt_in_two() -> None:
    two_bars = (bar(1, F(0), F(3), 6, 8), bar(2, F(3), F(3), 6, 8))
    clock = Clock(passage(score(bars=two_bars), start_s=3.0))
    assert told(clock) == [
        *((0, 1, None), (1.5, 2, None), (3, 1, 1), (4.5, 2, 1), (6, 1, 2), (7.5, 2, 2)),
    ]


PICKUP = bar(0, F(0), F(1))


def test_a_pickup_has_the_last_beats_and_the_count_leads_up_to_it() -> None:
    assert PICKUP.felt_beats == ((F(0), 4),)
    # One bar and three beats of count: 1 2 3 4 | 1 2 3, then the pickup is beat 4.
    clock = Clock(passage(score(bars=(PICKUP, bar(1, F(1), F(4)))), start_s=7.0))
    assert [(time, number) for time, number, place in told(clock) if place is None] == [
        *((0, 1), (1, 2), (2, 3), (3, 4), (4, 1), (5, 2), (6, 3))
    ]
    assert told(clock)[7:9] == [(7, 4, 0), (8, 1, 1)]


def test_a_pickup_of_a_half_beat_holds_no_beat_of_its_own() -> None:
    assert bar(0, F(0), F(1, 2)).felt_beats == ()
    assert bar(0, F(0), F(3, 2)).felt_beats == ((F(1, 2), 4),)


def test_a_short_bar_that_is_no_pickup_and_a_whole_bar_numbered_0_begin_with_one() -> None:
    assert bar(3, F(8), F(2)).felt_beats == ((F(8), 1), (F(9), 2))
    assert [number for _, number in bar(0, F(0), F(4)).felt_beats] == [1, 2, 3, 4]


def test_a_frame_shows_the_middle_of_its_time() -> None:
    assert [frame_time_s(frame, F(25)) for frame in (0, 1, 25)] == [0.02, 0.06, 1.02]
    assert frame_time_s(0, F(30000, 1001)) == pytest.approx(1001 / 60000)


def test_frames_cover_the_length_and_there_is_at_least_one() -> None:
    assert frame_count(1.0, F(25)) == 25
    assert frame_count(1.001, F(25)) == 26
    assert frame_count(0.0, F(25)) == 1
    assert frame_count(0.1, F(30)) == 3  # 0.1 is a hair more than a tenth in binary
    assert frame_count(10.0, F(30000, 1001)) == 300


@pytest.mark.parametrize("tempo", [0.0, -60.0, float("nan"), float("inf")])
def test_a_tempo_that_no_music_has(tempo: float) -> None:
    with pytest.raises(RhythmError, match=f"a tempo of {tempo:g} quarter notes a minute"):
        passage(score(), tempo)
    assert passage(score(), 0.5).tempo_bpm == 0.5


@pytest.mark.parametrize(
    ("start", "length"),
    [(-0.5, 4.0), (4.0, 4.0), (5.0, 4.0), (0.0, float("inf")), (float("nan"), 4.0), (0.0, 0.0)],
)
def test_times_that_no_audio_has(start: float, length: float) -> None:
    with pytest.raises(OutputError, match=f"music that starts at {start:g} s of {length:g} s"):
        Passage(score(), 60.0, start, length)
    assert Passage(score(), 60.0, 0.0, 0.5).start_s == 0.0
