"""Players for judging the take check: known performances of known lines, with known faults.

A performance says exactly what was played and when; a voice turns it into samples.  The voices are
different synthesisers: our own strings, the General MIDI bank through its renderer, and FluidSynth
with whatever banks this machine has.
"""

from __future__ import annotations

import io
import random
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path

import mido
import numpy as np
import numpy.typing as npt

from lickwright.lick.notes import Lick, LickNote, Stroke
from lickwright.neck.instrument import Guitar, Position
from lickwright.score.score import Bar, ChordSpan, Score
from lickwright.sound.mix.bank import bank_path, sound_midi
from lickwright.sound.mix.rendering import Playing, backing_stem, lead_stem
from lickwright.theory.chord import parse_chord
from lickwright.theory.key import parse_key
from lickwright.theory.pitch import parse_note_name, pitch_from_midi

Samples = npt.NDArray[np.float32]
RATE = 44100
KINDS = ("missing", "wrong", "early", "late", "extra")
_NAMES = [parse_note_name(n) for n in ("C", "C#", "D", "Eb", "E", "F", "F#", "G")] + [
    parse_note_name(n) for n in ("G#", "A", "Bb", "B")
]
_RECORDED_BANK = Path("/usr/share/sounds/sf2/FluidR3_GM.sf2")


@dataclass(frozen=True, slots=True)
class Sounded:
    """One note as it was really played."""

    onset_s: float
    midi: int
    string: int
    end_s: float
    velocity: int


@dataclass(frozen=True, slots=True)
class Fault:
    """One injected fault.

    Parameters
    ----------
    kind : missing, wrong, early, late or extra.
    index : the note of the score that it happens to; for an extra note, the one before it.
    midi : what was played instead or in addition.
    offset_s : how late a note was played; negative for early.
    onset_s : when an extra note was played.
    """

    kind: str
    index: int
    midi: int | None = None
    offset_s: float = 0.0
    onset_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Performance:
    """What a player did with a score."""

    score: Score
    tempo_bpm: float
    notes: tuple[Sounded, ...]
    faults: tuple[Fault, ...]
    start_s: float
    length_s: float


@dataclass(frozen=True, slots=True)
class Habits:
    """How a player plays.

    Parameters
    ----------
    jitter_s : standard deviation of every onset.
    drift : how far the tempo has moved by the end, as a share; it swings there and half back.
    fault_rate : share of the notes that get a fault.
    offset_s : smallest and largest size of a timing fault; never over 0.45 of a note's length.
    ring_s : how long a note rings on after the next one, where that is on another string.
    """

    jitter_s: float = 0.004
    drift: float = 0.0
    fault_rate: float = 0.0
    offset_s: tuple[float, float] = (0.035, 0.070)
    ring_s: float = 0.0
    start_s: tuple[float, float] = (0.3, 3.0)


# --- lines ------------------------------------------------------------------------------------


def line_score(
    places: Sequence[tuple[int, int]],
    values: Sequence[Fraction],
    guitar: Guitar | None = None,
    tempo_bpm: float = 120.0,
    name: str = "line",
) -> Score:
    """Places on the neck and their lengths as a score in 4/4 over two chords in turn."""
    guitar = guitar or Guitar()
    notes: list[LickNote] = []
    at = Fraction(0)
    for index, ((string, fret), value) in enumerate(zip(places, values, strict=True)):
        position = Position(string, fret)
        key = guitar.midi_at(position)
        stroke = (Stroke.DOWN, Stroke.UP)[index % 2]
        pitch = pitch_from_midi(key, _NAMES[key % 12])
        notes.append(LickNote(position, pitch, at, value, finger=1, stroke=stroke))
        at += value
    bars = max(1, -(-at // 4))
    chords = (("Dm9", "D F A C E", "D"), ("G13", "G B D F A E", "G"))
    key = parse_key("D dorian")
    spans = []
    for bar in range(bars):
        symbol, names, bass = chords[bar % 2]
        tones = tuple(parse_note_name(n) for n in names.split())
        spans.append(
            ChordSpan(
                Fraction(4 * bar), Fraction(4), parse_chord(symbol), tones, parse_note_name(bass)
            )
        )
    return Score(
        name,
        guitar,
        Lick(tuple(notes), Fraction(4 * bars)),
        tuple(Bar(n + 1, Fraction(4 * n), Fraction(4), 4, 4, key) for n in range(bars)),
        tuple(spans),
        tempo_bpm / 2,
        tempo_bpm,
    )


def swept_places(
    draw: random.Random, count: int, low: int = 0, high: int = 22
) -> list[tuple[int, int]]:
    """A line of arpeggios up and down the strings, a hand-span at a time."""
    places: list[tuple[int, int]] = []
    string, way = draw.choice([(6, -1), (5, -1), (1, 1), (4, -1)])
    home = draw.randint(low, high - 4)
    while len(places) < count:
        fret = draw.randint(home, home + 4)
        if not places or places[-1] != (string, fret) or draw.random() < 0.1:
            places.append((string, fret))
        if draw.random() < 0.12:
            way = -way
        if draw.random() < 0.06:
            home = min(max(low, home + draw.choice((-5, -3, -2, 2, 3, 5))), high - 4)
        if draw.random() < 0.85:
            string += way
        if not 1 <= string <= 6:
            way = -way
            string += 2 * way
    return places


RHYTHMS: dict[str, Callable[[random.Random], list[Fraction]]] = {
    "16ths": lambda _: [Fraction(1, 4)] * 4,
    "8ths": lambda _: [Fraction(1, 2)] * 2,
    "8th triplets": lambda _: [Fraction(1, 3)] * 3,
    "quintuplets": lambda _: [Fraction(1, 5)] * 5,
    "mixed": lambda draw: draw.choice(
        [
            [Fraction(1, 4)] * 4,
            [Fraction(1, 2), Fraction(1, 4), Fraction(1, 4)],
            [Fraction(1, 4), Fraction(1, 4), Fraction(1, 2)],
            [Fraction(1, 3)] * 3,
            [Fraction(1)],
        ]
    ),
}


def random_score(
    seed: int,
    tempo_bpm: float,
    rhythm: str = "16ths",
    beats: int = 16,
    low: int = 0,
    high: int = 22,
) -> Score:
    draw = random.Random(f"{seed} {rhythm}")
    values: list[Fraction] = []
    for _ in range(beats):
        values += RHYTHMS[rhythm](draw)
    return line_score(
        swept_places(draw, len(values), low, high), values, tempo_bpm=tempo_bpm, name=f"line {seed}"
    )


# --- players ----------------------------------------------------------------------------------


def perform(score: Score, tempo_bpm: float, habits: Habits, seed: int) -> Performance:
    """Play a score with habits; the same seed plays it the same way."""
    draw = random.Random(f"perform {seed}")
    lick = score.lick.notes
    start = draw.uniform(*habits.start_s)
    length = float(score.length)
    swing = draw.choice((-1, 1)) * habits.drift

    def time_of(quarters: float) -> float:
        # Tempo moves by `swing` to two thirds of the way, and half back.
        steps = np.linspace(0.0, quarters, 200)
        share = np.interp(steps / length, [0, 2 / 3, 1], [0, swing, swing / 2])
        return float(np.trapezoid(60.0 / (tempo_bpm * (1 + share)), steps))

    kinds: dict[int, str] = {}
    for index in range(len(lick)):
        near = any(index - k in kinds for k in (1, 2))
        if not near and draw.random() < habits.fault_rate * 1.3:
            last = index == len(lick) - 1  # what follows the last note is not judged
            kinds[index] = draw.choice(KINDS[: -1 if last else None])
    notes: list[Sounded] = []
    faults: list[Fault] = []
    for index, note in enumerate(lick):
        onset = start + time_of(float(note.onset)) + draw.gauss(0, habits.jitter_s)
        room = float(note.duration) * 60 / tempo_bpm
        back = float(lick[index - 1].duration) * 60 / tempo_bpm if index else 9.0
        end = onset + room
        midi = note.pitch.midi
        velocity = draw.randint(72, 112)
        kind = kinds.get(index)
        if kind == "missing":
            faults.append(Fault("missing", index))
            continue
        if kind == "wrong":
            midi += draw.choice((-3, -2, -1, 1, 2, 3))
            if midi < 40:
                midi += 12
            faults.append(Fault("wrong", index, midi))
        if kind in ("early", "late"):
            size = min(draw.uniform(*habits.offset_s), 0.45 * min(room, back))
            shift = size if kind == "late" else -size
            onset += shift
            faults.append(Fault(kind, index, offset_s=shift))
        notes.append(Sounded(onset, midi, note.position.string, end, velocity))
        if kind == "extra":
            following = lick[index + 1].pitch.midi if index + 1 < len(lick) else midi
            steps = [d for d in (-4, -3, -2, 2, 3, 4, 5) if midi + d != following]
            other = midi + draw.choice(steps)
            other = other + 12 if other < 40 else other
            at = onset + room * 0.5
            faults.append(Fault("extra", index, other, onset_s=at))
            notes.append(Sounded(at, other, note.position.string, end, velocity))
    played = []
    for place, sounded in enumerate(notes):
        end = sounded.end_s
        if place + 1 < len(notes):
            end = min(end, notes[place + 1].onset_s)
            if habits.ring_s and notes[place + 1].string != sounded.string:
                end += habits.ring_s
        for later in notes[place + 1 :]:
            if later.string == sounded.string:
                end = min(end, later.onset_s)
                break
        played.append(replace(sounded, end_s=max(end, sounded.onset_s + 0.02)))
    return Performance(
        score, tempo_bpm, tuple(played), tuple(faults), start, start + time_of(length) + 1.0
    )


# --- voices -----------------------------------------------------------------------------------


def midi_of(performance: Performance, program: int) -> bytes:
    """A performance as a MIDI file, a channel a string, a millisecond a tick."""
    events: list[tuple[int, int, mido.Message]] = [
        (0, 0, mido.Message("program_change", channel=channel, program=program))
        for channel in range(9)
    ]
    for note in performance.notes:
        on, off = round(note.onset_s * 2000), round(note.end_s * 2000)
        channel = note.string - 1
        events.append(
            (
                on,
                2,
                mido.Message("note_on", channel=channel, note=note.midi, velocity=note.velocity),
            )
        )
        events.append(
            (max(off, on + 1), 1, mido.Message("note_off", channel=channel, note=note.midi))
        )
    track = mido.MidiTrack([mido.MetaMessage("set_tempo", tempo=500_000)])
    now = 0
    for at, _, message in sorted(events, key=lambda e: e[:2]):
        track.append(message.copy(time=at - now))
        now = at
    track.append(
        mido.MetaMessage("end_of_track", time=max(round(performance.length_s * 2000) - now, 0))
    )
    file = mido.MidiFile(type=1, ticks_per_beat=1000, tracks=[track])
    buffer = io.BytesIO()
    file.save(file=buffer)
    return buffer.getvalue()


def by_bank(performance: Performance, program: int = 27) -> Samples:
    return _mono(sound_midi(midi_of(performance, program)))


def fluidsynth_path() -> str | None:
    return shutil.which("fluidsynth")


def recorded_bank() -> Path | None:
    """A second set of recorded guitars, where this machine has one."""
    return _RECORDED_BANK if _RECORDED_BANK.is_file() else None


def by_fluidsynth(performance: Performance, program: int = 27, bank: Path | None = None) -> Samples:
    import soundfile

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder)
        (path / "in.mid").write_bytes(midi_of(performance, program))
        command = [
            str(fluidsynth_path()),
            "-ni",
            "-q",
            "-r",
            str(RATE),
            "-F",
            str(path / "out.wav"),
        ]
        command += [str(bank or bank_path()), str(path / "in.mid")]
        subprocess.run(command, check=True, capture_output=True)
        samples, _ = soundfile.read(path / "out.wav", dtype="float32", always_2d=True)
    return _mono(samples)


def by_strings(performance: Performance, tone: str = "clean") -> Samples:
    """Our own strings; the performance written as a score at 60, so that a second is a quarter."""
    guitar = performance.score.guitar
    notes = []
    for index, note in enumerate(performance.notes):
        fret = note.midi - guitar.midi_at(Position(note.string, 0))
        string = note.string
        while not 0 <= fret <= guitar.last_fret:  # a wrong note lies on a neighbouring string
            string += 1 if fret < 0 else -1
            fret = note.midi - guitar.midi_at(Position(string, 0))
        onset = Fraction(round(note.onset_s * 100_000), 100_000)
        length = Fraction(round((note.end_s - note.onset_s) * 100_000), 100_000)
        pitch = pitch_from_midi(note.midi, _NAMES[note.midi % 12])
        stroke = (Stroke.DOWN, Stroke.UP)[index % 2]
        notes.append(LickNote(Position(string, fret), pitch, onset, length, stroke=stroke))
    quarters = int(performance.length_s) + 1
    key = parse_key("D dorian")
    score = replace(
        performance.score,
        lick=Lick(tuple(notes), Fraction(quarters)),
        bars=tuple(Bar(n + 1, Fraction(n), Fraction(1), 1, 4, key) for n in range(quarters)),
        chords=(),
    )
    return _mono(lead_stem(score, 60.0, Playing(tone=tone, count_in_bars=0)))


VOICES: dict[str, Callable[[Performance], Samples]] = {
    "strings clean": lambda p: by_strings(p, "clean"),
    "strings driven": lambda p: by_strings(p, "driven"),
    "bank 25 steel": lambda p: by_bank(p, 25),
    "bank 26 jazz": lambda p: by_bank(p, 26),
    "bank 27 clean": lambda p: by_bank(p, 27),
    "bank 29 overdriven": lambda p: by_bank(p, 29),
}
if fluidsynth_path():
    VOICES["FluidSynth 27 clean"] = lambda p: by_fluidsynth(p, 27)
    if recorded_bank():
        for _program, _name in (
            (24, "nylon"),
            (25, "steel"),
            (26, "jazz"),
            (27, "clean"),
            (29, "overdriven"),
            (30, "distorted"),
        ):
            VOICES[f"FluidR3 {_program} {_name}"] = lambda p, program=_program: by_fluidsynth(
                p, program, recorded_bank()
            )


def with_noise(samples: Samples, snr_db: float, seed: int) -> Samples:
    """White noise under a take, at a signal-to-noise ratio over the whole of it."""
    noise = np.random.default_rng(seed).standard_normal(len(samples)).astype(np.float32)
    level = np.sqrt(np.mean(samples.astype(float) ** 2)) * 10 ** (-snr_db / 20)
    return samples + noise * np.float32(level)


def with_bleed(
    samples: Samples, performance: Performance, below_db: float, feel: str = "straight"
) -> Samples:
    """The band under a take, its level so far below the lead's, at the tempo of the score."""
    score = performance.score
    band = _mono(backing_stem(score, performance.tempo_bpm, Playing(count_in_bars=0, feel=feel)))
    first = round(performance.start_s * RATE)
    under = np.zeros_like(samples)
    room = under[first : first + len(band)]
    room += band[: len(room)]
    level = np.sqrt(
        np.mean(samples.astype(float) ** 2) / max(np.mean(under.astype(float) ** 2), 1e-12)
    )
    return samples + under * np.float32(level * 10 ** (-below_db / 20))


def _mono(samples: Samples) -> Samples:
    return samples.mean(axis=1).astype(np.float32)
