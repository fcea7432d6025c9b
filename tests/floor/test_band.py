"""What the band plays (patterns: common practice, no source), note by note in small bars."""

from __future__ import annotations

from fractions import Fraction
from itertools import pairwise

import pytest

from lickwright.errors import RhythmError
from lickwright.lick import Lick
from lickwright.neck import Guitar
from lickwright.score import Bar, ChordSpan, Score
from lickwright.sound.band import BackingNote, arrange, feel, feel_named
from lickwright.sound.band.feel import FEELS
from lickwright.theory import Key, parse_chord, parse_note_name

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
            parse_chord(bass),
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


@pytest.mark.parametrize("name", ["straight", "half-time", "vamp"])
def test_roots_fall_on_strong_beats(name: str) -> None:
    bass = arrange(C(bars=8), name).bass
    strong = [note for note in bass if note.onset % 2 == 0]
    assert {note.onset for note in strong} == set(range(0, 32, 2))
    assert all(note.onset % 1 in (0, F(1, 2)) for note in bass)


@pytest.mark.parametrize(
    ("notes", "above"), [("C E G", 7), ("C Eb Gb", 6), ("C E G#", 8), ("C E A", 12), ("C G Gb", 7)]
)
def test_the_fifth_is_the_chords_own(notes: str, above: int) -> None:
    bass = arrange(score((0, "C", notes)), "straight").bass
    assert bass[1].key == C2 + above


def test_a_walking_bass_plays_every_beat_and_leads_into_the_next_root() -> None:
    chords = [(4 * n, *chord) for n, chord in enumerate([("C", "C E G"), ("F", "F A C")] * 6)]
    bass = arrange(score(*chords, bars=12), "swing").bass
    onsets = {note.onset for note in bass}
    assert set(range(48)) <= onsets
    keys = {note.onset: note.key for note in bass}
    ways = set()
    for onset in range(4, 48, 4):
        before = max(note.onset for note in bass if note.onset < onset)
        way = keys[before] - keys[F(onset)]
        assert way in {-2, -1, 1, 2, 7}  # a half step, a step, or its fifth
        ways.add(way)
        chord = {0, 4, 7} if (onset // 4) % 2 == 0 else {5, 9, 0}
        inside = [note.key % 12 for note in bass if onset <= note.onset < onset + 3]
        assert set(inside) <= chord
    assert len(ways) > 2
    assert all(a.key != b.key for a, b in pairwise(bass))
    assert all(27 <= note.key <= 50 for note in bass)


def test_no_two_bars_of_a_walk_over_one_chord_are_alike_for_long() -> None:
    chords = [(4 * n, "C", "C E G Bb") for n in range(12)]
    bass = arrange(score(*chords, bars=12), "swing").bass
    bars = [tuple(n.key for n in bass if 4 * b <= n.onset < 4 * b + 4) for b in range(12)]
    assert len(set(bars)) >= 6


# --------------------------------------------------------------------------------------- chords


def test_held_chords_sound_each_bar_through() -> None:
    held = arrange(C(bars=2), "chords").chords
    assert {(note.onset, note.duration) for note in held} == {(F(0), F(4)), (F(4), F(4))}


@pytest.mark.parametrize("name", [one.name for one in FEELS.values() if one.drums])
def test_a_rhythm_of_chords_changes_from_bar_to_bar(name: str) -> None:
    chords = arrange(C(bars=12), name).chords
    bars = [
        frozenset(note.onset - 4 * b for note in chords if 4 * b <= note.onset < 4 * b + 4)
        for b in range(12)
    ]
    assert all(bars)
    assert all(a != b for a, b in pairwise(bars))
    # and each is cut short by the next
    struck = sorted({(note.onset, note.onset + note.duration) for note in chords})
    assert all(end <= after for (_, end), (after, _) in pairwise(struck))


def test_a_drone_is_the_bass_alone_in_two_octaves_for_the_whole_chord() -> None:
    drone = arrange(C(bars=2), "drone").chords
    assert told(drone) == [(0, C2 + 12, 8), (0, C2 + 24, 8)]


def test_a_triad_has_its_notes_each_once_and_a_thick_chord_its_guide_tones() -> None:
    def classes(notes: str) -> set[int]:
        return {note.key % 12 for note in arrange(score((0, "C", notes)), "chords").chords}

    assert sorted(note.key % 12 for note in arrange(C(), "chords").chords) == [0, 4, 7]
    assert {4, 10} <= classes("C E G Bb") <= {4, 7, 10}
    assert {4, 10, 2} <= classes("C E G Bb D") <= {2, 4, 7, 10}
    assert {4, 10, 2, 9} <= classes("C E G Bb D A")
    assert {4, 10} <= classes("C E Gb Bb D A")
    assert classes("") == {0}


# ---------------------------------------------------------------------------------------- drums

KICK, SNARE, SIDE_STICK, HAT, RIDE = 36, 38, 37, 42, 51  # GM System Level 1, percussion map
CRASH = 49


def loud(notes: tuple[BackingNote, ...], key: int) -> list[object]:
    """Places of a drum in the first bar, ghost notes aside."""
    return [note.onset for note in notes if note.key == key and note.velocity > 60]


def test_backbeats_by_style_of_time() -> None:
    # common practice, no source
    def first_bar(name: str, key: int, **how: object) -> set[object]:
        drums = arrange(C(bars=3, **how), name).drums
        return {at for at in loud(drums, key) if at < 4}  # type: ignore[operator]

    assert first_bar("straight", SNARE) == {1, 3}
    assert {0, 2} <= first_bar("straight", KICK)
    assert first_bar("half-time", SNARE) == {2}
    assert first_bar("funk", SNARE) == {1, 3}
    assert first_bar("shuffle", SNARE) == {1, 3}
    assert {0, 1, 2, 3} <= first_bar("vamp", RIDE)
    assert {F(n, 2) for n in range(8)} <= first_bar("bossa", HAT) | {
        at
        for at in places(arrange(C(bars=3), "bossa").drums, HAT)
        if at < 4  # type: ignore[operator]
    }
    assert {1, 3} <= first_bar("swing", 44)  # the hat under the foot on two and four


def test_a_waltz_has_its_backbeat_on_three_and_six_eight_on_its_second_beat() -> None:
    waltz = arrange(C(meter=(3, 4), bars=3), "straight").drums
    assert [at for at in loud(waltz, SNARE) if at < 3] == [2]  # type: ignore[operator]
    six = arrange(C(meter=(6, 8), bars=3), "straight").drums
    assert [at for at in loud(six, SNARE) if at < 3] == [F(3, 2)]  # type: ignore[operator]
    hats = {at for at in places(six, HAT) + places(six, 46) if at < 3}  # type: ignore[operator]
    assert hats == {F(n, 2) for n in range(6)}  # a dotted beat has thirds


def test_odd_meters_are_felt_in_their_groups() -> None:
    # 7/8 as 2+2+3 (common practice): hats on every eighth, the backbeat on the second group.
    seven = arrange(C(meter=(7, 8), bars=3), "straight").drums
    assert [at for at in loud(seven, SNARE) if at < F(7, 2)] == [2]  # type: ignore[operator]
    eighths = {F(n, 2) for n in range(7)}
    assert eighths <= set(places(seven, HAT) + places(seven, 46))


def test_a_phrase_of_four_bars_ends_in_a_fill_that_grows_and_a_cymbal_answers() -> None:
    drums = arrange(C(bars=12), "straight").drums
    assert places(drums, CRASH) == [16, 32]
    for bar in (3, 7, 11):
        fill = [
            n for n in drums if 4 * bar + 3 <= n.onset < 4 * bar + 4 and n.key in (38, 48, 45, 43)
        ]
        assert len(fill) > 1
        assert [n.velocity for n in fill] == sorted(n.velocity for n in fill)
        assert fill[-1].velocity > fill[0].velocity
        assert all(n.velocity <= 90 for n in fill)  # never in the way


def test_ghost_notes_are_soft_and_every_stroke_is_audible() -> None:
    for name in FEELS:
        band = arrange(C(bars=8), name)
        for part in (band.bass, band.chords, band.drums):
            assert all(36 <= note.velocity < 100 for note in part)
    ghosts = [n for n in arrange(C(bars=8), "funk").drums if n.key == SNARE and n.velocity < 60]
    assert ghosts
    assert all(n.velocity <= 45 for n in ghosts)


def test_no_drums_where_the_feel_has_none_and_in_a_pickup() -> None:
    assert arrange(C(), "chords").drums == ()
    assert arrange(C(), "drone").drums == ()
    led_in = score((0, "C", "C E G"), pickup=F(1))
    assert min(note.onset for note in arrange(led_in, "straight").drums) == 1


def test_a_pickup_is_the_last_beats_of_its_meter() -> None:
    led_in = score((0, "C", "C E G"), pickup=F(1))
    band = arrange(led_in, "shuffle")
    assert {0, 1, 2, 3, 4} <= {note.onset for note in band.bass}
    assert min(note.onset for note in band.chords) == 0


# ---------------------------------------------------------------------------------------- feels


def test_feels_are_found_by_name_and_a_slip_is_mended() -> None:
    assert feel_named("shuffle").name == "shuffle"
    with pytest.raises(RhythmError, match="no feel 'shufle'") as slip:
        feel_named("shufle")
    assert "shuffle" in (slip.value.mend or "")
    with pytest.raises(RhythmError, match="no feel 'zzz'") as unknown:
        feel_named("zzz")
    assert "drone, chords, straight" in (unknown.value.mend or "")


# General MIDI System Level 1 sound set, programs counted from 1: 5 electric piano 1, 90 warm pad,
# 34 fingered bass, 28 clean electric guitar; percussion 76 and 77 wood blocks.
def test_programs_and_keys_are_those_of_general_midi() -> None:
    programs = {one.name: one.program + 1 for one in FEELS.values()}
    assert programs.pop("drone") == 90
    assert set(programs.values()) == {5}
    assert (feel.FINGERED_BASS + 1, feel.CLEAN_GUITAR + 1) == (34, 28)
    assert (feel.HIGH_WOOD_BLOCK, feel.LOW_WOOD_BLOCK) == (76, 77)
    assert (feel.CRASH, feel.HIGH_TOM, feel.MIDDLE_TOM, feel.FLOOR_TOM) == (49, 48, 45, 43)


def test_eight_feels_have_a_drummer_and_swing_where_a_player_would() -> None:
    drummed = {one.name for one in FEELS.values() if one.drums}
    assert drummed == {
        *("straight", "swing", "shuffle", "half-time", "12/8", "bossa", "funk", "vamp")
    }
    assert {one.name for one in FEELS.values() if one.swing} == {"swing", "shuffle", "12/8"}
