"""What does a lick sound like at the pickup of an electric guitar?

One voice per string.  A note is a chain of stretches in each of which the string has one length
and one damping; each stretch starts from the shape and speed in which the former left the string.
So a hammer-on shortens a string that is still ringing, a pull-off plucks it from the finger that
leaves, a slide passes from fret to fret, and the next pick stroke on a string first stops it.

Everything starts at the exact time of the Score, between samples if need be.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from lickwright.lick import LickNote, Stroke, Technique
from lickwright.neck import Guitar, Position
from lickwright.score import SAMPLE_RATE, Score, played_time, seconds
from lickwright.sound.one_thread import in_one_thread
from lickwright.sound.strength import spread, strengths_db
from lickwright.sound.strings.string import (
    Floats,
    Modes,
    State,
    StringModel,
    advance,
    at_rest,
    damp,
    hear,
    modes_at,
    stop_at,
    string_for,
)

Samples = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Touch:
    """How the two hands touch the strings.  Common practice, no source.

    Parameters
    ----------
    pick_mm, pick_width_mm : where the pick strikes, from the bridge, and how wide its edge is.
    down, up : share of a stroke into the body and across the strings, by direction.
    up_nearer_mm : how much nearer the bridge an upstroke strikes.
    lift_per_s : decay rate that a lifting finger or damping hand adds (60 dB in 6.9 / rate s).
    stop_per_s, stop_lead_s : the same for a pick that lands on a ringing string, and how long
        before its stroke it lands.
    mute_per_s, dead_per_s : the same for the palm on the bridge, and for fingers that damp the
        string so that it only knocks.
    slide_s : the longest time a slide takes, before the onset of the note it leads to.
    vibrato_hz, vibrato_cents, vibrato_delay_s : rate, depth above the note, and start.
    accents : how much of :func:`~lickwright.sound.strength.strengths_db` is played, 0 to 1.
    timing_s : how far a note is from its time at most.  Listeners notice from about 6 ms on
        (Friberg and Sundberg 1995, from memory), and a take is judged by 25 ms.
    squeak : level of fingertips on wound strings when the hand shifts, 0 for none.
    """

    pick_mm: float = 106.0
    pick_width_mm: float = 3.0
    down: tuple[float, float] = (0.80, 0.60)
    up: tuple[float, float] = (-0.67, -0.74)
    up_nearer_mm: float = 8.0
    lift_per_s: float = 80.0
    stop_per_s: float = 700.0
    stop_lead_s: float = 0.003
    mute_per_s: float = 9.0
    dead_per_s: float = 140.0
    slide_s: float = 0.12
    vibrato_hz: float = 5.4
    vibrato_cents: float = 24.0
    vibrato_delay_s: float = 0.12
    accents: float = 1.0
    timing_s: float = 0.003
    squeak: float = 0.005


@dataclass(frozen=True, slots=True)
class Pickup:
    """A pickup at a distance from the bridge; it senses ``width_mm`` of the string.

    ``across`` is how much of the motion across the strings it hears, against 1 for motion into
    the body.
    """

    place_mm: float = 105.0
    width_mm: float = 14.0
    across: float = 0.25


# Frequencies at which hand damping doubles: flesh takes the high partials first.
_LIFT_KNEE_HZ, _MUTE_KNEE_HZ = 1500.0, 600.0
# Strength of a hammer-on, a pull-off and of passing a fret, against a pick stroke of 1.
_HAMMER, _PULL, _PASS = 0.30, 0.38, 0.08
_HAMMER_S = 0.0011  # how long a fingertip takes to bring the string to the fret
_FINGER_MM = 9.0  # a fingertip does not fix the string in one point
_NOISE_LEVEL, _NOISE_S = 0.22, 0.0025
# A shift that can be heard on wound strings: so many frets, and for so long at most.
_SHIFT_FRETS, _SHIFT_S = 3, 0.06
_SHIFT_BEFORE_S = 0.03  # the finger is there before the pick


@dataclass(frozen=True, slots=True)
class StruckNote:
    """A note at its time, with what the hands do to it.

    Parameters
    ----------
    index : its number in the lick.
    onset_s, end_s : when it sounds, from the beginning of the audio.
    hard : how hard it is struck, as a factor of amplitude.
    """

    note: LickNote
    index: int
    onset_s: float
    end_s: float
    hard: float


def struck_notes(
    score: Score, tempo_bpm: float, start_s: float, touch: Touch
) -> tuple[StruckNote, ...]:
    """The notes of a lick as two hands play them: swung, a hair early or late, hard or soft."""
    times = played_time(score, tempo_bpm)
    found = []
    for index, (note, strength) in enumerate(
        zip(score.lick.notes, strengths_db(score), strict=True)
    ):
        away = touch.timing_s * spread(index, 1) if index else 0.0
        onset = start_s + seconds(times.line(note.onset), tempo_bpm) + away
        end = start_s + seconds(times.line(note.end), tempo_bpm) + away
        hard = 10.0 ** (touch.accents * strength / 20.0)
        found.append(StruckNote(note, index, max(start_s, onset), end, hard))
    return tuple(found)


@in_one_thread
def lead(
    score: Score,
    tempo_bpm: float,
    *,
    start_s: float,
    samples: int,
    pickup: Pickup,
    touch: Touch | None = None,
    let_ring: bool = False,
) -> Samples:
    """The signal of the whole lick at a pickup, ``(samples,)`` at 44.1 kHz, before any amplifier.

    Parameters
    ----------
    start_s : when the first bar line sounds, in seconds.
    let_ring : notes ring until their string is played again, instead of for their duration.
    """
    out = np.zeros(samples, np.float32)
    touch = touch or Touch()
    by_string: dict[int, list[StruckNote]] = {}
    played = struck_notes(score, tempo_bpm, start_s, touch)
    for struck in played:
        by_string.setdefault(struck.note.position.string, []).append(struck)
    for number, notes in sorted(by_string.items()):
        voice = _Voice(score.guitar, number, pickup, touch, out)
        voice.play(notes, let_ring)
    if touch.squeak:
        _squeaks(score.guitar, played, touch.squeak, out)
    return out


def _squeaks(guitar: Guitar, played: Sequence[StruckNote], level: float, out: Samples) -> None:
    """Fingertips along a wound string, while the hand shifts."""
    for before, after in pairwise(played):
        string = before.note.position.string
        wound = string_for(
            guitar.open_strings[string - 1].frequency_hz, guitar.scale_mm[string - 1]
        ).wound
        frets = abs(_hand(after.note) - _hand(before.note))
        stopped = before.note.position.fret and after.note.position.fret
        slid = after.note.technique is Technique.SLIDE
        if not wound or not stopped or slid or frets < _SHIFT_FRETS:
            continue
        gap = after.onset_s - before.onset_s
        count = int(min(_SHIFT_S, 0.4 * gap) * SAMPLE_RATE)
        first = int((after.onset_s - _SHIFT_BEFORE_S) * SAMPLE_RATE) - count
        if first < 0 or count < 64:
            continue
        noise = _rub()[(after.index * 331) % 4096 :][:count] * np.float32(level)
        out[first : first + count] += noise * np.hanning(count).astype(np.float32)


def _hand(note: LickNote) -> int:
    """The fret at which the index finger is."""
    return note.position.fret - ((note.finger or 1) - 1)


class _Voice:
    """One string under two hands: where it is now, and the samples it has sounded so far."""

    def __init__(
        self, guitar: Guitar, number: int, pickup: Pickup, touch: Touch, out: Samples
    ) -> None:
        self.guitar, self.number, self.pickup, self.touch, self.out = (
            guitar,
            number,
            pickup,
            touch,
            out,
        )
        self.string: StringModel = string_for(
            guitar.open_strings[number - 1].frequency_hz, guitar.scale_mm[number - 1]
        )
        self.state = at_rest(self.modes(0))
        self.now_s = 0.0

    def modes(self, fret: int) -> Modes:
        key = self.guitar.midi_at(Position(self.number, fret))
        return modes_at(self.string, 440.0 * 2.0 ** ((key - 69) / 12))

    def play(self, notes: Sequence[StruckNote], let_ring: bool) -> None:
        """Play the notes of this string."""
        fret = 0
        for place, struck in enumerate(notes):
            note, onset, end = struck.note, struck.onset_s, struck.end_s
            then = notes[place + 1] if place + 1 < len(notes) else None
            following = None if then is None else then.note
            self.begin(struck, fret)
            fret = note.position.fret
            next_s = len(self.out) / SAMPLE_RATE if then is None else then.onset_s
            slurred = following is not None and following.technique is not Technique.PICK
            if following is not None and slurred and (following.onset == note.end or let_ring):
                if following.technique is Technique.SLIDE:
                    self.slide(note, following.position.fret, onset, next_s)
                else:
                    self.ring(next_s, note.marks.vibrato)
                continue
            landing = next_s - self.touch.stop_lead_s if following is not None else next_s
            self.ring(max(landing if let_ring else min(end, landing), onset), note.marks.vibrato)
            self.end(landing, following is not None and not slurred)

    def begin(self, struck: StruckNote, former_fret: int) -> None:
        """Start a note: by the pick, or by a finger on the string as it is."""
        note, index, onset_s = struck.note, struck.index, struck.onset_s
        modes = self.modes(note.position.fret)
        if note.technique is Technique.PICK:
            strength = struck.hard
            state = self.plucked(modes, note.stroke, strength, 3.0 * spread(index, 1))
            if note.marks.dead:
                state = self.damped(state, self.touch.dead_per_s, _MUTE_KNEE_HZ)
            elif note.marks.palm_mute:
                state = self.damped(state, self.touch.mute_per_s, _MUTE_KNEE_HZ)
            self.scrape(onset_s, index, strength)
        else:
            state = stop_at(self.state, modes)
            if note.technique is Technique.PULL_OFF and note.position.fret < former_fret:
                kick = self.pulled(modes, self.modes(former_fret).length_m)
            else:
                hard = _PASS if note.technique is Technique.SLIDE else _HAMMER
                kick = self.hammered(modes, hard * struck.hard)
            state = State(modes, state.amplitude + kick)
        self.state, self.now_s = state, onset_s

    def plucked(
        self, modes: Modes, stroke: Stroke | None, strength: float, nearer_mm: float
    ) -> State:
        """A string let go by the pick: a triangle, its corner rounded by the pick's edge."""
        touch = self.touch
        into, across = touch.up if stroke is Stroke.UP else touch.down
        nearer_mm += touch.up_nearer_mm if stroke is Stroke.UP else 0.0
        place = (touch.pick_mm - nearer_mm) / 1000.0
        # A hard stroke leaves a sharper corner: louder is brighter.
        width = touch.pick_width_mm / 1000.0 / strength**0.5
        shape = _corner(modes, place, width) * strength
        return State(modes, np.stack([into * shape, across * shape]).astype(np.complex128))

    def pulled(self, modes: Modes, from_m: float) -> Floats:
        """A string let go by the finger that stopped it at ``from_m``, mostly sideways."""
        shape = _corner(modes, from_m, _FINGER_MM / 1000.0)
        return _PULL * np.stack([0.6 * shape, shape])

    def scrape(self, onset_s: float, index: int, strength: float) -> None:
        """The scratch of the pick's edge as it leaves the string."""
        first = int(np.ceil(onset_s * SAMPLE_RATE))
        noise = _scratch()[(index * 97) % 512 :][:512] * np.float32(strength * _NOISE_LEVEL)
        room = self.out[first : first + len(noise)]
        room += noise[: len(room)] * _scratch_decay()[: len(room)]

    def hammered(self, modes: Modes, strength: float) -> Floats:
        """A string pressed to its fret: a ramp from bridge to fret, smoothed by its own time."""
        turn = modes.poles[0].imag
        sign = np.where(modes.number % 2 == 1, 1.0, -1.0)
        ramp = strength * sign * np.exp(-0.5 * (turn * _HAMMER_S / 2.0) ** 2) / turn
        return np.stack([ramp, 0.2 * ramp])

    def damped(self, state: State, rate: float, knee_hz: float) -> State:
        hz = state.modes.poles[0].imag / (2 * np.pi)
        return damp(state, rate * (1.0 + hz / knee_hz))

    def slide(self, note: LickNote, to_fret: int, onset_s: float, arrival_s: float) -> None:
        """Ring, then pass the frets on the way, to arrive at ``arrival_s``."""
        way = to_fret - note.position.fret
        glide = min(self.touch.slide_s, 0.4 * (arrival_s - onset_s))
        self.ring(arrival_s - glide, note.marks.vibrato)
        step = 1 if way > 0 else -1
        for passed in range(1, abs(way)):
            self.ring(arrival_s - glide * (1.0 - passed / abs(way)), False)
            modes = self.modes(note.position.fret + step * passed)
            state = stop_at(self.state, modes)
            self.state = State(modes, state.amplitude + self.hammered(modes, _PASS))
        self.ring(arrival_s, False)

    def end(self, landing_s: float, picked: bool) -> None:
        """Damp the string until it is silent; a pick that lands at ``landing_s`` stops it dead."""
        touch = self.touch
        self.state = self.damped(self.state, touch.lift_per_s, _LIFT_KNEE_HZ)
        silent = self.now_s + 7.0 / touch.lift_per_s
        self.ring(min(silent, landing_s), False)
        if picked and silent > landing_s:
            self.state = self.damped(self.state, touch.stop_per_s, _LIFT_KNEE_HZ)
            self.ring(landing_s + 7.0 / touch.stop_per_s, False)

    def ring(self, until_s: float, vibrato: bool) -> None:
        """Let the string sound from now on, and move on to ``until_s``."""
        span = until_s - self.now_s
        if span <= 0:
            return
        first = int(np.ceil(self.now_s * SAMPLE_RATE))
        count = min(int(np.ceil(until_s * SAMPLE_RATE)), len(self.out)) - first
        sensed = self.sensed(self.state.modes)
        if vibrato and span > self.touch.vibrato_delay_s:
            at = (first + np.arange(max(count, 0))) / SAMPLE_RATE - self.now_s
            self.out[first : first + len(at)] += self.shaken(sensed, at)
            span = float(self.shaken_time(np.array([span]))[0])
        elif count > 0:
            offset = first / SAMPLE_RATE - self.now_s
            self.out[first : first + count] += hear(self.state, sensed, offset, count, SAMPLE_RATE)
        self.state = advance(self.state, span)
        self.now_s = until_s

    def sensed(self, modes: Modes) -> Floats:
        pickup = self.pickup
        turns = modes.number / (2.0 * modes.length_m)  # waves to a metre
        sense = np.sin(2 * np.pi * turns * pickup.place_mm / 1000.0)
        sense = sense * np.sinc(turns * pickup.width_mm / 1000.0)
        return np.stack([sense, pickup.across * sense])

    def shaken_time(self, at_s: Floats) -> Floats:
        """Time as a string lives it whose pitch a finger raises and lowers again."""
        touch = self.touch
        depth = 2.0 ** (touch.vibrato_cents / 1200.0) - 1.0
        late = np.maximum(at_s - touch.vibrato_delay_s, 0.0)
        turn = 2 * np.pi * touch.vibrato_hz
        lived: Floats = at_s + depth * 0.5 * (late - np.sin(turn * late) / turn)
        return lived

    def shaken(self, sensed: Floats, at_s: Floats) -> Samples:
        """The string heard at the times it lives; read off twice as finely sampled sound."""
        if not len(at_s):
            return np.zeros(0, np.float32)
        lived = self.shaken_time(at_s) * (2 * SAMPLE_RATE)
        fine = hear(self.state, sensed, -2 / (2 * SAMPLE_RATE), int(lived[-1]) + 8, 2 * SAMPLE_RATE)
        whole = lived.astype(np.int64)
        part = (lived - whole).astype(np.float32)
        taps = [fine[whole + k + 2] for k in range(-2, 4)]
        return _lagrange6(taps, part)


@cache
def _scratch() -> Samples:
    """Noise with its low end taken away, 1024 samples."""
    noise = np.random.default_rng(1).standard_normal(1025)
    return np.diff(noise).astype(np.float32)


@cache
def _rub() -> Samples:
    """Noise about the pitch of windings under a moving fingertip, 1.5 to 4 kHz; 8192 samples."""
    spectrum = np.fft.rfft(np.random.default_rng(2).standard_normal(8192))
    hz = np.fft.rfftfreq(8192, 1.0 / SAMPLE_RATE)
    spectrum *= np.exp(-0.5 * (np.log2(np.maximum(hz, 1.0) / 2500.0) / 0.5) ** 2)
    noise = np.fft.irfft(spectrum)
    rubbed: Samples = (noise / noise.std()).astype(np.float32)
    return rubbed


@cache
def _scratch_decay() -> Samples:
    return np.exp(-np.arange(512) / (_NOISE_S * SAMPLE_RATE)).astype(np.float32)


def _corner(modes: Modes, place_m: float, width_m: float) -> Floats:
    """Amplitudes of a string drawn aside at a place; the speed of each mode goes as 1 / k.

    Whatever the sounding length, the pick leaves with the same force (Fletcher and Rossing, 2.8).
    """
    at = np.pi * modes.number / modes.length_m
    corner = np.sin(at * place_m) * np.exp(-0.5 * (at * width_m / 2.0) ** 2)
    shape: Floats = corner / (modes.number * modes.poles[0].imag)
    return shape


def _lagrange6(taps: Sequence[Samples], part: Samples) -> Samples:
    """Lagrange interpolation between taps 2 and 3 of six equally spaced samples."""
    nodes = range(-2, 4)
    out = np.zeros_like(part)
    for k, tap in zip(nodes, taps, strict=True):
        weight = np.ones_like(part)
        for other in nodes:
            if other != k:
                weight *= (part - np.float32(other)) * np.float32(1.0 / (k - other))
        out += weight * tap
    return out
