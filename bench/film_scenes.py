"""Recordings for judging the finder of playings: an hour of a teacher, and what was played in it.

A scene is a lesson of short lines and a script of what happens one after the other: a line played
whole, slow or fast, with faults, in free tempo; broken off and begun again; some bars of it alone;
four notes of it; noodling in the same scale; talk; silence.  All of it is drawn from a start
number.  Each stretch is rendered by itself, so that an hour never lies in memory.

Voices: the players of ``bench/take.py``, and ``modes``, a string of another kind than the
project's own: a sum of damped partials, plucked at a place, with a body.
"""

from __future__ import annotations

import random
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache, lru_cache
from pathlib import Path

import numpy as np
import scipy.signal

sys.path.insert(0, str(Path(__file__).parent))

import take_players as players
from lickwright.score.score import Score
from take_players import RATE, Habits, Performance, Samples, Sounded

#: Natural tones of D dorian, as pitch classes.
_SCALE = (0, 2, 4, 5, 7, 9, 11)
_OPEN = {6: 40, 5: 45, 4: 50, 3: 55, 2: 59, 1: 64}
#: Fewer notes than this are a scrap that a finder may name or leave alone.
LEAST_NOTES = 8


@dataclass(frozen=True, slots=True)
class Example:
    """A line of a lesson, with the tempi that it is taught at."""

    score: Score
    slow_bpm: float
    target_bpm: float


@dataclass(frozen=True, slots=True)
class Piece:
    """One thing that happens in a scene.

    Parameters
    ----------
    kind : ``whole``, ``broken``, ``fragment``, ``scrap``, ``noodling``, ``talk`` or ``silence``.
    example : which line; -1 where none.
    start_s, length_s : where it lies in the recording.
    first, last : the notes of the line that were meant, both included.
    tempo_bpm : the tempo meant.
    played : for each note of the line that sounded: its index, onset in the recording, pitch and
        string.
    """

    kind: str
    example: int
    start_s: float
    length_s: float
    performance: Performance | None = None
    first: int = 0
    last: int = 0
    tempo_bpm: float = 0.0
    played: tuple[tuple[int, float, int, int], ...] = ()

    @property
    def named(self) -> bool:
        """Whether a finder must name it."""
        return self.kind in ("whole", "broken", "fragment")


@dataclass(frozen=True, slots=True)
class Scene:
    """A lesson, and what happens in a recording of it."""

    examples: tuple[Example, ...]
    pieces: tuple[Piece, ...]
    length_s: float


# --- the lesson ---------------------------------------------------------------------------------


def _scale_places(draw: random.Random, count: int, home: int) -> list[tuple[int, int]]:
    """A line in one hand-span, within the scale: steps, thirds and arpeggios."""
    tones = sorted(
        {
            (_OPEN[string] + fret, string, fret)
            for string in range(1, 6)
            for fret in range(home, home + 5)
            if (_OPEN[string] + fret) % 12 in _SCALE
        }
    )
    by_pitch = {pitch: (string, fret) for pitch, string, fret in tones}
    pitches = sorted(by_pitch)
    at, way = draw.randrange(len(pitches)), draw.choice((-1, 1))
    places = []
    while len(places) < count:
        places.append(by_pitch[pitches[at]])
        if draw.random() < 0.25:
            way = -way
        step = way * draw.choice((1, 1, 2, 2, 2, 3))
        if not 0 <= at + step < len(pitches):
            way, step = -way, -step
        at += step
    return places


def lesson(start_number: int, count: int = 6) -> tuple[Example, ...]:
    """Lines of two to four bars; the last opens with the first bars of the first."""
    draw = random.Random(f"lesson {start_number}")
    examples: list[Example] = []
    rhythms = ["16ths", "8th triplets", "mixed", "16ths", "8ths", "quintuplets"]
    home = draw.randint(4, 10)
    for index in range(count):
        rhythm = rhythms[index % len(rhythms)]
        target = draw.choice((80, 90, 96, 104, 112, 120))
        beats = draw.choice((8, 8, 12, 16)) if rhythm != "8ths" else 16
        values: list[Fraction] = []
        for _ in range(beats):
            values += players.RHYTHMS[rhythm](draw)
        places = _scale_places(draw, len(values), home + draw.choice((-1, 0, 0, 1)))
        if index == count - 1:
            first = examples[0].score.lick.notes
            shared = [note for note in first if note.onset < 4]
            values = [n.duration for n in shared] + [v for v in values if v][: len(values)]
            beats = int(sum(values))
            places = [(n.position.string, n.position.fret) for n in shared] + places
        score = players.line_score(places, values, tempo_bpm=target, name=f"Line {index + 1}")
        examples.append(Example(score, round(0.6 * target), target))
    return tuple(examples)


def demo_lesson() -> tuple[Example, ...]:
    """The examples of the demo lesson: several of them are the same notes in other values."""
    from lickwright.lesson.compile.examples import Workshop
    from lickwright.lesson.file.reading import load_lesson

    path = Path(__file__).parents[1] / "examples" / "two-triads-one-chord.yaml"
    read = load_lesson(path)
    shop = Workshop(read)
    scores = [shop.worked(index).score for index in range(len(read.examples))]
    return tuple(Example(score, score.slow_bpm, score.target_bpm) for score in scores)


# --- what happens -------------------------------------------------------------------------------


def scene(
    start_number: int,
    minutes: float,
    faults: float = 0.04,
    examples: tuple[Example, ...] | None = None,
) -> Scene:
    """A lesson, drawn or given, and what happens in a recording of so many minutes."""
    draw = random.Random(f"scene {start_number}")
    examples = examples or lesson(start_number)
    pieces: list[Piece] = []
    at, number = 1.0, 0
    while at < 60.0 * minutes - 45.0:
        for piece in _happening(draw, examples, at, start_number * 10_000 + number, faults):
            pieces.append(piece)
            at = piece.start_s + piece.length_s
            number += 1
    return Scene(examples, tuple(pieces), at + 1.0)


def _happening(
    draw: random.Random, examples: Sequence[Example], at: float, number: int, faults: float
) -> Iterator[Piece]:
    which = draw.randrange(len(examples))
    example = examples[which]
    tempo = draw.choice(
        [
            example.slow_bpm,
            example.target_bpm,
            draw.uniform(0.5 * example.slow_bpm, 1.25 * example.target_bpm),
        ]
    )
    habits = Habits(
        jitter_s=0.004,
        drift=draw.choice((0.0, 0.03, 0.05, 0.12)),
        fault_rate=draw.choice((0.0, faults, 2 * faults)),
        ring_s=draw.choice((0.0, 0.06, 0.12)),
        start_s=(0.2, 0.6),
    )
    notes = len(example.score.lick.notes)
    kind = draw.choices(
        ["whole", "restart", "broken", "fragment", "scrap", "noodling", "talk", "silence"],
        [5, 1, 1, 2, 1, 2.5, 3, 1],
    )[0]
    if kind == "whole":
        yield _playing(draw, "whole", which, example, at, tempo, habits, number, 0, notes - 1)
    elif kind == "restart":
        last = draw.randint(min(LEAST_NOTES + 2, notes - 3), notes - 3)
        broken = _playing(draw, "broken", which, example, at, tempo, habits, number, 0, last)
        yield broken
        at = broken.start_s + broken.length_s + draw.uniform(0.0, 1.0)
        yield _playing(draw, "whole", which, example, at, tempo, habits, number + 1, 0, notes - 1)
    elif kind == "broken":
        last = draw.randint(min(LEAST_NOTES + 2, notes - 3), notes - 3)
        yield _playing(draw, "broken", which, example, at, tempo, habits, number, 0, last)
    elif kind == "fragment":
        bars = example.score.bars
        low = draw.randrange(len(bars))
        high = draw.randint(low, min(low + 1, len(bars) - 1))
        high -= (low, high) == (0, len(bars) - 1) and high > 0  # all of them are no part
        inside = [
            index
            for index, note in enumerate(example.score.lick.notes)
            if bars[low].onset <= note.onset < bars[high].end
        ]
        kind = "whole" if len(inside) == notes else kind
        yield _playing(draw, kind, which, example, at, tempo, habits, number, inside[0], inside[-1])
    elif kind == "scrap":
        first = draw.randint(0, notes - 5)
        last = first + draw.randint(2, 4)
        yield _playing(draw, "scrap", which, example, at, tempo, habits, number, first, last)
    elif kind == "noodling":
        yield _noodling(draw, examples, at)
    else:
        yield Piece(kind, -1, at, draw.uniform(2.0, 10.0) if kind == "talk" else 2.0)


def _playing(
    draw: random.Random,
    kind: str,
    which: int,
    example: Example,
    at: float,
    tempo: float,
    habits: Habits,
    number: int,
    first: int,
    last: int,
) -> Piece:
    score = example.score
    chosen = score.lick.notes[first : last + 1]
    moved = tuple(replace(note, onset=note.onset - chosen[0].onset) for note in chosen)
    length = moved[-1].onset + moved[-1].duration
    part = replace(score, lick=replace(score.lick, notes=moved, length=length))
    played = players.perform(part, tempo, habits, number)
    missing = {fault.index for fault in played.faults if fault.kind == "missing"}
    extra = {fault.onset_s for fault in played.faults if fault.kind == "extra"}
    sounded = [note for note in played.notes if note.onset_s not in extra]
    indexes = [index for index in range(len(moved)) if index not in missing]
    assert len(indexes) == len(sounded)
    truth = tuple(
        (first + index, at + note.onset_s, note.midi, note.string)
        for index, note in zip(indexes, sounded, strict=True)
    )
    end = max(note.end_s for note in played.notes)
    return Piece(
        kind if len(moved) >= LEAST_NOTES or kind == "scrap" else "scrap",
        which,
        at,
        end + draw.choice((0.05, 0.6, 1.5)),
        played,
        first,
        last,
        tempo,
        truth,
    )


def _noodling(draw: random.Random, examples: Sequence[Example], at: float) -> Piece:
    """Notes of the same scale and hand-span, in time and out of it, with cells of the lines."""
    notes: list[Sounded] = []
    now, step = 0.3, draw.choice((0.12, 0.16, 0.2, 0.28))
    home = examples[0].score.lick.notes[0].position.fret
    for _ in range(draw.randint(2, 8)):
        if draw.random() < 0.3:
            lick = draw.choice(examples).score.lick.notes
            first = draw.randrange(len(lick) - 5)
            places = [
                (n.position.string, n.position.fret)
                for n in lick[first : first + draw.randint(3, 5)]
            ]
        else:
            places = _scale_places(draw, draw.randint(3, 9), max(home - 2, 0))
        for string, fret in places:
            length = step * draw.choice((1, 1, 1, 1, 2))
            notes.append(
                Sounded(now, _OPEN[string] + fret, string, now + length, draw.randint(70, 110))
            )
            now += length + draw.uniform(0, 0.02)
        now += draw.choice((0.0, 0.0, 0.5))
    length = now + draw.choice((0.3, 1.0))
    played = Performance(examples[0].score, 60.0, tuple(notes), (), 0.3, length)
    return Piece("noodling", -1, at, length, played)


# --- sound --------------------------------------------------------------------------------------


def speech(length_s: float, start_number: int) -> Samples:
    """Speech-like sound: syllables of a buzzing source through moving resonances, and hisses."""
    draw = np.random.default_rng(start_number)
    out = np.zeros(int(length_s * RATE), np.float32)
    at, pitch = 0.1, draw.uniform(95, 210)
    while at < length_s - 0.5:
        length = draw.uniform(0.09, 0.3)
        count = int(length * RATE)
        times = np.arange(count) / RATE
        f0 = pitch * np.exp(draw.normal(0, 0.12) + draw.normal(0, 0.5) * times)
        source = scipy.signal.sawtooth(2 * np.pi * np.cumsum(f0) / RATE)
        source = source + 0.15 * draw.standard_normal(count)
        voice = np.zeros(count)
        for formant, width in ((draw.uniform(280, 850), 90), (draw.uniform(900, 2300), 130)):
            b, a = scipy.signal.iirpeak(formant, formant / width, fs=RATE)
            voice += scipy.signal.lfilter(b, a, source)
        envelope = np.minimum(1.0, np.minimum(times / 0.03, (length - times) / 0.05))
        first = int(at * RATE)
        out[first : first + count] += (0.5 * voice * envelope).astype(np.float32)
        if draw.random() < 0.4:
            hiss = int(draw.uniform(0.05, 0.12) * RATE)
            noise = scipy.signal.sosfilt(
                scipy.signal.butter(2, 3500, "high", fs=RATE, output="sos"),
                draw.standard_normal(hiss),
            )
            last = min(first + count + hiss, len(out))
            out[first + count : last] += 0.12 * noise[: last - first - count]
        at += length + draw.choice((0.02, 0.05, 0.09, 0.4), p=(0.4, 0.3, 0.2, 0.1))
    return 0.25 * out / max(float(np.abs(out).max()), 1e-6)


@lru_cache(maxsize=4096)
def _string_note(midi: int, string: int, strength: int) -> Samples:
    """A plucked string as a sum of partials, each with its own decay: two and a half seconds."""
    draw = np.random.default_rng(1000 * midi + 10 * string + strength)
    f0 = 440.0 * 2 ** ((midi - 69) / 12)
    times = np.arange(int(2.5 * RATE)) / RATE
    stiff = (1.2e-4, 8e-5, 6e-5, 3e-4, 2e-4, 1.5e-4)[string - 1] * (f0 / 200.0) ** 0.5
    number = np.arange(1, int(7000 / f0) + 1)
    hz = number * f0 * np.sqrt(1 + stiff * number**2)
    place = 0.13 + 0.02 * (string - 3)
    amplitude = np.abs(np.sin(np.pi * number * place)) / number ** (1.3 - 0.1 * strength)
    amplitude *= 1.0 + 0.6 / (1 + ((hz - 210) / 60) ** 2) + 0.4 / (1 + ((hz - 400) / 90) ** 2)
    decay = 0.5 + 1.4 * (f0 / 200.0) ** 0.4 + (hz / 1400.0) ** 1.4
    out = np.zeros(len(times))
    for one, loud, fast in zip(hz, amplitude, decay, strict=True):
        out += (
            loud * np.exp(-fast * times) * np.sin(2 * np.pi * one * times + draw.uniform(0, 6.28))
        )
    out *= np.minimum(1.0, times / 0.0015)
    click = draw.standard_normal(int(0.006 * RATE)) * np.linspace(1, 0, int(0.006 * RATE)) ** 2
    out[: len(click)] += 0.25 * np.abs(out[:2000]).max() * click
    return (out / np.abs(out[:8000]).max()).astype(np.float32)


def by_modes(performance: Performance) -> Samples:
    """Strings of another kind: see :func:`_string_note`."""
    out = np.zeros(int(performance.length_s * RATE) + RATE, np.float32)
    for note in performance.notes:
        wave = _string_note(note.midi, note.string, note.velocity // 32)
        first = round(note.onset_s * RATE)
        held = int((note.end_s - note.onset_s) * RATE)
        count = min(held + int(0.12 * RATE), len(wave), len(out) - first)
        gain = np.ones(count, np.float32)
        if count > held:
            gain[held:] = np.exp(-np.arange(count - held) / (0.02 * RATE))
        out[first : first + count] += (note.velocity / 127) * gain * wave[:count]
    return 0.3 * out


players.VOICES["modes"] = by_modes
players.VOICES["bank 24 nylon"] = lambda p: players.by_bank(p, 24)


@cache
def _room(seconds: float) -> Samples:
    """The answer of a room that has died by 60 dB after some seconds, the direct sound first."""
    draw = np.random.default_rng(7)
    times = np.arange(int(seconds * RATE)) / RATE
    tail = draw.standard_normal(len(times)) * 10 ** (-3.0 * times / seconds)
    tail = scipy.signal.sosfilt(scipy.signal.butter(1, 4500, fs=RATE, output="sos"), tail)
    tail[: int(0.008 * RATE)] = 0.0
    tail *= 0.45 / np.sqrt(np.sum(tail**2))
    tail[0] = 1.0
    return tail.astype(np.float32)


CONDITIONS = ("dry", "room 0.4 s", "room 0.9 s", "noise 25 dB", "band -12 dB")


def sound_of(piece: Piece, voice: str, condition: str, number: int) -> Samples:
    """The sound of one piece, a little longer than the piece where it rings on."""
    count = int(piece.length_s * RATE)
    if piece.kind == "talk":
        out = speech(piece.length_s, number)
    elif piece.performance is None:
        out = np.zeros(count, np.float32)
    else:
        played = piece.performance
        out = players.VOICES[voice](replace(played, length_s=max(played.length_s, piece.length_s)))
        out = 0.35 * out / max(float(np.abs(out).max()), 1e-6)
        if condition.startswith("band") and piece.named and piece.first == 0:
            out = players.with_bleed(out, played, 12.0, "straight")
        out = out[: count + RATE // 2]
    if condition.startswith("room"):
        out = scipy.signal.fftconvolve(out, _room(float(condition.split()[1]))).astype(np.float32)
    return out


def blocks_of(scene: Scene, voice: str, condition: str, start_number: int) -> Iterator[Samples]:
    """The sound of a scene, some seconds at a time, with a little noise under all of it."""
    draw = np.random.default_rng(start_number)
    level = 10 ** (-(25.0 + 20.0) / 20) if condition.startswith("noise") else 3e-4
    begun, waiting = 0, np.zeros(0, np.float32)
    for number, piece in enumerate(scene.pieces):
        first = round(piece.start_s * RATE)
        wave = sound_of(piece, voice, condition, start_number * 1000 + number)
        waiting = np.pad(waiting, (0, max(0, first + len(wave) - begun - len(waiting))))
        waiting[first - begun : first - begun + len(wave)] += wave
        done = first - begun
        yield waiting[:done] + level * draw.standard_normal(done).astype(np.float32)
        begun, waiting = begun + done, waiting[done:]
    yield waiting + level * draw.standard_normal(len(waiting)).astype(np.float32)
