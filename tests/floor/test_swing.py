"""When written notes are played: swing, by ratio and by tempo."""

from __future__ import annotations

from fractions import Fraction

import pytest

from lickwright.errors import RhythmError
from lickwright.formats.incoming.reading import read_musicxml
from lickwright.formats.musicxml import musicxml
from lickwright.lick import Lick, LickNote
from lickwright.neck import Guitar, Position
from lickwright.score import STRAIGHT, Bar, Score, Swing, parse_swing, played_time
from lickwright.score.notation import printed_tempo
from lickwright.theory import Key, Pitch, parse_note_name
from lickwright.video.frames import Clock, Passage

F = Fraction
KEY = Key(parse_note_name("C"), "ionian")
TRIPLETS = Swing(F(2))


def score(
    *lengths: Fraction,
    swing: Swing | None = TRIPLETS,
    meter: tuple[int, int] = (4, 4),
    pickup: Fraction | None = None,
) -> Score:
    notes, at = [], F(0)
    for length in lengths:
        notes.append(LickNote(Position(3, 5), Pitch(parse_note_name("C"), 4), at, length))
        at += length
    bars = [Bar(0, F(0), pickup, *meter, KEY)] if pickup else []
    whole = F(4 * meter[0], meter[1])
    while not bars or bars[-1].end < at:
        bars.append(
            Bar(len(bars) + (not pickup), bars[-1].end if bars else F(0), whole, *meter, KEY)
        )
    return Score("t", Guitar(), Lick(tuple(notes), bars[-1].end), tuple(bars), (), 60, 120, swing)


def line(one: Score, tempo: float = 100) -> list[Fraction]:
    times = played_time(one, tempo)
    return [times.line(note.onset) for note in one.lick.notes]


def test_the_off_beat_eighth_falls_on_the_last_third() -> None:
    assert line(score(*[F(1, 2)] * 4)) == [0, F(2, 3), 1, F(5, 3)]
    assert line(score(*[F(1, 2)] * 4, swing=None)) == [0, F(1, 2), 1, F(3, 2)]
    assert line(score(*[F(1, 2)] * 4, swing=STRAIGHT)) == [0, F(1, 2), 1, F(3, 2)]
    assert line(score(*[F(1, 2)] * 2, swing=Swing(F(3, 2)))) == [0, F(3, 5)]


def test_ends_swing_with_onsets_and_beats_stay() -> None:
    times = played_time(score(*[F(1, 2)] * 8), 100)
    assert times.line(F(1, 2)) == times.band(F(1, 2)) == F(2, 3)
    for beat in range(5):
        assert times.line(F(beat)) == times.band(F(beat)) == beat


@pytest.mark.parametrize(
    "beat",
    [[F(1, 4)] * 4, [F(1, 3)] * 3, [F(3, 4), F(1, 4)], [F(1, 2), F(1, 4), F(1, 4)]],
    ids=["sixteenths", "triplet", "dotted", "mixed"],
)
def test_a_beat_in_which_anything_else_is_written_is_played_as_written(
    beat: list[Fraction],
) -> None:
    one = score(*beat, F(1, 2), F(1, 2))
    written = [note.onset for note in one.lick.notes]
    assert line(one)[: len(beat)] == written[: len(beat)]
    assert line(one)[-1] == F(5, 3)
    assert played_time(one, 100).band(F(1, 2)) == F(2, 3)  # the band goes on


def test_sixteenths_swing_where_they_are_asked_to() -> None:
    one = score(*[F(1, 4)] * 4, swing=Swing(F(2), F(1, 4)))
    assert line(one) == [0, F(1, 3), F(1, 2), F(5, 6)]
    eighths = score(*[F(1, 2)] * 2, swing=Swing(F(2), F(1, 4)))
    assert line(eighths) == [0, F(1, 2)]


def test_dotted_beats_do_not_swing_and_odd_meters_do_in_their_twos() -> None:
    assert line(score(*[F(1, 2)] * 6, meter=(6, 8))) == [F(n, 2) for n in range(6)]
    # 7/8 is felt 2+2+3
    seven = line(score(*[F(1, 2)] * 7, meter=(7, 8)))
    assert seven == [0, F(2, 3), 1, F(5, 3), 2, F(5, 2), 3]


def test_a_pickup_swings_from_the_beat_that_it_fills() -> None:
    assert line(score(F(1, 2), F(1, 2), F(1, 2), pickup=F(1, 2))) == [F(1, 6), F(1, 2), F(7, 6)]


def test_by_tempo_notes_grow_even() -> None:
    # Friberg and Sundstrom 2002, from memory: ratios fall about in a line to 1:1 near 300 beats.
    shares = [Swing().share(tempo) for tempo in (60, 120, 180, 240, 300, 400)]
    assert shares[0] == shares[1] == F(2, 3)
    assert shares[-2:] == [F(1, 2), F(1, 2)]
    assert shares == sorted(shares, reverse=True)
    assert len(set(shares)) == 4
    assert Swing(None, F(1, 4)).share(90) == Swing().share(180)


@pytest.mark.parametrize("swing", [TRIPLETS, Swing(F(3)), Swing(), Swing(F(2), F(1, 4))])
def test_what_is_written_is_found_again(swing: Swing) -> None:
    one = score(*[F(1, 2)] * 6, F(1, 4), F(1, 4), F(1, 2), swing=swing)
    times = played_time(one, 140)
    for note in one.lick.notes:
        assert times.written(float(times.line(note.onset))) == pytest.approx(float(note.onset))
    moments = [n / 50 for n in range(-20, 260)]
    back = [times.written(moment) for moment in moments]
    assert back == sorted(back)
    assert times.written(-0.5) == -0.5
    assert times.written(99.0) == 99.0


def test_every_share_fits_the_ticks_of_a_midi_file() -> None:
    for tempo in range(40, 320, 7):
        assert 480 % (Swing().share(tempo).denominator) == 0


@pytest.mark.parametrize(
    ("text", "swing"),
    [
        ("straight", STRAIGHT),
        ("by tempo", Swing()),
        ("2:1", TRIPLETS),
        ("2 to 1", TRIPLETS),
        ("1.5:1", Swing(F(3, 2))),
        ("16ths 3:2", Swing(F(3, 2), F(1, 4))),
        ("16ths by tempo", Swing(None, F(1, 4))),
        ("8ths 2:1", TRIPLETS),
    ],
)
def test_swing_is_read(text: str, swing: Swing) -> None:
    assert parse_swing(text) == swing


@pytest.mark.parametrize("text", ["", "lots", "1:2", "4:1", "2:0", "32nds 2:1", "2"])
def test_what_is_no_swing_is_refused(text: str) -> None:
    with pytest.raises(RhythmError) as refused:
        parse_swing(text)
    assert ":1" in (refused.value.mend or "")


# ------------------------------------------------------------------------------ the other media


def test_a_film_shows_what_sounds() -> None:
    passage = Passage(score(*[F(1, 2)] * 8), 60, 2.0, 12.0)
    assert passage.seconds(F(1, 2)) == pytest.approx(2 + 2 / 3)
    clock = Clock(passage)
    assert clock.note_at(2.6) == 0  # an even eighth would be over
    assert clock.note_at(2.7) == 1
    assert passage.quarters(2 + 2 / 3) == pytest.approx(0.5)  # where the playhead stands
    assert [beat.time_s for beat in clock.beats if beat.bar] == [2.0, 3.0, 4.0, 5.0]


@pytest.mark.parametrize(
    ("swing", "words", "told"),
    [
        (TRIPLETS, "Swing", "<first>2</first>"),
        (Swing(F(3, 2), F(1, 4)), "Swing 16ths 3:2", "<swing-type>16th</swing-type>"),
        (STRAIGHT, "", "<straight />"),
    ],
)
def test_a_page_says_it_and_musicxml_plays_it(swing: Swing, words: str, told: str) -> None:
    # MusicXML 4.0, elements sound and swing
    one = score(*[F(1, 2)] * 8, swing=swing)
    assert printed_tempo(one).swing == words
    text = musicxml(one)
    assert told in text
    assert read_musicxml(text.encode()).score.swing == swing


def test_by_tempo_musicxml_has_the_ratio_of_the_target() -> None:
    text = musicxml(score(*[F(1, 2)] * 8, swing=Swing()))
    assert read_musicxml(text.encode()).score.swing == TRIPLETS  # at 120
    assert "swing" not in musicxml(score(*[F(1, 2)] * 8, swing=None)).lower()
