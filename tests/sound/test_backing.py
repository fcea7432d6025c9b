from __future__ import annotations

import io
from collections import Counter
from fractions import Fraction
from itertools import pairwise

import mido
import pytest

from lickwright.errors import RhythmError
from lickwright.score import STRAIGHT, Swing
from lickwright.sound.band import arrange
from lickwright.sound.band.feel import CRASH, FEELS, KICK, RIDE, SNARE
from lickwright.sound.midi import midi_bytes

METERS = [(4, 4), (3, 4), (6, 8), (5, 8), (7, 8), (2, 2), (12, 8), (5, 4)]
CHANGES = (("Dm9", "D F A C E", "D"), ("G13/F", "G B D F A E", "F"), ("Am/C#", "A C E C#", "C#"))
DRUMMED = [name for name, feel in FEELS.items() if feel.drums is not None]
EIGHTH = Fraction(1, 2)
#: Eighths in one place of the neck, eight to a bar; our own invention.
LINE = [(2, 8), (3, 9), (1, 8), (2, 10), (1, 12), (2, 8), (3, 7), (2, 10)]


@pytest.fixture(params=[(feel, meter) for feel in FEELS for meter in METERS], ids=str)
def played(request, score_of):
    feel, meter = request.param
    score = score_of(meter=meter, chords=CHANGES)
    return score, arrange(score, feel)


def eighths(score_of, bars=8, **how):
    return score_of(LINE * bars, EIGHTH, chords=CHANGES, **how)


def patterns(score, hits):
    return [
        frozenset(
            (hit.onset - bar.onset, hit.key) for hit in hits if bar.onset <= hit.onset < bar.end
        )
        for bar in score.bars
    ]


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


def test_every_chord_is_struck_where_it_begins(played):
    score, band = played
    assert {span.onset for span in score.chords} <= {note.onset for note in band.chords}


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


@pytest.mark.parametrize("feel", DRUMMED)
@pytest.mark.parametrize("meter", [(4, 4), (3, 4), (7, 8), (12, 8)])
def test_no_two_drum_bars_are_alike(score_of, feel, meter):
    # sixteen bars; which strokes there are and when, whatever their velocity
    score = score_of(LINE, Fraction(meter[0] * 8, meter[1]), meter=meter)
    assert len(score.bars) == 16
    found = patterns(score, arrange(score, feel, lands=False).drums)
    assert all(found)
    assert len(set(found)) == len(found)


def test_the_same_start_number_gives_the_same_band_and_another_one_another(score_of):
    score = eighths(score_of)
    for feel in DRUMMED:
        first = arrange(score, feel, start=5)
        arrange.cache_clear()
        assert arrange(score, feel, start=5) == first
        assert arrange(score, feel, start=6).drums != first.drums


@pytest.mark.parametrize("feel", [name for name in FEELS if name != "drone"])
@pytest.mark.parametrize("places", [LINE, [(6, 5), (5, 7), (4, 5), (6, 8)] * 2], ids=["mid", "low"])
def test_the_chords_leave_the_line_alone(score_of, feel, places):
    score = score_of(places * 4, EIGHTH, chords=CHANGES)
    inside = heard = 0
    for note in score.lick.notes:
        under = [
            chord.key
            for chord in arrange(score, feel).chords
            if chord.onset < note.end and chord.onset + chord.duration > note.onset
        ]
        if under:
            heard += 1
            inside += min(under) <= note.pitch.midi <= max(under)
            assert all(abs(note.pitch.midi - key) != 1 for key in under)
    assert heard
    assert inside <= 0.15 * heard


# ------------------------------------------------------------------------------------- landing


def test_the_band_lands_and_holds_where_the_line_does(score_of):
    values = [EIGHTH] * 24 + [Fraction(4)]
    score = score_of([*LINE * 3, (2, 8)], values, chords=CHANGES)
    landing = score.lick.notes[-1].onset
    for feel in DRUMMED:
        band = arrange(score, feel)
        for part in (band.bass, band.chords):
            held = [note for note in part if note.onset >= landing]
            assert {(note.onset, note.onset + note.duration) for note in held} == {
                (landing, score.length)
            }
        late = [hit for hit in band.drums if hit.onset >= landing]
        assert Counter((hit.onset, hit.key) for hit in late) == {
            (landing, CRASH): 1,
            (landing, KICK): 1,
        }
        # a crescendo into it
        fill = [hit for hit in band.drums if landing - 1 <= hit.onset < landing]
        grown = [hit.velocity for hit in fill if hit.key in (SNARE, 48, 45, 43)]
        assert grown == sorted(grown)
        assert grown[-1] > grown[0]


def test_round_and_round_the_band_goes_on(score_of):
    values = [EIGHTH] * 24 + [Fraction(4)]
    score = score_of([*LINE * 3, (2, 8)], values, chords=CHANGES)
    landing = score.lick.notes[-1].onset
    band = arrange(score, "straight", lands=False)
    assert len({hit.onset for hit in band.drums if hit.onset > landing}) > 4


def test_a_line_that_runs_on_has_no_landing(score_of):
    score = eighths(score_of)
    last = score.bars[-1]
    assert len([hit for hit in arrange(score, "straight").drums if hit.onset > last.onset]) > 4


# --------------------------------------------------------------------------------------- swing


def by_track(data):
    file = mido.MidiFile(file=io.BytesIO(data))
    found = {}
    for track in file.tracks:
        now = 0
        for message in track:
            now += message.time
            if message.type == "note_on":
                moment = Fraction(now, file.ticks_per_beat)
                found.setdefault(track.name, []).append((moment, message.note))
    return found


@pytest.mark.parametrize("feel", ["swing", "shuffle"])
@pytest.mark.parametrize("tempo", [60, 97.3, 160, 220])
def test_line_and_ride_swing_together(score_of, feel, tempo):
    tracks = by_track(midi_bytes(eighths(score_of), tempo, feel=feel, count_in_bars=0))
    line = {moment for moment, _ in tracks["Lead guitar"] if moment.denominator > 1}
    ride = {moment for moment, key in tracks["Drums"] if key == RIDE and moment.denominator > 1}
    assert ride
    assert ride <= line
    assert all(moment % 1 > EIGHTH for moment in line)


def test_a_shuffle_swings_in_thirds(score_of):
    tracks = by_track(midi_bytes(eighths(score_of), 100, feel="shuffle", count_in_bars=0))
    assert {moment % 1 for moment, _ in tracks["Lead guitar"]} == {0, Fraction(2, 3)}


def test_what_a_score_says_goes_before_its_feel(score_of):
    from dataclasses import replace

    even = replace(eighths(score_of), swing=STRAIGHT)
    tracks = by_track(midi_bytes(even, 100, feel="shuffle", count_in_bars=0))
    assert {moment % 1 for moment, _ in tracks["Lead guitar"]} == {0, EIGHTH}
    assert {moment % 1 for moment, key in tracks["Drums"] if key == RIDE} == {0, EIGHTH}
    lilting = replace(eighths(score_of), swing=Swing(Fraction(3, 2)))
    tracks = by_track(midi_bytes(lilting, 100, feel="straight", count_in_bars=0))
    assert {moment % 1 for moment, _ in tracks["Lead guitar"]} == {0, Fraction(3, 5)}


def test_an_unknown_feel_is_refused_with_the_nearest(score_of):
    with pytest.raises(RhythmError, match="Did you mean 'shuffle'"):
        arrange(score_of(), "shufle")
