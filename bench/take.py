"""How well is a take heard?  Known performances, known faults, several synthesisers.

Run with ``python bench/take.py`` (needs the extra ``test``; FluidSynth's command where installed).
Every row is the same 12 performances: sixteenths, triplets, quintuplets and mixed values at 60 to
160 quarter notes a minute, from the low E to fret 22, with a fault on every seventh note.  A plain
baseline hears the first three of the same: librosa's onsets, and the median of pYIN between them.

* F1: notes by ``mir_eval.transcription``, onset within 50 ms and pitch within a quarter tone.
* faults: missing, wrong pitch (which), early, late (over 25 ms), extra; precision and recall.
* ms: median and 95th percentile of the distance of a heard onset from where the sample of that
  note is 20 % up, measured on the note alone.
"""

from __future__ import annotations

import os

os.environ.update(OPENBLAS_NUM_THREADS="1", OMP_NUM_THREADS="1", NUMBA_NUM_THREADS="1")

import sys
import time
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from pathlib import Path

import mir_eval
import numpy as np
import scipy.signal

sys.path.insert(0, str(Path(__file__).parent))

import take_players as players
from lickwright.take.judging.check import check_take
from lickwright.take.listening.recording import recording_of
from lickwright.take.report import NoteVerdict, Take
from take_players import RATE, VOICES, Fault, Habits, Performance, Samples, Sounded

TEMPI = (160, 120, 150, 100, 60, 140, 90, 112)
RHYTHMS = ("16ths", "mixed", "16ths", "8th triplets", "16ths", "quintuplets")
RINGS_S = (0.0, 0.12, 0.06)
FEELS = ("straight", "chords", "vamp")
#: pYIN is slow: the baseline hears so many of the performances of each row.
BASELINE_TAKES = 3
#: The beliefs of :mod:`lickwright.take.listening.events` were fitted to other lines of the first
#: five; the rest are unseen.
JUDGED = (
    *("strings clean", "strings driven", "bank 25 steel", "bank 27 clean", "FluidR3 27 clean"),
    *("FluidSynth 27 clean", "FluidR3 24 nylon", "FluidR3 25 steel", "FluidR3 29 overdriven"),
    "FluidR3 30 distorted",
)
CONDITIONS = ("clean", "drift 3 %", "noise 20 dB", "band -12 dB")
#: A pitch and the string it is played on.
Note = tuple[int, int]
#: A moment in seconds and a pitch.
Heard = tuple[float, int]
_APART_S = 1.2

_KIND = {
    NoteVerdict.MISSING: "missing",
    NoteVerdict.WRONG: "wrong",
    NoteVerdict.EARLY: "early",
    NoteVerdict.LATE: "late",
}


def performance(seed: int, condition: str, fault_rate: float = 0.14) -> Performance:
    """The performance of a seed; a band keeps its tempo, so its player does too."""
    tempo = TEMPI[seed % len(TEMPI)]
    score = players.random_score(seed, tempo, RHYTHMS[seed % len(RHYTHMS)])
    drift = 0.0 if condition in ("clean", "band -12 dB") else 0.03
    habits = Habits(ring_s=RINGS_S[seed % 3], drift=drift, jitter_s=0.003, fault_rate=fault_rate)
    return players.perform(score, tempo, habits, seed)


def audio(voice: str, played: Performance, condition: str, seed: int) -> Samples:
    samples = VOICES[voice](played)
    if condition.startswith("noise"):
        return players.with_noise(samples, 20.0, seed)
    if condition.startswith("band"):
        return players.with_bleed(samples, played, 12.0, FEELS[seed % 3])
    return samples


@cache
def latencies_s(voice: str, notes: tuple[Note, ...]) -> dict[Note, float]:
    """How long after its start each note of a voice is 20 % up, every note on its own."""
    score = players.line_score([(3, 5)], [Fraction(4)])
    alone = tuple(
        Sounded(0.3 + _APART_S * i, midi, string, 0.6 + _APART_S * i, 92)
        for i, (midi, string) in enumerate(notes)
    )
    length = 0.3 + _APART_S * len(notes)
    samples = VOICES[voice](Performance(score, 60.0, alone, (), 0.3, length))
    band = scipy.signal.butter(2, [60, 5000], "band", fs=RATE, output="sos")
    wave = np.abs(scipy.signal.sosfiltfilt(band, samples))
    found = {}
    for note, key in zip(alone, notes, strict=True):
        first = round(note.onset_s * RATE)
        near = wave[first : first + int(0.3 * RATE)]
        found[key] = float(np.argmax(near > 0.2 * near.max()) / RATE)
    return found


def truth(voice: str, played: Performance) -> list[Heard]:
    """When and at which pitch each note really sounded."""
    late = latencies_s(voice, tuple(sorted({(n.midi, n.string) for n in played.notes})))
    return [(n.onset_s + late[n.midi, n.string], n.midi) for n in played.notes]


def heard_notes(take: Take) -> list[Heard]:
    notes = [(n.heard_s, n.heard_midi) for n in take.notes]
    found = [(time, midi) for time, midi in notes if time is not None and midi is not None]
    return sorted(found + [(extra.heard_s, extra.midi) for extra in take.extras])


def f1(reference: Sequence[Heard], estimate: Sequence[Heard]) -> float:
    """Note F1 at 50 ms and a quarter tone, lengths aside."""
    if not estimate:
        return 0.0
    arrays = []
    for notes in (reference, estimate):
        arrays.append(np.array([(time, time + 0.1) for time, _ in notes]))
        arrays.append(440.0 * 2.0 ** ((np.array([midi for _, midi in notes], float) - 69) / 12))
    score = mir_eval.transcription.precision_recall_f1_overlap(*arrays, offset_ratio=None)
    return float(score[2])


@dataclass
class Tally:
    """Sums over the performances of a row."""

    f1: list[float] = field(default_factory=list)
    right: int = 0
    false: int = 0
    missed: int = 0
    off_s: list[float] = field(default_factory=list)
    seconds: float = 0.0
    audio_s: float = 0.0

    @property
    def precision(self) -> float:
        return self.right / max(self.right + self.false, 1)

    @property
    def recall(self) -> float:
        return self.right / max(self.right + self.missed, 1)

    def add(self, take: Take, played: Performance, reference: Sequence[Heard]) -> None:
        estimate = heard_notes(take)
        self.f1.append(f1(reference, estimate))
        right, false, missed = faults(take, played.faults)
        self.right += right
        self.false += false
        self.missed += missed
        for time_s, midi in estimate:
            near = [abs(time_s - at) for at, key in reference if key == midi]
            if near and min(near) < 0.05:
                self.off_s.append(min(near))

    def __str__(self) -> str:
        off = 1000 * np.array(self.off_s)
        return (
            f"{np.mean(self.f1):.3f} | {min(self.f1):.3f} | {self.precision:.2f} | "
            f"{self.recall:.2f} | {np.median(off):.1f} | {np.percentile(off, 95):.1f}"
        )


def faults(take: Take, injected: Sequence[Fault]) -> tuple[int, int, int]:
    """Faults told rightly, told falsely, and missed.

    A wrong pitch counts when its pitch is told; an extra note within 50 ms and at its pitch.
    """
    true = {fault.index: fault for fault in injected if fault.kind != "extra"}
    told = {note.index: note for note in take.notes if note.verdict in _KIND}
    right = 0
    for index, fault in true.items():
        note = told.get(index)
        if note is not None and _KIND[note.verdict] == fault.kind:
            right += fault.midi is None or note.heard_midi == fault.midi
    extras = [fault for fault in injected if fault.kind == "extra"]
    matched = sum(
        any(abs(e.heard_s - x.onset_s) < 0.05 and e.midi == x.midi for e in take.extras)
        for x in extras
    )
    false = len(told) - right + len(take.extras) - matched
    return right + matched, false, len(true) - right + len(extras) - matched


def baseline(samples: Samples) -> list[Heard]:
    """librosa's onsets, and the median of pYIN up to the next one."""
    import librosa

    wave = librosa.resample(samples, orig_sr=RATE, target_sr=22050)
    onsets = librosa.onset.onset_detect(y=wave, sr=22050, hop_length=256, units="time")
    hz, _, _ = librosa.pyin(wave, fmin=75, fmax=1400, sr=22050, frame_length=2048, hop_length=256)
    times = librosa.times_like(hz, sr=22050, hop_length=256)
    notes = []
    for onset, end in zip(onsets, [*onsets[1:], len(wave) / 22050], strict=True):
        inside = hz[(times >= onset) & (times < min(end, onset + 0.5))]
        inside = inside[np.isfinite(inside)]
        if len(inside):
            notes.append((float(onset), round(float(np.median(librosa.hz_to_midi(inside))))))
    return notes


def judge(voice: str, condition: str, seeds: Sequence[int]) -> tuple[Tally, list[float]]:
    """The row of a voice and a condition, and the baseline's F1."""
    tally, plain = Tally(), []
    for seed in seeds:
        played = performance(seed, condition)
        samples = audio(voice, played, condition, seed)
        reference = truth(voice, played)
        begin = time.perf_counter()
        take = check_take(played.score, recording_of(samples, RATE))
        tally.seconds += time.perf_counter() - begin
        tally.audio_s += len(samples) / RATE
        tally.add(take, played, reference)
        if len(plain) < BASELINE_TAKES:
            plain.append(f1(reference, baseline(samples)))
    return tally, plain


def main(seeds: Sequence[int]) -> None:
    print("| voice | condition | F1 | worst | fault P | fault R | ms | ms 95 % | onset+pYIN F1 |")
    print("|---|---|---|---|---|---|---|---|---|")
    spent = sounded = 0.0
    for voice in filter(VOICES.__contains__, JUDGED):
        for condition in CONDITIONS:
            tally, plain = judge(voice, condition, seeds)
            print(f"| {voice} | {condition} | {tally} | {np.mean(plain):.2f} |", flush=True)
            spent += tally.seconds
            sounded += tally.audio_s
    print(
        f"\n{sounded:.0f} s of audio checked in {spent:.0f} s: {sounded / spent:.0f} x real time."
    )


if __name__ == "__main__":
    main(range(1000, 1012))
