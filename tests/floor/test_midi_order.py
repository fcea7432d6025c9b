"""The messages of the MIDI file, track by track, read back with mido (a reader of its own).

Channel and program numbers: Standard MIDI Files 1.0 (RP-001) and General MIDI System Level 1.
"""

from __future__ import annotations

import io
from fractions import Fraction
from typing import Any

import mido
import pytest

from lickwright.errors import RhythmError
from lickwright.lick import Lick, LickNote, Marks, Stroke, Technique
from lickwright.neck import Guitar, Position
from lickwright.score import Bar, ChordSpan, Score
from lickwright.sound.midi import midi_bytes, ticks_per_quarter
from lickwright.theory import Key, parse_chord, parse_note_name, parse_pitch

F = Fraction
C_MAJOR = Key(parse_note_name("C"), "ionian")


def note(onset: Fraction | int, long: Fraction | int = 1, **more: Any) -> LickNote:
    """A note on string 2, fret 1: C4, key 60, where ``more`` does not say otherwise."""
    what = {"position": Position(2, 1), "stroke": Stroke.DOWN, **more}
    return LickNote(
        pitch=parse_pitch("C4"),
        onset=F(onset),
        duration=F(long),
        **what,
    )


def shaking(onset: int) -> LickNote:
    """A note with vibrato."""
    return note(onset, marks=Marks(vibrato=True))


def score(
    *notes: LickNote,
    meter: tuple[int, int] = (4, 4),
    key: Key = C_MAJOR,
    chords: bool = True,
    bars: tuple[Bar, ...] = (),
) -> Score:
    whole = F(4 * meter[0], meter[1])
    bars = bars or (Bar(1, F(0), whole, *meter, key),)
    c = parse_note_name("C")
    spans = (ChordSpan(F(0), bars[-1].end, parse_chord("C5"), (c,), c),) if chords else ()
    return Score("Trial é", Guitar(), Lick(notes, bars[-1].end), bars, spans, 60.0, 120.0)


def file_of(what: Score, tempo_bpm: float = 120.0, **more: Any) -> mido.MidiFile:
    return mido.MidiFile(file=io.BytesIO(midi_bytes(what, tempo_bpm, **more)), charset="utf-8")


def events(what: Score, track: str, **more: Any) -> list[tuple[int, mido.Message]]:
    """Absolute ticks and messages of one track by name."""
    (found,) = [one for one in file_of(what, **more).tracks if one.name == track]
    now, told = 0, []
    for message in found:
        now += message.time
        told.append((now, message))
    return told


def lead(*notes: LickNote) -> list[tuple[int, str]]:
    """Ticks and kinds of what the lead's string does, without a count."""
    return [
        (at, message.type)
        for at, message in events(score(*notes), "Lead guitar", count_in_bars=0)
        if message.type in ("note_on", "note_off", "control_change")
    ]


# ----------------------------------------------------------------------------------------- lead


def test_a_note_ends_before_the_next_of_its_pitch_begins() -> None:
    assert lead(note(0), note(1)) == [
        *((0, "note_on"), (480, "note_off"), (480, "note_on"), (960, "note_off")),
    ]


def test_vibrato_begins_before_its_note_and_is_gone_before_the_next() -> None:
    assert lead(shaking(0), note(1)) == [
        *((0, "control_change"), (0, "note_on")),
        *((480, "control_change"), (480, "note_off"), (480, "note_on"), (960, "note_off")),
    ]
    told = events(score(shaking(0)), "Lead guitar", count_in_bars=0)
    wheel = [(m.control, m.value, m.channel) for _, m in told if m.type == "control_change"]
    assert wheel == [(1, 64, 1), (1, 0, 1)]  # controller 1 is the modulation wheel


def test_each_string_has_a_channel_and_a_clean_guitar() -> None:
    two = score(note(0), note(1, position=Position(6, 3)))
    told = events(two, "Lead guitar", count_in_bars=0)
    programs = [(m.channel, m.program) for _, m in told if m.type == "program_change"]
    assert programs == [(channel, 27) for channel in range(6)]
    assert [(m.channel, m.note) for _, m in told if m.type == "note_on"] == [(1, 60), (5, 43)]
    assert [(m.channel, m.note) for _, m in told if m.type == "note_off"] == [(1, 60), (5, 43)]
    kinds = [m.type for _, m in told]
    assert kinds[0] == "track_name"
    assert kinds.index("note_on") > max(
        n for n, kind in enumerate(kinds) if kind == "program_change"
    )


def test_a_downstroke_is_loudest_then_an_up_then_a_slur() -> None:
    line = (
        note(0),
        note(1, stroke=Stroke.UP),
        note(2, stroke=None, technique=Technique.HAMMER_ON),
        note(3, stroke=None),
    )
    told = events(score(*line), "Lead guitar", count_in_bars=0)
    down, up, slur, unsaid = (m.velocity for _, m in told if m.type == "note_on")
    assert 120 >= down > up > slur > 64
    assert down > unsaid > slur  # a strong beat, and a weak one
    assert all(m.velocity == 0 for _, m in told if m.type == "note_off")


def test_even_the_shortest_note_lasts_a_tick() -> None:
    assert lead(note(0, F(1, 100_000))) == [(0, "note_on"), (1, "note_off")]


# ----------------------------------------------------------------------------------------- band


def test_the_band_has_its_tracks_channels_and_programs() -> None:
    file = file_of(score(note(0)), feel="straight")
    assert [track.name for track in file.tracks] == [
        *("Trial é", "Lead guitar", "Bass", "Chords", "Drums"),
    ]
    assert file.type == 1
    for name, channels, program in (("Bass", [10], 33), ("Chords", [11, 12], 4)):
        told = [m for _, m in events(score(note(0)), name, feel="straight")]
        assert {m.channel for m in told if not m.is_meta} == set(channels)
        assert [m.program for m in told if m.type == "program_change"] == [program] * len(channels)
    # The chord player is spread to both sides of the middle (controller 10, pan).
    pans = [m.value for m in told if m.is_cc(10)]
    assert min(pans) < 64 < max(pans)
    drums = [m for _, m in events(score(note(0)), "Drums", feel="straight")]
    assert {m.channel for m in drums if not m.is_meta} == {9}  # channel 10, counted from 1
    assert not [m for m in drums if m.type == "program_change"]


def test_the_band_enters_after_the_count_with_the_lead() -> None:
    for name in ("Lead guitar", "Bass", "Chords"):
        starts = [at for at, m in events(score(note(0)), name) if m.type == "note_on"]
        assert starts[0] == 4 * 480
    drums = events(score(note(0)), "Drums", feel="straight")
    keys = [(at, m.note) for at, m in drums if m.type == "note_on" and m.note in (36, 76, 77)]
    assert keys == [(0, 76), (480, 77), (960, 77), (1440, 77), (1920, 36)]
    # one chord, one held note: the band lands with it
    long = score(*(note(n) for n in range(4)))
    drums = events(long, "Drums", feel="straight")
    kicks = [at for at, m in drums if m.type == "note_on" and m.note == 36]
    assert {1920, 2880} <= set(kicks)
    offs = [at for at, m in events(score(note(0)), "Bass") if m.type == "note_off"]
    assert offs == [8 * 480]


def test_a_bass_note_struck_anew_ends_first() -> None:
    two = (Bar(1, F(0), F(4), 4, 4, C_MAJOR), Bar(2, F(4), F(4), 4, 4, C_MAJOR))
    told = events(score(note(0), bars=two), "Bass", count_in_bars=0)
    kinds = [(at, m.type) for at, m in told if m.type.startswith("note_o")]
    assert kinds == [(0, "note_on"), (1920, "note_off"), (1920, "note_on"), (3840, "note_off")]
    assert {m.velocity for _, m in told if m.type == "note_off"} == {0}


def test_the_first_click_of_a_bar_is_high_and_loud() -> None:
    drums = events(score(note(0)), "Drums")
    high, *low = (m for _, m in drums if m.type == "note_on")
    assert (high.note, {m.note for m in low}, len(low)) == (76, {77}, 3)
    assert 127 >= high.velocity > low[0].velocity > 64
    offs = [at for at, m in drums if m.type == "note_off"]
    assert offs == [60, 540, 1020, 1500]  # an eighth of a beat each


def test_parts_are_left_out_where_they_are_not_wanted() -> None:
    def names(**more: Any) -> list[str]:
        return [track.name for track in file_of(score(note(0)), **more).tracks][1:]

    assert names(lead=False) == ["Bass", "Chords", "Drums"]
    assert names(backing=False) == ["Lead guitar", "Drums"]
    assert names(click=False) == ["Lead guitar", "Bass", "Chords"]
    assert names(backing=False, click=False) == ["Lead guitar"]


# ------------------------------------------------------------------------------------ conductor


def conductor(what: Score, **more: Any) -> list[tuple[int, mido.Message]]:
    return [(at, m) for at, m in events(what, "Trial é", **more) if m.type != "end_of_track"]


def test_tempo_meter_and_key_stand_at_the_beginning() -> None:
    told = conductor(score(note(0)))
    assert [(at, m.type) for at, m in told] == [
        *((0, "track_name"), (0, "set_tempo"), (0, "time_signature"), (0, "key_signature")),
        *((0, "marker"), (1920, "marker")),
    ]
    by_kind = {m.type: m for _, m in told}
    assert by_kind["set_tempo"].tempo == 500_000  # microseconds a quarter at 120
    assert (by_kind["time_signature"].numerator, by_kind["time_signature"].denominator) == (4, 4)
    assert by_kind["time_signature"].clocks_per_click == 24  # MIDI clocks in a quarter
    assert by_kind["key_signature"].key == "C"
    assert [m.text for _, m in told if m.type == "marker"] == ["count-in", "C5"]


def test_six_eight_clicks_in_dotted_quarters() -> None:
    (sign,) = [m for _, m in conductor(score(note(0), meter=(6, 8))) if m.type == "time_signature"]
    assert (sign.numerator, sign.denominator, sign.clocks_per_click) == (6, 8, 36)


def test_a_meter_or_key_that_changes_is_told_at_its_bar_and_only_then() -> None:
    g_major = Key(parse_note_name("G"), "ionian")
    bars = (
        Bar(1, F(0), F(4), 4, 4, C_MAJOR),
        Bar(2, F(4), F(4), 4, 4, C_MAJOR),
        Bar(3, F(8), F(3), 3, 4, C_MAJOR),
        Bar(4, F(11), F(3), 3, 4, g_major),
    )
    told = conductor(score(note(0), bars=bars))
    meters = [(at, m.numerator) for at, m in told if m.type == "time_signature"]
    keys = [(at, m.key) for at, m in told if m.type == "key_signature"]
    assert meters == [(0, 4), (12 * 480, 3)]  # after a bar of count
    assert keys == [(0, "C"), (15 * 480, "G")]
    markers = [(at, m.text) for at, m in told if m.type == "marker"]
    assert markers == [
        *((0, "count-in"), (1920, "C5"), (3840, "bar 2"), (5760, "bar 3"), (7200, "bar 4")),
    ]


@pytest.mark.parametrize(
    ("tonic", "mode", "name"),
    [
        ("Cb", "ionian", "Cb"),
        ("F", "ionian", "F"),
        ("C#", "ionian", "C#"),
        ("A", "aeolian", "Am"),
        ("E", "aeolian", "Em"),
        ("Ab", "aeolian", "Abm"),
        ("A#", "aeolian", "A#m"),
        ("D", "dorian", "C"),  # no sharps, no flats: written as the major key
    ],
)
def test_key_signatures_by_the_circle_of_fifths(tonic: str, mode: str, name: str) -> None:
    told = conductor(score(note(0), key=Key(parse_note_name(tonic), mode)))
    assert [m.key for _, m in told if m.type == "key_signature"] == [name]


def test_without_a_count_the_music_is_at_the_beginning_and_no_marker_says_count() -> None:
    told = conductor(score(note(0)), count_in_bars=0)
    assert [(at, m.text) for at, m in told if m.type == "marker"] == [(0, "C5")]


# ----------------------------------------------------------------------------------------- time


def test_every_track_ends_at_the_last_bar_line_and_the_tail() -> None:
    def ends(**more: Any) -> set[int]:
        return {sum(m.time for m in track) for track in file_of(score(note(0)), **more).tracks}

    assert ends() == {8 * 480}
    assert ends(count_in_bars=0) == {4 * 480}
    assert ends(tail_s=1.5) == {11 * 480}  # at 120, a second and a half is three quarters


def test_ticks_hold_every_time_exactly_where_the_format_can() -> None:
    assert ticks_per_quarter([]) == 480
    assert ticks_per_quarter([F(1, 3), F(1, 5), F(1, 32)]) == 480  # 480 = 32 * 3 * 5
    assert ticks_per_quarter([F(1, 7)]) == 3360
    assert ticks_per_quarter([F(1, 7), F(1, 9)]) == 10080
    # 15 bits hold 32767: 480 * 7 * 11 = 36960 do not fit, and 68 * 480 = 32640 is the finest.
    assert ticks_per_quarter([F(1, 7), F(1, 11)]) == 32640
    assert ticks_per_quarter([F(1, 17)]) == 480 * 17


def test_septuplets_are_exact() -> None:
    line = [note(F(n, 7), F(1, 7)) for n in range(7)]
    file = file_of(score(*line), count_in_bars=0)
    assert file.ticks_per_beat == 3360
    starts = [
        at for at, m in events(score(*line), "Lead guitar", count_in_bars=0) if m.type == "note_on"
    ]
    assert starts == [480 * n for n in range(7)]


def test_tempi_and_feels_that_cannot_be() -> None:
    with pytest.raises(RhythmError):
        midi_bytes(score(note(0)), 0.0)
    with pytest.raises(RhythmError):
        midi_bytes(score(note(0)), 120.0, feel="zzz")
