"""Our MIDI, read back with mido (an independent reader of Standard MIDI Files 1.0)."""

from __future__ import annotations

import io
import struct
import subprocess
import sys
from fractions import Fraction

import mido
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lickwright.lick.notes import Marks, Technique
from lickwright.neck.instrument import Guitar
from lickwright.neck.tunings import parse_tuning
from lickwright.sound.band.feel import FEELS
from lickwright.sound.midi import midi_bytes, ticks_per_quarter

from .conftest import SWEEP, make_score


def read(data: bytes) -> mido.MidiFile:
    return mido.MidiFile(file=io.BytesIO(data), charset="utf-8")


def track(file: mido.MidiFile, name: str) -> mido.MidiTrack:
    return next(track for track in file.tracks if track.name == name)


def timed(track: mido.MidiTrack):
    now = 0
    for message in track:
        now += message.time
        yield now, message


def notes(file: mido.MidiFile, name: str) -> list[tuple[Fraction, Fraction, int, int]]:
    """Onset and duration in quarter notes, key, channel."""
    found, sounding = [], {}
    for at, message in timed(track(file, name)):
        if message.type == "note_on" and message.velocity:
            sounding[message.channel, message.note] = at
        elif message.type in ("note_off", "note_on"):
            start = sounding.pop((message.channel, message.note))
            ticks = file.ticks_per_beat
            found.append(
                (Fraction(start, ticks), Fraction(at - start, ticks), message.note, message.channel)
            )
    assert not sounding
    return sorted(found)


def test_the_header_is_that_of_format_1(sweep):
    # SMF 1.0: "MThd", length 6, format, number of tracks, division (bit 15 clear: ticks).
    kind, length, form, tracks, division = struct.unpack(">4sIHHH", midi_bytes(sweep, 112)[:14])
    assert (kind, length, form) == (b"MThd", 6, 1)
    assert tracks == len(read(midi_bytes(sweep, 112)).tracks)
    assert division < 0x8000


def test_every_note_is_there_on_the_channel_of_its_string(sweep):
    file = read(midi_bytes(sweep, 112, count_in_bars=1))
    expected = sorted(
        (4 + note.onset, note.duration, note.pitch.midi, note.position.string - 1)
        for note in sweep.lick.notes
    )
    assert notes(file, "Lead guitar") == expected


@given(
    st.lists(
        st.sampled_from(
            [
                Fraction(1, 3),
                Fraction(1, 5),
                Fraction(1, 7),
                Fraction(1, 4),
                Fraction(1, 6),
                Fraction(3, 8),
            ]
        ),
        max_size=9,
    )
)
@settings(max_examples=25, deadline=None)
def test_tuplets_fall_on_exact_ticks(durations):
    score = make_score(SWEEP[: len(durations)], durations)
    found = notes(read(midi_bytes(score, 90, count_in_bars=0)), "Lead guitar")
    assert sorted(onset for onset, *_ in found) == [note.onset for note in score.lick.notes]
    assert sum(duration for _, duration, *_ in found) == sum(durations)


def test_times_that_no_division_holds_go_to_the_nearest_tick():
    ticks = ticks_per_quarter([Fraction(1, 7), Fraction(1, 11), Fraction(1, 13)])
    assert ticks <= 32767
    assert abs(round(Fraction(1, 13) * ticks) - Fraction(1, 13) * ticks) <= Fraction(1, 2)


def test_tempo_meter_key_and_markers(changes):
    file = read(midi_bytes(changes, 66, count_in_bars=1))
    conductor = list(timed(file.tracks[0]))
    kinds = {message.type: message for _, message in conductor}
    assert file.tracks[0].name == "The pair"
    assert mido.tempo2bpm(kinds["set_tempo"].tempo) == pytest.approx(66, abs=1e-3)
    assert (kinds["time_signature"].numerator, kinds["time_signature"].denominator) == (4, 4)
    assert kinds["key_signature"].key == "C"  # D dorian is written without accidentals
    marks = [
        (Fraction(at, file.ticks_per_beat), m.text) for at, m in conductor if m.type == "marker"
    ]
    assert marks == [(0, "count-in"), (4, "Dm9"), (8, "G13"), (12, "Cmaj9"), (16, "A7b9")]


def test_a_meter_change_stands_at_its_bar(score_of):
    from dataclasses import replace

    score = score_of(SWEEP * 2)
    second = replace(score.bars[1], beats=6, unit=8, length=Fraction(3))
    score = replace(score, bars=(score.bars[0], second))
    file = read(midi_bytes(score, 100, count_in_bars=1))
    found = [
        (Fraction(at, file.ticks_per_beat), m.numerator, m.denominator, m.clocks_per_click)
        for at, m in timed(file.tracks[0])
        if m.type == "time_signature"
    ]
    assert found == [(0, 4, 4, 24), (8, 6, 8, 36)]  # 24 MIDI clocks to a quarter (SMF 1.0)


def test_names_outside_ascii_come_back(score_of):
    from dataclasses import replace

    score = replace(score_of(), name="Étude – deux triades ♭9")
    assert read(midi_bytes(score, 80)).tracks[0].name == "Étude – deux triades ♭9"


def test_nine_strings_leave_the_percussion_channel_free(score_of):
    guitar = Guitar(parse_tuning("C#1 F#1 B1 E2 A2 D3 G3 B3 E4"))
    score = score_of([(string, 5) for string in range(1, 10)], guitar=guitar)
    channels = {channel for *_, channel in notes(read(midi_bytes(score, 80)), "Lead guitar")}
    assert channels == set(range(9))  # General MIDI percussion is channel 10, counted from 1


def test_parts_can_be_left_out(sweep):
    names = {t.name for t in read(midi_bytes(sweep, 80, lead=False, click=False)).tracks}
    assert names == {"The pair", "Bass", "Chords"}
    names = {t.name for t in read(midi_bytes(sweep, 80, backing=False)).tracks}
    assert names == {"The pair", "Lead guitar", "Drums"}


def test_the_count_is_played_on_wood_blocks(sweep):
    file = read(midi_bytes(sweep, 80, backing=False))
    # General MIDI percussion map: 76 high wood block, 77 low wood block
    assert [(on, key) for on, _, key, _ in notes(file, "Drums")] == [
        (0, 76),
        (1, 77),
        (2, 77),
        (3, 77),
    ]


@pytest.mark.parametrize("feel", FEELS)
def test_the_same_score_gives_the_same_bytes(changes, feel):
    assert midi_bytes(changes, 91.5, feel=feel) == midi_bytes(changes, 91.5, feel=feel)


def test_vibrato_turns_the_modulation_wheel_and_back(score_of):
    file = read(midi_bytes(score_of([(2, 5)], Fraction(2), marks=Marks(vibrato=True)), 80))
    wheel = [m.value for m in track(file, "Lead guitar") if m.is_cc(1)]
    assert wheel == [64, 0]


def test_slurred_notes_are_softer_than_picked_ones(score_of):
    score = score_of([(2, 5), (2, 7)], techniques=[Technique.PICK, Technique.HAMMER_ON])
    lead = track(read(midi_bytes(score, 80)), "Lead guitar")
    picked, slurred = (m.velocity for m in lead if m.type == "note_on")
    assert picked > slurred


def test_writing_midi_loads_no_numerical_library():
    code = (
        "import sys, lickwright.sound.midi; "
        "sys.exit(bool({'numpy', 'scipy', 'mido', 'soundfile'} & set(sys.modules)))"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
