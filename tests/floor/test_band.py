"""What the band plays (patterns: common practice, no source), note by note in small bars."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from lickwright.errors import RhythmError
from lickwright.lick import Lick
from lickwright.neck import Guitar
from lickwright.score import Bar, ChordSpan, Score
from lickwright.sound.band import arrange, feel, feel_named
from lickwright.sound.band.backing import BackingNote
from lickwright.sound.band.feel import FEELS
from lickwright.sound.band.voicing import (
    lead_voices,
    motion,
    spacing_cost,
    voicings,
)
from lickwright.theory import Key, parse_note_name

F = Fraction
KEY = Key(parse_note_name("C"), "ionian")
E1, C2, F1, G1 = 28, 36, 29, 31
Meter = tuple[int, int]
NONE = F(0)


def score(
    *chords: tuple[float, str, str], meter: Meter = (4, 4), bars: int = 1, pickup: Fraction = NONE
) -> Score:
    """Chords as onset, bass and sounding notes; the first note is the bass."""
    whole = F(4 * meter[0], meter[1])
    made = [Bar(0, F(0), pickup, *meter, KEY)] if pickup else []
    made += [Bar(n + 1, pickup + n * whole, whole, *meter, KEY) for n in range(bars)]
    end = pickup + bars * whole
    onsets = [F(onset) for onset, *_ in chords]
    spans = tuple(
        ChordSpan(
            onset,
            after - onset,
            bass,
            tuple(map(parse_note_name, notes.split())),
            parse_note_name(bass),
        )
        for onset, after, (_, bass, notes) in zip(onsets, [*onsets[1:], end], chords, strict=True)
    )
    return Score("trial", Guitar(), Lick((), end), tuple(made), spans, 60.0, 120.0)


def C(**more: object) -> Score:  # noqa: N802
    return score((0, "C", "C E G"), **more)  # type: ignore[arg-type]


def told(notes: tuple[BackingNote, ...]) -> list[tuple[object, ...]]:
    return [(note.onset, note.key, note.duration) for note in notes]


def places(notes: tuple[BackingNote, ...], key: int) -> list[object]:
    return [note.onset for note in notes if note.key == key]


# ----------------------------------------------------------------------------------------- bass


def test_a_held_bass_is_struck_anew_in_each_bar() -> None:
    assert told(arrange(C(bars=2), "chords").bass) == [(0, C2, 4), (4, C2, 4)]


@pytest.mark.parametrize(
    ("name", "key"),
    [("E", E1), ("F", F1), ("G", G1), ("C", C2), ("Eb", 39), ("D#", 39)],
)
def test_the_bass_plays_from_low_e_up(name: str, key: int) -> None:
    bass = arrange(score((0, name, name)), "chords").bass
    assert [note.key for note in bass] == [key]


def test_the_bass_is_the_one_that_the_chord_names_and_never_its_root() -> None:
    over_g = score((0, "G", "C E G"))
    assert {note.key for note in arrange(over_g, "chords").bass} == {G1}


def test_roots_and_fifths_fall_on_strong_beats_and_stop_short_of_the_next() -> None:
    bass = arrange(C(), "straight").bass
    assert told(bass) == [(0, C2, F(9, 5)), (2, C2 + 7, F(9, 5))]
    waltz = arrange(C(meter=(3, 4)), "straight").bass
    assert told(waltz) == [(0, C2, F(27, 10))]


@pytest.mark.parametrize(
    ("notes", "above"), [("C E G", 7), ("C Eb Gb", 6), ("C E G#", 8), ("C E A", 12), ("C G Gb", 7)]
)
def test_the_fifth_is_the_chords_own(notes: str, above: int) -> None:
    bass = arrange(score((0, "C", notes)), "straight").bass
    assert bass[1].key == C2 + above


def test_a_chord_that_enters_between_strong_beats_is_struck_where_it_enters() -> None:
    two = score((0, "C", "C E G"), (3, "F", "F A C"))
    assert told(arrange(two, "straight").bass) == [
        *((0, C2, F(9, 5)), (2, C2 + 7, F(9, 10)), (3, F1, F(9, 10))),
    ]


def test_a_walking_bass_plays_every_beat_and_leads_into_the_next_root() -> None:
    two = score((0, "C", "C E G"), (4, "F", "F A C"), bars=2)
    bass = arrange(two, "shuffle").bass
    keys = [note.key for note in bass]
    # C G C' then a half step above F, for it comes from above; F C' F' and back below C.
    assert keys == [C2, C2 + 7, C2 + 12, F1 + 1, F1, F1 + 7, F1 + 12, C2 - 1]
    assert [note.onset for note in bass] == list(range(8))
    assert {note.duration for note in bass} == {F(9, 10)}


def test_the_walk_leads_to_the_next_chord_and_from_the_last_to_the_first() -> None:
    three = score((0, "C", "C E G"), (4, "F", "F A C"), (8, "G", "G B D"), bars=3)
    last_of_each = [note.key for note in arrange(three, "shuffle").bass][3::4]
    assert last_of_each == [F1 + 1, G1 - 1, C2 - 1]


def test_to_the_same_root_the_walk_comes_from_the_fifth() -> None:
    assert [note.key for note in arrange(C(), "shuffle").bass][-1] == C2 + 7
    one_beat = score((0, "C", "C E G"), (3, "F", "F A C"))
    assert [note.key for note in arrange(one_beat, "shuffle").bass][-1] == F1  # its root, at least


# --------------------------------------------------------------------------------------- chords


def test_held_chords_sound_each_bar_through_and_pushed_ones_on_one_and_after_two() -> None:
    held = arrange(C(bars=2), "chords").chords
    assert {(note.onset, note.duration) for note in held} == {(F(0), F(4)), (F(4), F(4))}
    pushed = arrange(C(), "vamp").chords
    assert {(note.onset, note.duration) for note in pushed} == {
        (0, F(9, 10)),
        (F(3, 2), F(1, 2)),
    }
    eight = arrange(C(bars=2), "vamp").chords
    assert sorted({note.onset for note in eight}) == [0, F(3, 2), 4, F(11, 2)]


def test_chords_on_the_backbeats() -> None:
    beats = arrange(C(), "shuffle").chords
    assert sorted({(note.onset, note.duration) for note in beats}) == [
        (F(1), F(1, 2)),
        (F(3), F(1, 2)),
    ]
    # A chord that has but one beat is struck on it, wherever it falls.
    short = score((0, "C", "C E G"), (2, "F", "F A C"), (3, "G", "G B D"))
    assert sorted({note.onset for note in arrange(short, "shuffle").chords}) == [1, 2, 3]


def test_a_drone_is_the_bass_alone_in_two_octaves_for_the_whole_chord() -> None:
    drone = arrange(C(bars=2), "drone").chords
    assert told(drone) == [(0, C2 + 12, 8), (0, C2 + 24, 8)]


def test_the_chord_player_plays_the_chords_notes_each_once() -> None:
    keys = {note.key for note in arrange(C(), "chords").chords}
    assert sorted(key % 12 for key in keys) == [0, 4, 7]


def test_a_thick_chord_leaves_its_bass_and_then_its_fifth_to_the_others() -> None:
    def classes(notes: str) -> set[int]:
        return {note.key % 12 for note in arrange(score((0, "C", notes)), "chords").chords}

    assert classes("C E G Bb") == {0, 4, 7, 10}
    assert classes("C E G Bb D") == {4, 7, 10, 2}
    assert classes("C E G Bb D A") == {4, 10, 2, 9}
    assert classes("C E Gb Bb D A") == {4, 6, 10, 2, 9}
    assert classes("") == {0}


# ---------------------------------------------------------------------------------------- drums

KICK, SNARE, SIDE_STICK, HAT, RIDE = 36, 38, 37, 42, 51  # GM System Level 1, percussion map


def test_a_straight_beat() -> None:
    drums = arrange(C(), "straight").drums
    assert places(drums, HAT) == [F(n, 2) for n in range(8)]
    assert places(drums, KICK) == [0, 2]
    assert places(drums, SNARE) == [1, 3]


def test_half_time_has_its_backbeat_on_three_and_one_kick() -> None:
    drums = arrange(C(), "half-time").drums
    assert places(drums, KICK) == [0]
    assert places(drums, SNARE) == [2]


def test_a_waltz_has_its_backbeat_on_three_and_six_eight_on_its_second_beat() -> None:
    waltz = arrange(C(meter=(3, 4)), "straight").drums
    assert (places(waltz, KICK), places(waltz, SNARE)) == ([0], [2])
    six = arrange(C(meter=(6, 8)), "straight").drums
    assert (places(six, KICK), places(six, SNARE)) == ([0], [F(3, 2)])
    assert places(six, HAT) == [F(n, 2) for n in range(6)]  # a dotted beat has thirds
    one = arrange(C(meter=(1, 4)), "straight").drums
    assert (places(one, KICK), places(one, SNARE)) == ([0], [])


def test_a_shuffle_swings_on_the_last_third_and_a_vamp_has_side_stick() -> None:
    shuffle = arrange(C(), "shuffle").drums
    assert places(shuffle, RIDE)[:4] == [0, F(2, 3), 1, F(5, 3)]
    vamp = arrange(C(), "vamp").drums
    assert places(vamp, RIDE) == [0, 1, 2, 3]
    assert places(vamp, SIDE_STICK) == [1, 3]


def test_accents_stand_out_and_every_stroke_is_audible() -> None:
    drums = arrange(C(), "straight").drums
    hat = {note.onset: note.velocity for note in drums if note.key == HAT}
    assert hat[F(0)] == hat[F(1)] > hat[F(1, 2)]
    kick = next(note.velocity for note in drums if note.key == KICK)
    snare = next(note.velocity for note in drums if note.key == SNARE)
    assert kick > snare > hat[F(0)]
    for name in FEELS:
        band = arrange(C(), name)
        for part in (band.bass, band.chords, band.drums):
            assert all(40 < note.velocity < 100 for note in part)
    assert all(note.duration == F(1, 4) for note in drums)


def test_the_band_keeps_below_the_bass_and_pushed_chords_soften_after_two() -> None:
    band = arrange(C(), "vamp")
    first, second = (
        next(note.velocity for note in band.chords if note.onset == at) for at in (0, F(3, 2))
    )
    assert band.bass[0].velocity > first > second


def test_no_drums_where_the_feel_has_none_and_in_a_pickup() -> None:
    assert arrange(C(), "chords").drums == ()
    assert arrange(C(), "drone").drums == ()
    led_in = score((0, "C", "C E G"), pickup=F(1))
    assert min(note.onset for note in arrange(led_in, "straight").drums) == 1


def test_a_pickup_is_the_last_beats_of_its_meter() -> None:
    # A quarter before the bar is beat 4: chord on the backbeat, walk on each beat.
    led_in = score((0, "C", "C E G"), pickup=F(1))
    band = arrange(led_in, "shuffle")
    assert [note.onset for note in band.bass] == [0, 1, 2, 3, 4]
    assert sorted({note.onset for note in band.chords}) == [0, 2, 4]
    half = score((0, "C", "C E G"), pickup=F(1, 2))
    assert [note.onset for note in arrange(half, "shuffle").bass][:2] == [0, F(1, 2)]


# ---------------------------------------------------------------------------------------- feels


def test_feels_are_found_by_name_and_a_slip_is_mended() -> None:
    assert feel_named("shuffle").name == "shuffle"
    with pytest.raises(RhythmError, match="no feel 'shufle'") as slip:
        feel_named("shufle")
    assert "shuffle" in (slip.value.mend or "")
    with pytest.raises(RhythmError, match="no feel 'zzz'") as unknown:
        feel_named("zzz")
    assert "drone, chords, straight" in (unknown.value.mend or "")


def test_a_dotted_beat_has_thirds_and_a_plain_one_halves() -> None:
    straight, shuffle = feel_named("straight"), feel_named("shuffle")
    assert straight.cymbal_in(F(1)) == (F(0), F(1, 2))
    assert straight.cymbal_in(F(3, 2)) == (F(0), F(1, 3), F(2, 3))
    assert straight.cymbal_in(F(3, 4)) == (F(0), F(1, 3), F(2, 3))
    assert shuffle.cymbal_in(F(3, 2)) == (F(0), F(2, 3))


# General MIDI System Level 1 sound set, programs counted from 1: 5 electric piano 1, 90 warm pad,
# 34 fingered bass, 28 clean electric guitar; percussion 76 and 77 wood blocks.
def test_programs_and_keys_are_those_of_general_midi() -> None:
    assert {one.name: one.program + 1 for one in FEELS.values()} == {
        "drone": 90,
        "chords": 5,
        "straight": 5,
        "shuffle": 5,
        "half-time": 5,
        "vamp": 5,
    }
    assert (feel.FINGERED_BASS + 1, feel.CLEAN_GUITAR + 1) == (34, 28)
    assert (feel.HIGH_WOOD_BLOCK, feel.LOW_WOOD_BLOCK) == (76, 77)


# ------------------------------------------------------------------------------------- voicings


def test_a_voicing_lies_between_e3_and_g5_within_a_twelfth() -> None:
    all_of = voicings([0, 4, 7])
    assert all(one[0] >= 52 and one[-1] <= 79 and one[-1] - one[0] <= 19 for one in all_of)
    assert (52, 55, 60) in all_of  # from the very bottom
    assert (67, 72, 76) in all_of
    assert (60, 64, 79) not in all_of  # its upper two are more than an octave apart
    assert (60, 67, 76) in all_of
    assert (52, 60, 67) in all_of
    assert voicings([4, 7])[0] == (52, 55)
    assert (55, 64) in voicings([4, 7])
    assert (67, 79) not in voicings([7])
    assert (55,) in voicings([7])
    assert (79,) in voicings([7])


def test_neighbours_are_at_most_an_octave_apart() -> None:
    for chord in ([0, 4, 7], [0, 1], [2, 7]):
        for one in voicings(chord):
            assert all(high - low <= 12 for low, high in pairwise(one))


def test_no_semitone_or_minor_ninth_where_another_way_is_left() -> None:
    # B and C: only the major seventh, C below B, is clear.
    assert all(high - low == 11 for low, high in voicings([0, 11]))
    assert (60, 64, 71) in voicings([0, 4, 11])
    assert (59, 64, 72) not in voicings([0, 4, 11])  # a minor ninth between the outer voices
    assert voicings([0, 1, 2, 3])  # a cluster is played as it can be


def test_at_most_five_voices_and_names_an_octave_apart_are_one() -> None:
    assert all(len(one) == 5 for one in voicings([0, 2, 4, 7, 9, 11]))
    assert voicings([0, 12, 24]) == voicings([0])


# Tymoczko 2006: the sum of the semitones that the voices move, worked out by hand.
@pytest.mark.parametrize(
    ("first", "second", "semitones"),
    [
        ((60, 64, 67), (60, 65, 69), 3),
        ((60, 64, 67), (59, 64, 67), 1),
        ((60,), (72,), 12),
        ((60, 64, 67), (60, 64, 67, 71), 4),
        ((60, 72), (61,), 12),
        ((60, 64), (60, 62, 64), 2),
        ((50, 60, 70), (51, 71), 11),
    ],
)
def test_motion(first: tuple[int, ...], second: tuple[int, ...], semitones: int) -> None:
    assert motion(first, second) == motion(second, first) == semitones


def test_low_close_steps_are_muddy_and_far_from_the_middle_is_dear() -> None:
    assert spacing_cost((64,)) == 0
    assert spacing_cost((60, 68)) == 0
    assert spacing_cost((62,)) == spacing_cost((66,)) > 0
    assert spacing_cost((60,)) == 2 * spacing_cost((62,))
    # Below middle C a step closer than a minor third is muddy; at it or above not.
    assert spacing_cost((59, 61, 72)) == 2 + spacing_cost((59, 62, 71))
    assert spacing_cost((60, 61, 71)) == 0
    assert spacing_cost((62,)) == 1


def test_voices_move_by_step_over_a_two_five_one_and_the_whole_way_is_chosen() -> None:
    way = lead_voices([[5, 9, 0, 4], [11, 5, 9, 4], [4, 7, 11, 2]])
    assert len(way) == 3
    for before, after in pairwise(way):
        assert max(abs(a - b) for a, b in zip(before, after, strict=True)) <= 2
    chords = [[0, 4, 7], [5, 9, 0], [7, 11, 2]]
    chosen = lead_voices(chords)

    def cost(one: tuple[tuple[int, ...], ...]) -> float:
        moves = sum(motion(a, b) for a, b in pairwise(one))
        return sum(map(spacing_cost, one)) + moves

    best = min(
        cost((a, b, c))
        for a in voicings(chords[0])
        for b in voicings(chords[1])
        for c in voicings(chords[2])
    )
    assert cost(chosen) == best
    assert lead_voices([]) == ()
