"""A Score as a standard MIDI file.

Format 1 of "Standard MIDI Files 1.0" (MIDI Manufacturers Association, RP-001): a conductor track
with tempo, meter, key and markers; the lead guitar with one channel for each string, so that a
slide or bend never moves a neighbour; bass, chords and drums on tracks of their own.  Programs and
percussion keys are those of General MIDI System Level 1.
"""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from fractions import Fraction
from math import lcm
from typing import TYPE_CHECKING

from lickwright.lick import LickNote, Technique
from lickwright.score import CountIn, PlayedTime, Score, check_tempo, count_in, played_time
from lickwright.sound.band import (
    CLEAN_GUITAR,
    FINGERED_BASS,
    HIGH_WOOD_BLOCK,
    LOW_WOOD_BLOCK,
    Backing,
    BackingNote,
    arrange,
    as_felt,
    feel_named,
)
from lickwright.sound.strength import strengths_db

if TYPE_CHECKING:
    import mido

#: Channels count from 0 here; 9 is General MIDI percussion.  Nine strings take 0 to 8.
DRUM_CHANNEL, BASS_CHANNEL, CHORD_CHANNELS = 9, 10, (11, 12)
#: Where the chord player stands: a voicing is spread to both sides of controller 10's middle, 64.
_PAN, _CHORD_PANS = 10, (24, 104)

# Names of the signatures from seven flats to seven sharps.
# fmt: off
_MAJOR_KEYS = (
    "Cb", "Gb", "Db", "Ab", "Eb", "Bb", "F", "C", "G", "D", "A", "E", "B", "F#", "C#",
)
_MINOR_KEYS = (
    "Abm", "Ebm", "Bbm", "Fm", "Cm", "Gm", "Dm", "Am", "Em", "Bm", "F#m",
    "C#m", "G#m", "D#m", "A#m",
)
# fmt: on

_BASE_TICKS = 480
_MOST_TICKS = 32767  # the division word of a header has 15 bits for it
_Timed = tuple[int, int, "mido.Message | mido.MetaMessage"]


def midi_bytes(
    score: Score,
    tempo_bpm: float,
    *,
    count_in_bars: int = 1,
    feel: str = "chords",
    lead: bool = True,
    backing: bool = True,
    click: bool = True,
    tail_s: float = 0.0,
    start: int = 1,
    lands: bool = True,
) -> bytes:
    """A score as the bytes of a standard MIDI file, format 1.

    Parameters
    ----------
    tempo_bpm : quarter notes a minute.
    count_in_bars : whole bars of count before the music; the music starts after them.
    feel : how the band plays, a name in :data:`lickwright.sound.band.feel.FEELS`.
    lead, backing, click : which parts sound.
    tail_s : seconds of silence from the last bar line to the end of the tracks.
    start, lands : the band's start number, and whether it lands where the line does, as in
        :func:`lickwright.sound.band.arrange`.

    Raises
    ------
    RhythmError
        For a tempo, count-in or feel that cannot be used.
    """
    check_tempo(tempo_bpm)
    count = count_in(score, count_in_bars)
    score = as_felt(score, feel)
    times = played_time(score, tempo_bpm)
    band = _played(arrange(score, feel, start=start, lands=lands), times)
    ticks = ticks_per_quarter(_times(score, count, band, times))
    tracks = [_conductor(score, tempo_bpm, count, ticks)]
    if lead:
        tracks.append(_lead(score, count.length, ticks, times))
    drums: list[BackingNote] = list(_clicks(count)) if click else []
    if backing:
        begin, player = count.length, feel_named(feel).program
        tracks.append(_band("Bass", BASS_CHANNEL, FINGERED_BASS, band.bass, begin, ticks))
        tracks.append(_chords(player, band.chords, begin, ticks))
        drums += [
            BackingNote(begin + hit.onset, hit.key, hit.duration, hit.velocity)
            for hit in band.drums
        ]
    if drums:
        tracks.append(_band("Drums", DRUM_CHANNEL, None, drums, Fraction(0), ticks))
    end = _tick(count.length + score.length, ticks) + round(tail_s * tempo_bpm / 60.0 * ticks)
    return _file_bytes(tracks, ticks, end)


def ticks_per_quarter(times: Iterable[Fraction]) -> int:
    """The smallest multiple of 480 ticks a quarter note that puts every time on a tick.

    Triplets and quintuplets fit 480 itself, septuplets take 3360.  Where no division that the
    format can hold is exact, times are rounded to the nearest tick of the finest one.
    """
    ticks = _BASE_TICKS
    for time in times:
        finer = lcm(ticks, time.denominator)
        if finer > _MOST_TICKS:
            return _MOST_TICKS // _BASE_TICKS * _BASE_TICKS
        ticks = finer
    return ticks


def _played(band: Backing, times: PlayedTime) -> Backing:
    """A band's notes at the times at which they are played."""

    def played(notes: Sequence[BackingNote]) -> tuple[BackingNote, ...]:
        return tuple(
            BackingNote(
                times.band(note.onset),
                note.key,
                times.band(note.onset + note.duration) - times.band(note.onset),
                note.velocity,
            )
            for note in notes
        )

    return Backing(played(band.bass), played(band.chords), played(band.drums))


def _times(score: Score, count: CountIn, band: Backing, times: PlayedTime) -> Iterable[Fraction]:
    for note in score.lick.notes:
        yield times.line(note.onset)
        yield times.line(note.end)
    for hit in (*band.bass, *band.chords, *band.drums):
        yield hit.onset
    for bar in score.bars:
        yield bar.onset
    for span in score.chords:
        yield span.onset
    for click in count.clicks:
        yield click.onset
    yield count.length
    yield score.length


def _tick(quarters: Fraction, ticks: int) -> int:
    return round(quarters * ticks)


def _conductor(score: Score, tempo_bpm: float, count: CountIn, ticks: int) -> list[_Timed]:
    import mido

    events: list[_Timed] = [
        (0, 0, mido.MetaMessage("track_name", name=score.name)),
        (0, 1, mido.MetaMessage("set_tempo", tempo=round(60e6 / tempo_bpm))),
    ]
    first = score.bars[0]
    if count.clicks:
        events.append((0, 3, mido.MetaMessage("marker", text="count-in")))
    meter, key = None, None
    for bar in score.bars:
        at = _tick(count.length + bar.onset, ticks) if bar is not first else 0
        if (bar.beats, bar.unit) != meter:
            meter = (bar.beats, bar.unit)
            events.append((at, 1, _time_signature(*meter)))
        if bar.key != key:
            key = bar.key
            signature = _signature(key.fifths, key.signature_mode)
            events.append((at, 1, mido.MetaMessage("key_signature", key=signature)))
    chord_starts = {span.onset for span in score.chords}
    for bar in score.bars:
        if bar.onset not in chord_starts:
            at = _tick(count.length + bar.onset, ticks)
            events.append((at, 3, mido.MetaMessage("marker", text=f"bar {bar.number}")))
    for span in score.chords:
        at = _tick(count.length + span.onset, ticks)
        events.append((at, 3, mido.MetaMessage("marker", text=span.symbol)))
    return events


def _time_signature(beats: int, unit: int) -> mido.MetaMessage:
    import mido

    compound = unit >= 8 and beats % 3 == 0 and beats > 3
    clocks = 24 * 4 // unit * (3 if compound else 1)  # 24 MIDI clocks to a quarter note
    return mido.MetaMessage(
        "time_signature", numerator=beats, denominator=unit, clocks_per_click=max(clocks, 1)
    )


def _signature(fifths: int, mode: str) -> str:
    """A key signature as mido names it.  The format knows major and minor; other modes are
    written as the major key of the same signature."""
    return (_MINOR_KEYS if mode == "minor" else _MAJOR_KEYS)[fifths + 7]


def _lead(score: Score, start: Fraction, ticks: int, times: PlayedTime) -> list[_Timed]:
    import mido

    events: list[_Timed] = [(0, 0, mido.MetaMessage("track_name", name="Lead guitar"))]
    for string in range(1, score.guitar.string_count + 1):
        program = mido.Message("program_change", channel=string - 1, program=CLEAN_GUITAR)
        events.append((0, 1, program))
    for note, strength in zip(score.lick.notes, strengths_db(score), strict=True):
        channel = note.position.string - 1
        on = _tick(start + times.line(note.onset), ticks)
        off = max(_tick(start + times.line(note.end), ticks), on + 1)
        key = score.guitar.midi_at(note.position)
        if note.marks.vibrato:
            wheel = {"channel": channel, "control": 1}
            events.append((on, 3, mido.Message("control_change", value=64, **wheel)))
            events.append((off, 2, mido.Message("control_change", value=0, **wheel)))
        loud = _velocity(note, strength)
        events.append((on, 4, mido.Message("note_on", channel=channel, note=key, velocity=loud)))
        events.append((off, 2, mido.Message("note_off", channel=channel, note=key, velocity=0)))
    return events


def _velocity(note: LickNote, strength_db: float) -> int:
    """Velocity by how hard a note is struck; a slur is softer than any stroke."""
    usual = 94 if note.technique is Technique.PICK else 74
    return min(120, max(30, round(usual + 4 * strength_db)))


def _chords(
    program: int, notes: Sequence[BackingNote], start: Fraction, ticks: int
) -> list[_Timed]:
    """The chord player, each voicing spread over two channels, left and right by turns."""
    sides: tuple[list[BackingNote], list[BackingNote]] = ([], [])
    place, before = 0, None
    for note in notes:
        place = place + 1 if note.onset == before else 0
        before = note.onset
        sides[place % 2].append(note)
    events: list[_Timed] = []
    for channel, pan, own in zip(CHORD_CHANNELS, _CHORD_PANS, sides, strict=True):
        events += _band("Chords", channel, program, own, start, ticks, pan)
    return [events[0], *(event for event in events if event[2].type != "track_name")]


def _band(
    name: str,
    channel: int,
    program: int | None,
    notes: Sequence[BackingNote],
    start: Fraction,
    ticks: int,
    pan: int = 64,
) -> list[_Timed]:
    import mido

    events: list[_Timed] = [(0, 0, mido.MetaMessage("track_name", name=name))]
    if program is not None:
        events.append((0, 1, mido.Message("program_change", channel=channel, program=program)))
    if pan != 64:
        place = {"channel": channel, "control": _PAN, "value": pan}
        events.append((0, 2, mido.Message("control_change", **place)))
    for note in notes:
        on = _tick(start + note.onset, ticks)
        off = max(_tick(start + note.onset + note.duration, ticks), on + 1)
        voice = {"channel": channel, "note": note.key}
        events.append((on, 4, mido.Message("note_on", velocity=note.velocity, **voice)))
        events.append((off, 2, mido.Message("note_off", velocity=0, **voice)))
    return events


def _clicks(count: CountIn) -> Iterable[BackingNote]:
    for click in count.clicks:
        key = HIGH_WOOD_BLOCK if click.accent else LOW_WOOD_BLOCK
        yield BackingNote(click.onset, key, Fraction(1, 8), 110 if click.accent else 90)


def _file_bytes(tracks: Sequence[Sequence[_Timed]], ticks: int, end: int) -> bytes:
    """Delta times, an end to each track, and the file.  Text is UTF-8."""
    import mido

    file = mido.MidiFile(type=1, ticks_per_beat=ticks, charset="utf-8")
    for events in tracks:
        track = mido.MidiTrack()
        now = 0
        for at, _, message in sorted(events, key=lambda event: event[:2]):
            track.append(message.copy(time=at - now))
            now = at
        track.append(mido.MetaMessage("end_of_track", time=max(end - now, 0)))
        file.tracks.append(track)
    buffer = io.BytesIO()
    file.save(file=buffer)
    return buffer.getvalue()
