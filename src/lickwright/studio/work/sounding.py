"""Examples and pairs of triads, sounded for the browser to play."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace

from lickwright.publish import playing_of
from lickwright.studio.work.preview import ExampleRequest, worked_for


@dataclass(frozen=True, slots=True)
class RenderedSound:
    """An example as three parts that start together; each is a WAV file.

    Parameters
    ----------
    start_s : when the first bar line sounds.
    quarter_s : seconds that a quarter note lasts.
    share, pair, swung : what the first note of a swung pair takes of it, 0.5 where notes are even;
        how long a pair is and where pairs begin, in quarter notes.
    """

    lead: bytes
    backing: bytes
    click: bytes
    start_s: float
    quarter_s: float
    share: float = 0.5
    pair: float = 1.0
    swung: tuple[float, ...] = ()


def sound(request: ExampleRequest, tempo_bpm: float, feel: str = "") -> RenderedSound:
    """Sound an example: lead, backing, and a click on every beat, at one loudness together.

    Parameters
    ----------
    feel : how the band plays; ``""`` for what the lesson says.
    """
    import numpy as np

    from lickwright.score import Click, CountIn, played_time
    from lickwright.sound.band import as_felt
    from lickwright.sound.mix import TARGET_LUFS, clicks, encode, loudness, stems

    workshop, worked = worked_for(request)
    score = worked.score
    wanted = feel or worked.entry.backing or workshop.lesson.entry.backing
    if feel and worked.entry.swing is None and workshop.lesson.entry.swing is None:
        score = replace(score, swing=None)  # the feel that is tried has a swing of its own
    heard_as = workshop.lesson.sound_of(worked.entry)
    playing = replace(playing_of(wanted, heard_as), count_in_bars=0)
    parts = stems(score, tempo_bpm, playing)
    beats = [Click(at, number == 1) for bar in score.bars for at, number in bar.felt_beats]
    click = clicks(CountIn(score.length, tuple(beats)), tempo_bpm, len(parts.lead))
    mix = parts.lead + parts.backing
    heard = loudness(mix)
    gain = 10.0 ** ((TARGET_LUFS - heard) / 20.0) if np.isfinite(heard) else 1.0
    peak = float(np.abs(mix + click).max()) or 1.0
    gain = min(gain, 0.89 / peak)
    lead, backing, beat = (
        encode((part * np.float32(gain)).astype(np.float32), "wav")
        for part in (parts.lead, parts.backing, click)
    )
    times = played_time(as_felt(score, playing.feel), tempo_bpm)
    return RenderedSound(
        lead,
        backing,
        beat,
        parts.start_s,
        60.0 / tempo_bpm,
        float(times.share),
        float(times.pair),
        tuple(map(float, times.of_line)),
    )


def pair_sound(triads: list[str], over: str, key: str) -> RenderedSound:
    """Some triads, each up and down once, over a held bass.

    It is an example like any other, so that it sounds as it will in a lesson.
    """
    lesson = {
        "lesson": "Heard",
        "key": key,
        "tempo": {"slow": 60, "target": 100},
        "examples": [
            {"name": "Heard", "triads": triads, "over": over, "contour": "up", "rhythm": "8ths"}
        ],
    }
    # JSON is YAML too.
    return sound(ExampleRequest(json.dumps(lesson), "heard.yaml", 0), 100.0, "drone")
