"""How surely are the playings of a lesson found in a long recording, and how exactly placed?

Run with ``python bench/film.py [MINUTES [NUMBERS [VOICES [CONDITIONS]]]]``, lists with commas.
Each row is one recording of a voice in a room (see ``bench/film_scenes.py``; numbers below zero
play the demo lesson), decoded from a FLAC file as a teacher's would be.

* F1, worst: playings found: the same notes of the same line, and half of the time in common.
* wrong name: playings found where something with other notes was played.
* false: playings found where nothing of the lesson was played.
* bars: of bars played alone and of playings broken off, those that are named by their very bars.
* ms, ms 95 %: distance of every placed note from where its sample is 20 % up.
* DTW: F1 of librosa's subsequence alignment of chroma, which is told how often each line is played
  and in which direction to look: the best places that do not overlap.
"""

from __future__ import annotations

import os

os.environ.update(OPENBLAS_NUM_THREADS="1", OMP_NUM_THREADS="1", NUMBA_NUM_THREADS="1")

import resource
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import soundfile

sys.path.insert(0, str(Path(__file__).parent))

import film_scenes
import take as take_bench
from film_scenes import Example, Piece, Scene
from lickwright.take.finding import Playthrough, find_playings, listen_through
from lickwright.take.listening import read_recording
from take_players import RATE

#: The finder's costs were set on scenes 1 to 9 in "strings clean" and "bank 27 clean".
VOICES = ("modes", "FluidR3 24 nylon", "FluidR3 25 steel", "FluidR3 29 overdriven", "bank 24 nylon")
MINUTES = 3.0
#: librosa's alignment holds the whole matrix: it is asked about recordings up to this length.
_LONGEST_DTW_S = 400.0
_OVERLAP = 0.5


@dataclass
class Tally:
    """Sums over recordings."""

    found: int = 0
    true: int = 0
    told: int = 0
    wrong: int = 0
    false: int = 0
    parts: int = 0
    parts_named: int = 0
    off_s: list[float] = field(default_factory=list)
    misses: list[str] = field(default_factory=list)

    @property
    def f1(self) -> float:
        return 2 * self.found / max(self.true + self.told, 1)

    def __str__(self) -> str:
        off = 1000 * np.array(self.off_s or [np.nan])
        return (
            f"{self.true} | {self.f1:.3f} | {self.wrong} | {self.false}"
            f" | {self.parts_named}/{self.parts}"
            f" | {np.median(off):.1f} | {np.percentile(off, 95):.1f}"
        )


def _interval(piece: Piece) -> tuple[float, float]:
    lick = piece.performance.score.lick.notes  # type: ignore[union-attr]
    onsets = [onset for _, onset, _, _ in piece.played]
    return onsets[0], onsets[-1] + 60 * float(lick[-1].duration) / piece.tempo_bpm


def _content(example: Example, first: int, last: int) -> list[tuple[int, float]]:
    """Pitches, and lengths of steps against the first: what is the same at any tempo."""
    notes = example.score.lick.notes[first : last + 1]
    steps = np.diff([float(n.onset) for n in notes])
    return [(n.pitch.midi, round(s / steps[0], 3)) for n, s in zip(notes[1:], steps, strict=True)]


def _same(scene: Scene, playing: Playthrough, piece: Piece) -> bool:
    """Whether a playing has the very notes that were played, under whichever name."""
    if playing.line == piece.example:
        return playing.first <= piece.last and playing.last >= piece.first
    told = _content(scene.examples[playing.line], playing.first, playing.last)
    true = _content(scene.examples[piece.example], piece.first, piece.last)
    short, long = sorted((told, true), key=len)
    return any(long[k : k + len(short)] == short for k in range(len(long) - len(short) + 1))


def tally(scene: Scene, playings: Sequence[Playthrough], voice: str) -> Tally:
    """What was found against what was played."""
    result = Tally()
    pieces = [
        piece for piece in scene.pieces if piece.kind in ("whole", "broken", "fragment", "scrap")
    ]
    taken: set[int] = set()
    for playing in playings:
        shares = [_overlap((playing.start_s, playing.end_s), _interval(p)) for p in pieces]
        best = int(np.argmax(shares)) if shares else -1
        if best < 0 or shares[best] == 0.0:
            result.told += 1
            result.false += 1
            result.misses.append(
                f"false {playing.start_s:.1f} {playing.score.name} {playing.sure:.2f}"
            )
            continue
        piece = pieces[best]
        if not _same(scene, playing, piece):
            result.told += 1
            result.wrong += 1
            result.misses.append(
                f"wrong {playing.start_s:.1f} {playing.score.name} {playing.sure:.2f}"
            )
        elif piece.named:
            result.told += 1
            if shares[best] >= _OVERLAP and best not in taken:
                taken.add(best)
                result.found += 1
                _note(result, scene, playing, piece, voice)
            else:
                result.misses.append(f"twice or short {playing.start_s:.1f} {playing.score.name}")
    for index, piece in enumerate(pieces):
        if piece.named:
            result.true += 1
            result.parts += piece.kind != "whole"
            if index not in taken:
                result.misses.append(
                    f"missed {piece.kind} {piece.start_s:.1f} line {piece.example + 1}"
                )
    return result


def _note(result: Tally, scene: Scene, playing: Playthrough, piece: Piece, voice: str) -> None:
    """Bars of parts, and how far every note lies from where it sounded."""
    if piece.kind != "whole":
        score = scene.examples[piece.example].score
        lick = score.lick.notes
        sounded = [index for index, _, _, _ in piece.played]
        bars = [
            bar.number
            for bar in score.bars
            if any(bar.onset <= lick[i].onset < bar.end for i in (sounded[0], sounded[-1]))
        ]
        other = playing.line != piece.example
        named = other or (not playing.whole and playing.bars == (bars[0], bars[-1]))
        result.parts_named += named
        if not named:
            result.misses.append(f"bars {piece.start_s:.1f} {playing.bars} for {bars} {piece.kind}")
    late = take_bench.latencies_s(voice, tuple(sorted({(m, s) for _, _, m, s in piece.played})))
    true = [(onset + late[midi, string], midi) for _, onset, midi, string in piece.played]
    for note in playing.notes:
        if note.heard_s is not None:
            near = [abs(note.heard_s - onset) for onset, midi in true if midi == note.heard_midi]
            if near and min(near) < 0.15:
                result.off_s.append(min(near))


def _overlap(one: tuple[float, float], other: tuple[float, float]) -> float:
    """What two stretches have in common, of all that they cover."""
    common = min(one[1], other[1]) - max(one[0], other[0])
    return max(common, 0.0) / (max(one[1], other[1]) - min(one[0], other[0]))


def baseline(scene: Scene, path: Path) -> float:
    """F1 of librosa's subsequence DTW, which is told how often each line was played."""
    import librosa

    wave, rate = librosa.load(path, sr=22050)
    hop = 2048
    heard = librosa.feature.chroma_stft(y=wave, sr=rate, hop_length=hop)
    seconds = hop / rate
    times = Counter(piece.example for piece in scene.pieces if piece.named)
    told: list[tuple[float, int, float, float]] = []
    for number, count in times.items():
        score = scene.examples[number].score
        step_s = 60.0 / score.target_bpm
        query = np.full((12, int(float(score.length) * step_s / seconds) + 1), 1e-3)
        for note in score.lick.notes:
            low, high = (int(float(q) * step_s / seconds) for q in (note.onset, note.end))
            query[note.pitch.midi % 12, low : high + 1] += 1.0
        cost, _ = librosa.sequence.dtw(query, heard, metric="cosine", subseq=True, backtrack=True)
        last = cost[-1].copy()
        for _ in range(count):
            end = int(np.argmin(last))
            begin = max(end - 2 * query.shape[1], 0)
            part = librosa.sequence.dtw(
                query, heard[:, begin : end + 1], metric="cosine", subseq=True
            )[1]
            start = begin + int(part[-1, 1])
            told.append((float(last[end]), number, start * seconds, end * seconds))
            last[max(start, 0) : end + query.shape[1] // 2] = np.inf
    pieces = [piece for piece in scene.pieces if piece.named]
    found = {
        place
        for place, piece in enumerate(pieces)
        for _, number, start, end in told
        if number == piece.example and _overlap((start, end), _interval(piece)) >= _OVERLAP
    }
    return 2 * len(found) / max(len(pieces) + len(told), 1)


def main(
    minutes: float, numbers: Sequence[int], voices: Sequence[str], conditions: Sequence[str]
) -> None:
    print(
        "| voice | condition | played | F1 | wrong name | false | bars | ms | ms 95 %"
        " | x real time | DTW |"
    )
    print("|---|---|---|---|---|---|---|---|---|---|---|")
    every: list[float] = []
    for voice in voices:
        for condition in conditions:
            for number in numbers:
                examples = film_scenes.demo_lesson() if number < 0 else None
                scene = film_scenes.scene(number, minutes, examples=examples)
                with tempfile.TemporaryDirectory() as folder:
                    path = Path(folder, "film.flac")
                    with soundfile.SoundFile(path, "w", RATE, 1, "PCM_16") as file:
                        for block in film_scenes.blocks_of(scene, voice, condition, number):
                            file.write(np.clip(block, -1, 1))
                    wall, begun = time.perf_counter(), time.process_time()
                    scores = [example.score for example in scene.examples]
                    listened = listen_through(read_recording(path), scores[0].guitar)
                    playings = find_playings(scores, listened)
                    wall = time.perf_counter() - wall
                    spent = time.process_time() - begun
                    plain = baseline(scene, path) if scene.length_s < _LONGEST_DTW_S else None
                result = tally(scene, playings, voice)
                every.append(result.f1)
                print(
                    f"| {voice} | {condition} | {result} | {scene.length_s / spent:.0f} cpu"
                    f" {scene.length_s / wall:.0f} wall"
                    f" | {'' if plain is None else f'{plain:.2f}'} |",
                    flush=True,
                )
                for miss in result.misses:
                    print("   ", number, miss, file=sys.stderr, flush=True)
    print(f"\nF1 mean {np.mean(every):.3f}, worst {min(every):.3f}; ", end="")
    print(f"most memory {resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024:.0f} MB")


if __name__ == "__main__":
    words = sys.argv[1:]
    main(
        float(words[0]) if words else MINUTES,
        [int(n) for n in (words[1] if len(words) > 1 else "101").split(",")],
        words[2].split(",") if len(words) > 2 else VOICES,
        words[3].split(",") if len(words) > 3 else film_scenes.CONDITIONS,
    )
