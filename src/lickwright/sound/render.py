"""A Score as audio: count-in, lead and backing, apart or mixed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lickwright.score import Score
from lickwright.sound.amplifier import amplify, tone_named
from lickwright.sound.bank import sound_midi
from lickwright.sound.feel import feel_named
from lickwright.sound.midi import midi_bytes
from lickwright.sound.pluck import Touch, lead
from lickwright.sound.timeline import SAMPLE_RATE, CountIn, check_tempo, count_in, seconds

Samples = npt.NDArray[np.float32]

#: How long sound may ring on after the last bar line.
TAIL_S = 1.5
_FADE_S = 0.25
# Gains that set the band a little under the lead.
_BACKING_GAIN, _CLICK_GAIN = 1.0, 0.3


@dataclass(frozen=True, slots=True)
class Stems:
    """The parts of one example, each ``(samples, 2)`` at 44.1 kHz and equally long.

    Together they are the mix.  ``start_s`` is when the first bar line sounds.
    """

    lead: Samples
    backing: Samples
    click: Samples
    start_s: float

    def mix(self) -> Samples:
        return self.lead + self.backing + self.click


def render(
    score: Score,
    tempo_bpm: float,
    *,
    count_in_bars: int = 1,
    feel: str = "chords",
    tone: str = "clean",
    with_lead: bool = True,
    with_backing: bool = True,
    let_ring: bool = False,
    touch: Touch | None = None,
) -> Samples:
    """A score as audio, ``(samples, 2)`` float32 at 44.1 kHz, not yet at its loudness.

    Parameters
    ----------
    tempo_bpm : quarter notes a minute.
    count_in_bars : bars of clicks before the music.
    feel : how the band plays, a name in :data:`lickwright.sound.feel.FEELS`.
    tone : sound of the lead, a name in :data:`lickwright.sound.amplifier.TONES`.
    with_lead, with_backing : which parts sound; the count-in always does.
    let_ring : notes ring until their string is played again.

    Raises
    ------
    RhythmError
        For a tempo, count-in or feel that cannot be used.
    OutputError
        For an unknown tone, or when the sound bank is missing.
    """
    check_tempo(tempo_bpm)
    count = count_in(score, count_in_bars)
    mixed = _clicks(count, tempo_bpm, sample_count(score, tempo_bpm, count))
    if with_lead:
        mixed += lead_stem(score, tempo_bpm, count, tone=tone, let_ring=let_ring, touch=touch)
    if with_backing:
        mixed += backing_stem(score, tempo_bpm, count_in_bars, feel)
    return mixed


def stems(
    score: Score,
    tempo_bpm: float,
    *,
    count_in_bars: int = 1,
    feel: str = "chords",
    tone: str = "clean",
    let_ring: bool = False,
    touch: Touch | None = None,
) -> Stems:
    """The parts of :func:`render` apart; their sum is what it returns."""
    check_tempo(tempo_bpm)
    count = count_in(score, count_in_bars)
    return Stems(
        lead=lead_stem(score, tempo_bpm, count, tone=tone, let_ring=let_ring, touch=touch),
        backing=backing_stem(score, tempo_bpm, count_in_bars, feel),
        click=_clicks(count, tempo_bpm, sample_count(score, tempo_bpm, count)),
        start_s=seconds(count.length, tempo_bpm),
    )


def sample_count(score: Score, tempo_bpm: float, count: CountIn) -> int:
    """Samples of a whole rendering: count-in, music and tail."""
    music = seconds(count.length + score.length, tempo_bpm)
    return int(np.ceil((music + TAIL_S) * SAMPLE_RATE))


def lead_stem(
    score: Score,
    tempo_bpm: float,
    count: CountIn,
    *,
    tone: str = "clean",
    let_ring: bool = False,
    touch: Touch | None = None,
) -> Samples:
    """The lead guitar alone."""
    sound = tone_named(tone)
    signal = lead(
        score,
        tempo_bpm,
        start_s=seconds(count.length, tempo_bpm),
        samples=sample_count(score, tempo_bpm, count),
        pickup=sound.pickup,
        touch=touch,
        let_ring=let_ring,
    )
    return _faded(amplify(signal, sound))


def backing_stem(score: Score, tempo_bpm: float, count_in_bars: int, feel: str) -> Samples:
    """The band alone, silent during the count-in."""
    feel_named(feel)
    count = count_in(score, count_in_bars)
    samples = sample_count(score, tempo_bpm, count)
    midi = midi_bytes(
        score, tempo_bpm, count_in_bars=count_in_bars, feel=feel, lead=False, click=False
    )
    played = sound_midi(midi)[:samples]
    out = np.zeros((samples, 2), np.float32)
    out[: len(played)] = played * np.float32(_BACKING_GAIN)
    return _faded(out)


def _faded(samples: Samples) -> Samples:
    """The end of the tail brought to silence, without a step."""
    fade = int(_FADE_S * SAMPLE_RATE)
    ramp = 0.5 + 0.5 * np.cos(np.pi * np.arange(1, fade + 1) / fade)
    samples[-fade:] *= ramp[:, None].astype(np.float32)
    return samples


def _clicks(count: CountIn, tempo_bpm: float, samples: int) -> Samples:
    """Short wooden ticks, the first of a bar higher; exact to the sample."""
    out = np.zeros((samples, 2), np.float32)
    time = np.arange(int(0.05 * SAMPLE_RATE)) / SAMPLE_RATE
    for click in count.clicks:
        hz = 1760.0 if click.accent else 1320.0
        body = np.exp(-time / 0.007) * np.sin(2 * np.pi * hz * time)
        tick = _CLICK_GAIN * body + 0.3 * _CLICK_GAIN * np.exp(-time / 0.003) * np.sin(
            2 * np.pi * 2.76 * hz * time
        )
        first = round(seconds(click.onset, tempo_bpm) * SAMPLE_RATE)
        out[first : first + len(tick)] += tick[: samples - first, None].astype(np.float32)
    return out
