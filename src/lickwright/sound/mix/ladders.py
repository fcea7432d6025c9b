"""A tempo ladder: the same example from slow to target, rung by rung, in one piece of audio."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lickwright.lick.hands import tempo_rungs
from lickwright.score import SAMPLE_RATE, Score, seconds
from lickwright.sound.mix.rendering import Playing, render, start_s

Samples = npt.NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Rung:
    """One tempo of a ladder; times in seconds from the start of the audio.

    Parameters
    ----------
    start_s : the first click of its count-in.
    music_s, end_s : its first and last bar line.
    """

    tempo_bpm: float
    start_s: float
    music_s: float
    end_s: float


@dataclass(frozen=True, slots=True)
class Ladder:
    """The audio of a ladder, ``(samples, 2)`` at 44.1 kHz, and where its rungs are."""

    samples: Samples
    rungs: tuple[Rung, ...]


def ladder(
    score: Score,
    tempi: Sequence[float] | None = None,
    playing: Playing | None = None,
    rendered: Mapping[float, Samples] | None = None,
) -> Ladder:
    """Each tempo in turn, with its count-in, the former one rung out.

    Parameters
    ----------
    tempi : quarter notes a minute; the score's own slow and target tempo with three between where
        none are given.
    rendered : by tempo, what was rendered already of this very playing.
    """
    rendered = rendered or {}
    playing = playing or Playing()
    pieces, rungs, start = [], [], 0
    for tempo_bpm in tempi or tempo_rungs(score.slow_bpm, score.target_bpm):
        piece = rendered.get(tempo_bpm)
        if piece is None:
            piece = render(score, tempo_bpm, playing)
        begin = start / SAMPLE_RATE
        music = begin + start_s(score, tempo_bpm, playing)
        rungs.append(Rung(tempo_bpm, begin, music, music + seconds(score.length, tempo_bpm)))
        pieces.append(piece)
        start += len(piece)
    return Ladder(np.concatenate(pieces), tuple(rungs))
