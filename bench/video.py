"""Video, measured: frames a second and times real time, beside what the encoder alone needs.

Run with ``python bench/video.py``.  The lower bound sends the same number of equal frames (and,
for the finished video, the same sound) through the same encoder: no picture that has to be
encoded can be faster.  One example of the demo lesson at its slow tempo, with its own audio.
"""

from __future__ import annotations

import hashlib
import multiprocessing
import os
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

import numpy as np

from lickwright.lesson.compile.examples import Workshop
from lickwright.lesson.file.reading import load_lesson
from lickwright.score.timeline import SAMPLE_RATE
from lickwright.sound.mix.levels import level
from lickwright.sound.mix.rendering import Playing, render, start_s
from lickwright.video.film import FULL_HD, lesson_video
from lickwright.video.frames.clock import Passage, TriadNames
from lickwright.video.frames.encode import H264, OVERLAY_CODINGS, Coding, Samples, Writer
from lickwright.video.overlay import FPS, STRIP, VideoFile, overlay_video

DEMO = Path(__file__).parents[1] / "examples" / "two-triads-one-chord.yaml"
ROUNDS = 3


@dataclass(frozen=True, slots=True)
class Timed:
    """The best of some rounds."""

    frames: int
    wall_s: float
    cpu_s: float
    size: int

    def __str__(self) -> str:
        fps = self.frames / self.wall_s
        return (
            f"{fps:5.0f} fps {fps / FPS:6.1f} x real time on {self.cpu_s / self.wall_s:3.1f} cores"
            f" {self.frames / self.cpu_s / FPS:6.1f} x a core-second {self.size / 1e6:6.1f} MB"
        )


def timed(write: Callable[[Path], int]) -> Timed:
    """Write a file some times, each time anew."""
    best: Timed | None = None
    with tempfile.TemporaryDirectory() as folder:
        for turn in range(ROUNDS):
            path = Path(folder) / f"{turn}.video"
            wall, cpu = time.perf_counter(), time.process_time()
            frames = write(path)
            spent = time.perf_counter() - wall, time.process_time() - cpu
            if best is None or spent[0] < best.wall_s:
                best = Timed(frames, *spent, path.stat().st_size)
    assert best is not None
    return best


def constant(
    path: Path, coding: Coding, size: tuple[int, int], frames: int, audio: Samples | None
) -> int:
    """Equal frames through an encoder."""
    fps = Fraction(FPS)
    with Writer(path, coding, size, fps, audio=audio, sample_rate=SAMPLE_RATE) as writer:
        for _ in range(frames):
            writer.write(writer.planes.frame())
    return frames


def demo(index: int) -> tuple[Passage, Samples]:
    """An example of the demo at its slow tempo, as the build sounds it."""
    worked = Workshop(load_lesson(DEMO)).worked(index)
    score, playing = worked.score, Playing()
    audio = level(render(score, score.slow_bpm, playing)).samples
    names = tuple(TriadNames(span.onset, tuple(map(str, span.triads))) for span in worked.spans)
    begins = start_s(score, score.slow_bpm, playing)
    return Passage(score, score.slow_bpm, begins, len(audio) / SAMPLE_RATE, names), audio


def film_of(index: int, path: str) -> VideoFile:
    passage, audio = demo(index)
    return lesson_video([passage], audio, path)


def _two_processes() -> ProcessPoolExecutor:
    # Not forked: the typesetter and the encoders have threads, and a fork copies none of them.
    return ProcessPoolExecutor(2, multiprocessing.get_context("spawn"))


def main() -> None:
    passage, audio = demo(0)
    print(f"'{passage.score.name}', {passage.length_s:.1f} s, best of {ROUNDS}, load", end=" ")
    print(" ".join(f"{load:.1f}" for load in os.getloadavg()), "on", os.cpu_count(), "cores\n")

    for name, coding in OVERLAY_CODINGS.items():

        def strip(path: Path, name: str = name) -> int:
            return overlay_video(passage, path, coding=name).frames

        ours = timed(strip)

        def bound(path: Path, coding: Coding = coding, frames: int = ours.frames) -> int:
            return constant(path, coding, STRIP, frames, None)

        print(f"overlay {STRIP[0]}x{STRIP[1]} {name:10}", ours)
        print("   equal frames              ", timed(bound))

    silence = np.zeros((6 * SAMPLE_RATE, 2), np.float32)
    sound = np.concatenate([silence, audio])
    film = timed(lambda path: lesson_video([passage], audio, path).frames)
    print(f"finished {FULL_HD[0]}x{FULL_HD[1]} H.264, AAC", film)
    least = timed(lambda path: constant(path, H264, FULL_HD, film.frames, sound))
    print("   equal frames, same sound  ", least)

    with tempfile.TemporaryDirectory() as folder, _two_processes() as pool:
        list(pool.map(film_of, (0, 1), [f"{folder}/warm-{n}.mp4" for n in range(2)]))
        wall = time.perf_counter()
        files = list(pool.map(film_of, range(4), [f"{folder}/{n}.mp4" for n in range(4)]))
        spent = time.perf_counter() - wall
        seconds = sum(file.seconds for file in files)
        print(f"\nfour examples, audio and film, two processes: {seconds / spent:.1f} x real time")
        sums = []
        for turn in range(2):
            path = Path(folder) / f"again-{turn}.mp4"
            lesson_video([passage], audio, path)
            sums.append(hashlib.sha256(path.read_bytes()).hexdigest()[:12])
        print(f"same bytes twice: {'yes' if sums[0] == sums[1] else 'NO'} ({sums[0]})")


if __name__ == "__main__":
    main()
