from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from lickwright.errors import RhythmError
from lickwright.sound.band.backing import arrange
from lickwright.sound.band.feel import FEELS, KICK, SNARE

METERS = [(4, 4), (3, 4), (6, 8), (5, 8), (7, 8), (2, 2), (12, 8)]
CHANGES = (("Dm9", "D F A C E", "D"), ("G13/F", "G B D F A E", "F"), ("Am/C#", "A C E C#", "C#"))


@pytest.fixture(params=[(feel, meter) for feel in FEELS for meter in METERS], ids=str)
def played(request, score_of):
    feel, meter = request.param
    score = score_of(meter=meter, chords=CHANGES)
    return score, arrange(score, feel)


def test_the_band_stays_within_the_score(played):
    score, band = played
    for note in (*band.bass, *band.chords, *band.drums):
        assert 0 <= note.onset < note.onset + note.duration <= score.length
        assert 1 <= note.velocity <= 127


def test_every_chord_starts_on_its_own_bass(played):
    score, band = played
    for span in score.chords:
        first = next(note for note in band.bass if note.onset >= span.onset)
        assert first.onset == span.onset
        assert first.key % 12 == span.bass.pc


def test_the_chord_player_adds_no_note_of_his_own(played):
    score, band = played
    for note in band.chords:
        span = next(s for s in score.chords if s.onset <= note.onset < s.onset + s.length)
        assert note.key % 12 in {name.pc for name in (*span.notes, span.bass)}


def test_no_part_sounds_a_key_twice_at_once(played):
    _, band = played
    for part in (band.bass, band.chords):
        for key in {note.key for note in part}:
            line = sorted(note for note in part if note.key == key)
            assert all(a.onset + a.duration <= b.onset for a, b in pairwise(line))


def test_four_four_has_its_backbeat_on_two_and_four(score_of):
    # common practice, no source
    hits = arrange(score_of(), "straight").drums
    assert [hit.onset for hit in hits if hit.key == SNARE] == [1, 3]
    assert [hit.onset for hit in hits if hit.key == KICK] == [0, 2]


def test_half_time_has_its_backbeat_on_three(score_of):
    hits = arrange(score_of(), "half-time").drums
    assert [hit.onset for hit in hits if hit.key == SNARE] == [2]


def test_a_shuffle_swings_in_thirds(score_of):
    cymbal = [hit.onset % 1 for hit in arrange(score_of(), "shuffle").drums if hit.key == 51]
    assert set(cymbal) == {Fraction(0), Fraction(2, 3)}


def test_a_drone_is_the_bass_alone(score_of):
    band = arrange(score_of(), "drone")
    assert {note.key % 12 for note in (*band.bass, *band.chords)} == {2}
    assert band.drums == ()


def test_a_pickup_has_no_drums(score_of):
    assert min(hit.onset for hit in arrange(score_of(pickup=Fraction(1)), "vamp").drums) == 1


def test_a_thick_chord_keeps_what_tells_it_apart(score_of):
    # G13: third, seventh and thirteenth must sound; root and fifth may go (common practice)
    band = arrange(score_of(chords=(("G13", "G B D F A E", "G"),)), "chords")
    assert {11, 5, 4} <= {note.key % 12 for note in band.chords}


def test_an_unknown_feel_is_refused_with_the_nearest(score_of):
    with pytest.raises(RhythmError, match="Did you mean 'shuffle'"):
        arrange(score_of(), "shufle")
