"""A Score as audio: count-in, lead and backing, apart or mixed."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from lickwright.score import SAMPLE_RATE, Score, check_tempo, count_in, seconds
from lickwright.sound.band import as_felt
from lickwright.sound.midi import midi_bytes
from lickwright.sound.mix.bank import sound_midi
from lickwright.sound.mix.click import clicks
from lickwright.sound.mix.levels import about_loudness, gained
from lickwright.sound.strings import Touch, amplify, lead, tone_named, voiced_tone

Samples = npt.NDArray[np.float32]

#: How long sound may ring on after the last bar line.
TAIL_S = 1.5
_FADE_S = 0.25
#: About how loud the lead is before a file gets its final level, in LUFS: the clicks fit it.
_LEAD_LUFS = -22.0


@dataclass(frozen=True, slots=True)
class Playing:
    """How an example is played.

    Parameters
    ----------
    feel : how the band plays, a name in :data:`lickwright.sound.band.feel.FEELS`.
    tone : sound of the lead, a name in :data:`lickwright.sound.strings.amplifier.TONES`.
    count_in_bars : bars of clicks before the music.
    let_ring : notes ring until their string is played again, instead of for their duration.
    with_lead, with_backing : which parts sound; the count-in always does.
    touch : how the two hands touch the strings.
    pickup, pick : where the string is heard, and where it is picked: "bridge", "middle" or "neck";
        ``""`` for the usual place of the tone.
    band_lu : how loud the band is against the lead, in LU.
    start : the start number of all that the band leaves to chance.
    lands : whether the band lands and holds where the line does.
    """

    feel: str = "chords"
    tone: str = "clean"
    count_in_bars: int = 1
    let_ring: bool = False
    with_lead: bool = True
    with_backing: bool = True
    touch: Touch = field(default_factory=Touch)
    pickup: str = ""
    pick: str = ""
    band_lu: float = -2.0
    start: int = 1
    lands: bool = True


@dataclass(frozen=True, slots=True)
class Stems:
    """The parts of one example, each ``(samples, 2)`` at 44.1 kHz and equally long.

    Their sum is the mix.  ``start_s`` is when the first bar line sounds.
    """

    lead: Samples
    backing: Samples
    click: Samples
    start_s: float

    @property
    def parts(self) -> dict[str, Samples]:
        """The parts by name."""
        return {"lead": self.lead, "band": self.backing, "click": self.click}

    def mixed(self, playing: Playing) -> Samples:
        """The parts that sound in ``playing`` together, as :func:`render` gives them."""
        mixed = self.click.copy()
        if playing.with_lead:
            mixed += self.lead
        if playing.with_backing:
            mixed += self.backing
        return mixed


def render(score: Score, tempo_bpm: float, playing: Playing | None = None) -> Samples:
    """A score as audio, ``(samples, 2)`` float32 at 44.1 kHz, not yet at its loudness.

    Parameters
    ----------
    tempo_bpm : quarter notes a minute.

    Raises
    ------
    RhythmError
        For a tempo, count-in or feel that cannot be used.
    OutputError
        For an unknown tone, or when the sound bank is missing.
    """
    playing = playing or Playing()
    mixed = click_stem(score, tempo_bpm, playing)
    if playing.with_lead:
        mixed += lead_stem(score, tempo_bpm, playing)
    if playing.with_backing:
        mixed += backing_stem(score, tempo_bpm, playing)
    return mixed


def stems(score: Score, tempo_bpm: float, playing: Playing | None = None) -> Stems:
    """The parts of :func:`render` apart, all of them."""
    playing = playing or Playing()
    return Stems(
        lead=lead_stem(score, tempo_bpm, playing),
        backing=backing_stem(score, tempo_bpm, playing),
        click=click_stem(score, tempo_bpm, playing),
        start_s=start_s(score, tempo_bpm, playing),
    )


def loop(score: Score, tempo_bpm: float, playing: Playing | None = None) -> Samples:
    """A score to be played round and round: no count-in, and exactly its own length.

    What rings on after the last bar line sounds over the beginning, as it does from the second
    time round; so the end runs into the beginning without a step.  The length is the score's to
    the nearest sample.
    """
    round_and_round = replace(playing or Playing(), count_in_bars=0, lands=False)
    whole = render(score, tempo_bpm, round_and_round)
    length = round(seconds(score.length, tempo_bpm) * SAMPLE_RATE)
    body = np.zeros((length, whole.shape[1]), np.float32)
    for start in range(0, len(whole), length):
        turn = whole[start : start + length]
        body[: len(turn)] += turn
    return body


def start_s(score: Score, tempo_bpm: float, playing: Playing) -> float:
    """When the first bar line sounds, in seconds: the length of the count-in."""
    return seconds(count_in(score, playing.count_in_bars).length, check_tempo(tempo_bpm))


def sample_count(score: Score, tempo_bpm: float, playing: Playing) -> int:
    """Samples of a whole rendering: count-in, music and tail."""
    music = seconds(score.length, tempo_bpm)
    return int(np.ceil((start_s(score, tempo_bpm, playing) + music + TAIL_S) * SAMPLE_RATE))


def lead_stem(score: Score, tempo_bpm: float, playing: Playing) -> Samples:
    """The lead guitar alone, ``(samples, 2)``."""
    tone, touch = voiced_tone(tone_named(playing.tone), playing.touch, playing.pickup, playing.pick)
    signal = lead(
        as_felt(score, playing.feel),
        tempo_bpm,
        start_s=start_s(score, tempo_bpm, playing),
        samples=sample_count(score, tempo_bpm, playing),
        pickup=tone.pickup,
        touch=touch,
        let_ring=playing.let_ring,
    )
    return _faded(_at_loudness(amplify(signal, tone), _LEAD_LUFS))


def backing_stem(score: Score, tempo_bpm: float, playing: Playing) -> Samples:
    """The band alone, silent during the count-in, ``(samples, 2)``."""
    midi = midi_bytes(
        score,
        tempo_bpm,
        count_in_bars=playing.count_in_bars,
        feel=playing.feel,
        lead=False,
        click=False,
        tail_s=TAIL_S,
        start=playing.start,
        lands=playing.lands,
    )
    samples = sample_count(score, tempo_bpm, playing)
    played = sound_midi(midi)[:samples]
    out = np.zeros((samples, 2), np.float32)
    out[: len(played)] = played
    return _faded(_at_loudness(out, _LEAD_LUFS + playing.band_lu))


def _at_loudness(samples: Samples, lufs: float) -> Samples:
    """Samples brought to about a loudness; silence as it is."""
    heard = about_loudness(samples)
    return gained(samples, lufs - heard) if np.isfinite(heard) else samples


def click_stem(score: Score, tempo_bpm: float, playing: Playing) -> Samples:
    """The count-in alone, ``(samples, 2)``."""
    count = count_in(score, playing.count_in_bars)
    return clicks(count, tempo_bpm, sample_count(score, tempo_bpm, playing))


def _faded(samples: Samples) -> Samples:
    """The end of the tail brought to silence, without a step."""
    fade = int(_FADE_S * SAMPLE_RATE)
    ramp = 0.5 + 0.5 * np.cos(np.pi * np.arange(1, fade + 1) / fade)
    samples[-fade:] *= ramp[:, None].astype(np.float32)
    return samples
