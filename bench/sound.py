"""Sound, measured: speed, tuning, what another ear reads back, loudness.

Run with ``python bench/sound.py``.  Everything runs on one core.  FluidSynth is timed beside us
where its command is installed; the bank's own recorded guitars are the yardstick for brightness
and decay.
"""

from __future__ import annotations

import os

os.environ.update(OPENBLAS_NUM_THREADS="1", OMP_NUM_THREADS="1", NUMBA_NUM_THREADS="1")

import io
import random
import shutil
import subprocess
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import librosa
import mido
import numpy as np
import numpy.typing as npt
import scipy.signal

from lickwright.lick.notes import Lick, LickNote, Stroke
from lickwright.neck.instrument import Guitar, Position
from lickwright.score.score import Bar, ChordSpan, Score
from lickwright.score.timeline import SAMPLE_RATE
from lickwright.sound.midi import midi_bytes
from lickwright.sound.mix.bank import bank_path, sound_midi
from lickwright.sound.mix.files import audio_file
from lickwright.sound.mix.rendering import Playing, lead_stem, render, start_s
from lickwright.sound.strings.amplifier import TONES, amplify
from lickwright.sound.strings.pluck import lead
from lickwright.theory.chord import parse_chord
from lickwright.theory.key import Key
from lickwright.theory.pitch import parse_note_name, pitch_from_midi

Samples = npt.NDArray[np.float32]

_NAMES = [parse_note_name(name) for name in ("C", "C#", "D", "Eb", "E", "F", "F#", "G")] + [
    parse_note_name(name) for name in ("G#", "A", "Bb", "B")
]
_SWEEP = (
    *((5, 12), (4, 10), (3, 10), (2, 10), (1, 8), (1, 12), (2, 10), (3, 9)),
    *((4, 10), (5, 12), (5, 8), (4, 10), (3, 9), (2, 10), (1, 12), (1, 8)),
)
_CHORDS = (("Dm9", "D F A C E", "D"), ("G13", "G B D F A E", "G"))


def score_of(places: list[tuple[int, int]], value: Fraction = Fraction(1, 4)) -> Score:
    """A line of equal notes in 4/4 over two chords in turn."""
    guitar = Guitar()
    notes = []
    for index, (string, fret) in enumerate(places):
        position = Position(string, fret)
        key = guitar.midi_at(position)
        stroke = (Stroke.DOWN, Stroke.UP)[index % 2]
        pitch = pitch_from_midi(key, _NAMES[key % 12])
        notes.append(LickNote(position, pitch, index * value, value, stroke=stroke))
    bars = -(-len(places) * value // 4)
    key = Key(_NAMES[2], "dorian")
    spans = []
    for bar in range(bars):
        symbol, names, bass = _CHORDS[bar % 2]
        classes = tuple(parse_note_name(name) for name in names.split())
        spans.append(
            ChordSpan(
                Fraction(4 * bar), Fraction(4), parse_chord(symbol), classes, parse_note_name(bass)
            )
        )
    return Score(
        "bench",
        guitar,
        Lick(tuple(notes), Fraction(4 * bars)),
        tuple(Bar(n + 1, Fraction(4 * n), Fraction(4), 4, 4, key) for n in range(bars)),
        tuple(spans),
        66.0,
        112.0,
    )


def seconds_for(work: Callable[[], object], rounds: int = 5) -> float:
    """The best of some rounds, after one that warms up."""
    work()
    best = float("inf")
    for _ in range(rounds):
        begin = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - begin)
    return best


def line(label: str, text: str) -> None:
    print(f"  {label:<46}{text}")


def speed() -> None:
    print("Speed, one core, a lead lick of sixteenths at 112 with its band")
    score = score_of(list(_SWEEP) * 4)
    wave = render(score, 112)
    length = len(wave) / SAMPLE_RATE
    steps: dict[str, Callable[[], object]] = {}
    for name, tone in TONES.items():
        raw = lead(score, 112, start_s=0.0, samples=len(wave), pickup=tone.pickup)
        steps[f"strings, as the {name} pickup hears them"] = lambda tone=tone: lead(
            score, 112, start_s=0.0, samples=len(wave), pickup=tone.pickup
        )
        steps[f"amplifier, cabinet and room, {name}"] = lambda raw=raw, tone=tone: amplify(
            raw, tone
        )
        steps[f"lead, {name}, whole"] = lambda name=name: lead_stem(score, 112, Playing(tone=name))
    steps["mix: count-in, lead, band"] = lambda: render(score, 112)
    steps["mix and a WAV at its loudness, measured"] = lambda: audio_file(render(score, 112))
    steps["the same, driven"] = lambda: audio_file(render(score, 112, Playing(tone="driven")))
    steps["mix and an Ogg file"] = lambda: audio_file(render(score, 112), "ogg")
    midi = midi_bytes(score, 112)
    steps["bank renderer alone, the same MIDI, lead too"] = lambda: sound_midi(midi)
    for label, work in steps.items():
        taken = seconds_for(work)
        line(label, f"{1000 * taken:7.1f} ms  {length / taken:6.0f} x real time")
    fluidsynth = shutil.which("fluidsynth")
    if fluidsynth is None:
        line("FluidSynth, the same MIDI", "not installed here")
        return
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder)
        (path / "in.mid").write_bytes(midi)
        command = [fluidsynth, "-ni", "-q", "-r", "44100", "-F", str(path / "out.wav")]
        command += [str(bank_path()), str(path / "in.mid")]
        taken = seconds_for(lambda: subprocess.run(command, check=True, capture_output=True), 3)
    line(
        "FluidSynth, the same MIDI, start-up included",
        f"{1000 * taken:7.1f} ms  {length / taken:6.0f} x real time",
    )


def peak_hz(wave: Samples, near_hz: float) -> float:
    """FFT peak of a Hann-windowed stretch, refined by a parabola on the logarithm."""
    size = 1 << 19
    spectrum = np.abs(np.fft.rfft(wave * np.hanning(len(wave)), size))
    low, high = (int(near_hz * r * size / SAMPLE_RATE) for r in (0.95, 1.05))
    at = low + int(np.argmax(spectrum[low:high]))
    a, b, c = np.log(spectrum[at - 1 : at + 2])
    return float((at + 0.5 * (a - c) / (a - 2 * b + c)) * SAMPLE_RATE / size)


def loop_string(hz: float, samples: int) -> Samples:
    """The design we did not take: an extended Karplus-Strong loop (Jaffe and Smith 1983), a delay
    with a two-point loss filter and third-order Lagrange tuning, as one recursive filter."""
    period = SAMPLE_RATE / hz - 0.5  # the two-point average delays by half a sample
    whole = int(period) - 1
    part = period - whole
    fraction = [np.prod([(part - m) / (k - m) for m in range(4) if m != k]) for k in range(4)]
    feedback = np.zeros(whole + 5)
    feedback[0] = 1.0
    feedback[whole : whole + 5] = -0.997 * np.convolve(fraction, [0.5, 0.5])
    burst = np.zeros(samples)
    burst[: int(period)] = np.random.default_rng(0).uniform(-1, 1, int(period))
    return scipy.signal.lfilter([1.0], feedback, burst).astype(np.float32)


def tuning() -> None:
    print("Tuning, 6 strings x 25 places, error of the first partial")
    worst, worst_loop, modal_s, loop_s = 0.0, 0.0, 0.0, 0.0
    length = SAMPLE_RATE
    for string in range(1, 7):
        for fret in range(25):
            score = score_of([(string, fret)], Fraction(4))
            hz = 440 * 2 ** ((score.guitar.midi_at(Position(string, fret)) - 69) / 12)
            wave = lead_stem(score, 120, Playing(count_in_bars=0))[:, 0]
            heard = peak_hz(wave[4410 : 4410 + length], hz)
            worst = max(worst, abs(1200 * np.log2(heard / hz)))
            begin = time.perf_counter()
            lead(score, 240, start_s=0.0, samples=length, pickup=TONES["clean"].pickup)
            modal_s += time.perf_counter() - begin
            begin = time.perf_counter()
            wave = loop_string(hz, length)
            loop_s += time.perf_counter() - begin
            heard = peak_hz(wave[4410:], hz)
            worst_loop = max(worst_loop, abs(1200 * np.log2(heard / hz)))
    line("our strings (modes): worst error", f"{worst:.3f} cents, {150 / modal_s:.0f} x real time")
    line(
        "Karplus-Strong loop in scipy: worst error",
        f"{worst_loop:.3f} cents, {150 / loop_s:.0f} x real time",
    )


def readback() -> None:
    print("Read back by librosa, lead alone")
    draw = random.Random(11)
    neck = [(string, fret) for string in range(6, 0, -1) for fret in range(25)]
    lines = {
        "sweep": list(_SWEEP) * 4,
        "whole neck": neck,
        "random": [(draw.randint(1, 6), draw.randint(0, 24)) for _ in range(160)],
    }
    for tone in TONES:
        for tempo in (66, 88, 112):
            right, total, offs = 0, 0, []
            for places in lines.values():
                found, errors = ear(score_of(places), tempo, tone)
                right += found
                total += len(places)
                offs += errors
            late = 1000 * np.abs(offs)
            line(
                f"{tone}, sixteenths at {tempo}",
                f"{right} of {total} pitches; {np.sum(late < 10)} of {total} onsets within 10 ms, "
                f"median {np.median(late):.1f} ms",
            )


def ear(score: Score, tempo: float, tone: str) -> tuple[int, list[float]]:
    """Notes whose pitch YIN gives, and the distance to the nearest detected onset, in seconds."""
    hop, frame = 128, 2048
    playing = Playing(tone=tone)
    start = start_s(score, tempo, playing)
    wave = lead_stem(score, tempo, playing).mean(axis=1)
    hz = librosa.yin(
        wave, fmin=70, fmax=1500, sr=SAMPLE_RATE, frame_length=frame, hop_length=hop, center=False
    )
    strength = librosa.onset.onset_strength(y=wave, sr=SAMPLE_RATE, hop_length=hop)
    onsets = librosa.onset.onset_detect(
        onset_envelope=strength, sr=SAMPLE_RATE, hop_length=hop, units="time"
    )
    right, errors = 0, []
    for note in score.lick.notes:
        begin, end = (start + float(at) * 60 / tempo for at in (note.onset, note.end))
        first = int(np.ceil(begin * SAMPLE_RATE / hop))
        last = max(int((end * SAMPLE_RATE - frame) / hop), first + 1)
        heard = round(float(np.median(librosa.hz_to_midi(hz[first:last]))))
        right += heard == note.pitch.midi
        errors.append(float(np.abs(onsets - begin).min()))
    return right, errors


def levels() -> None:
    print("Loudness and true peak of the files, target -16 LUFS and -1 dBTP")
    score = score_of(list(_SWEEP) * 2)
    for tone in TONES:
        for feel in ("drone", "chords", "straight", "shuffle"):
            file = audio_file(render(score, 112, Playing(tone=tone, feel=feel)))
            line(
                f"{tone}, {feel}", f"{file.loudness_lufs:.2f} LUFS, {file.true_peak_dbtp:.2f} dBTP"
            )


def recorded(program: int, key: int) -> Samples:
    """A note of the bank's recorded guitar, four seconds, its effects off."""
    track = mido.MidiTrack()
    for controller in (91, 93):
        track.append(mido.Message("control_change", control=controller, value=0))
    track.append(mido.Message("program_change", program=program))
    track.append(mido.Message("note_on", note=key, velocity=100))
    track.append(mido.Message("note_off", note=key, time=8 * 480))
    file = mido.MidiFile(type=1, ticks_per_beat=480, tracks=[track])
    buffer = io.BytesIO()
    file.save(file=buffer)
    return sound_midi(buffer.getvalue())[:, 0]


def colour(wave: Samples) -> str:
    """Spectral centroid from 50 to 250 ms, and decay from 0.1 to 0.9 s."""
    wave = wave[int(np.argmax(np.abs(wave) > 0.05 * np.abs(wave).max())) :]
    stretch = wave[2205:11025]
    power = np.abs(np.fft.rfft(stretch * np.hanning(len(stretch)))) ** 2
    hz = np.fft.rfftfreq(len(stretch), 1 / SAMPLE_RATE)
    centroid = float((power * hz).sum() / power.sum())
    early, late = (
        10 * np.log10(np.mean(wave[at : at + 4410].astype(float) ** 2)) for at in (4410, 39690)
    )
    return f"{centroid:5.0f} Hz {(early - late) / 0.8:5.1f} dB/s"


def colours() -> None:
    print("Brightness and decay beside recorded guitars (General MIDI 27 jazz, 28 clean)")
    for string, fret in ((6, 0), (5, 7), (4, 7), (3, 9), (2, 8), (1, 8), (1, 12), (1, 20)):
        score = score_of([(string, fret)], Fraction(8))
        key = score.guitar.midi_at(Position(string, fret))
        ours = lead_stem(score, 120, replace(Playing(), count_in_bars=0))[:, 0]
        line(
            f"string {string} fret {fret}",
            f"ours {colour(ours)}   jazz {colour(recorded(26, key))}   "
            f"clean {colour(recorded(27, key))}",
        )


if __name__ == "__main__":
    speed()
    tuning()
    readback()
    levels()
    colours()
