"""The audio of one example: what is sounded, at which tempo, in which kind of file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from lickwright.engrave.web import PageLink, PageTrack, Run
from lickwright.lesson.file import AudioKind, Extra, SoundEntry
from lickwright.score import Score

if TYPE_CHECKING:
    from lickwright.sound.mix import Playing, Samples

#: The highest sample of any stem: -1 dB.
STEM_PEAK = 10.0 ** (-1.0 / 20.0)


@dataclass(frozen=True, slots=True)
class AudioFiles:
    """Audio files by name.

    Parameters
    ----------
    tracks, downloads : files to hear on the page, and to fetch.
    measured : by name the length in seconds, the loudness (LUFS) and the true peak (dBTP).
    full_speed : the samples at the target tempo, at their loudness, ``(samples, 2)``: a film sounds
        as its example does.
    """

    files: Mapping[str, bytes]
    tracks: tuple[PageTrack, ...]
    downloads: tuple[PageLink, ...]
    measured: Mapping[str, Mapping[str, float]]
    full_speed: Samples


def playing_of(backing: str, sound: SoundEntry) -> Playing:
    """How an example is played over a backing, or over none."""
    from lickwright.sound.mix import Playing

    return Playing(
        feel="drone" if backing == "none" else backing,
        tone=sound.tone,
        with_backing=backing != "none",
        pickup=sound.pickup or "",
        pick=sound.pick or "",
        band_lu=sound.band,
    )


def make_audio(
    score: Score, base: str, playing: Playing, kind: AudioKind, extras: Sequence[Extra]
) -> AudioFiles:
    """Sound an example; what several files need is rendered once.

    Parameters
    ----------
    base : the beginning of every file name.
    playing : how it is played.
    kind, extras : as in the lesson file.
    """
    import numpy as np

    from lickwright.score import played_time, seconds
    from lickwright.sound.mix import (
        TARGET_LUFS,
        AudioFile,
        audio_file,
        encode,
        ladder,
        level,
        levelled_file,
        loop,
        loudness,
        render,
        start_s,
        stems,
        stems_zip,
    )

    apart = stems(score, score.target_bpm, playing) if "stems" in extras else None
    rendered: dict[float, Samples] = {
        score.target_bpm: apart.mixed(playing)
        if apart
        else render(score, score.target_bpm, playing)
    }
    full_speed = level(rendered[score.target_bpm])
    full_gain_db = TARGET_LUFS - loudness(rendered[score.target_bpm]) if apart else 0.0
    if score.slow_bpm not in rendered:
        rendered[score.slow_bpm] = render(score, score.slow_bpm, playing)

    def run(tempo: float, music_s: float) -> Run:
        share = float(played_time(score, tempo).share)
        return Run(music_s, music_s + seconds(score.length, tempo), 60.0 / tempo, share)

    def sounded() -> Iterator[tuple[str, str, AudioFile, tuple[Run, ...]]]:
        """Ending, name for people, file and runs of everything to hear."""
        for ending, words, tempo in (
            ("slow", "Slow", score.slow_bpm),
            ("target", "Full speed", score.target_bpm),
        ):
            levelled = full_speed if tempo == score.target_bpm else level(rendered[tempo])
            runs: tuple[Run, ...] = (run(tempo, start_s(score, tempo, playing)),)
            yield ending, f"{words}, {tempo:g} bpm", levelled_file(levelled, kind), runs
        if "ladder" in extras and score.slow_bpm < score.target_bpm:
            steps = ladder(score, playing=playing, rendered=rendered)
            runs = tuple(run(rung.tempo_bpm, rung.music_s) for rung in steps.rungs)
            words = f"Ladder, {len(steps.rungs)} tempi"
            yield "ladder", words, audio_file(steps.samples, kind), runs
        if "loop" in extras and playing.with_backing:
            band = replace(playing, with_lead=False)
            audio = audio_file(loop(score, score.target_bpm, band), kind)
            words = f"Band alone, to loop, {score.target_bpm:g} bpm"
            yield "loop", words, audio, (run(score.target_bpm, 0.0),)

    files: dict[str, bytes] = {}
    tracks, downloads, measured = [], [], {}
    for ending, words, audio, runs in sounded():
        name = f"{base}-{ending}.{kind}"
        files[name] = audio.data
        tracks.append(PageTrack(words, name, runs))
        measured[name] = {
            "seconds": round(audio.seconds, 3),
            "loudness_lufs": round(audio.loudness_lufs, 2),
            "true_peak_dbtp": round(audio.true_peak_dbtp, 2),
        }
    if apart is not None:
        # One gain for all: under one another they are the mix at its loudness, before its limiter.
        parts = apart.parts
        gain = 10.0 ** (full_gain_db / 20.0) if np.isfinite(full_gain_db) else 1.0
        peak = max(float(abs(part).max()) for part in parts.values())
        gain = min(gain, STEM_PEAK / peak) if peak else 1.0
        name = f"{base}-stems.zip"
        files[name] = stems_zip(
            {
                f"{part}.{kind}": encode(samples * np.float32(gain), kind)
                for part, samples in parts.items()
            }
        )
        downloads.append(PageLink("Stems (zip)", name))
    return AudioFiles(files, tuple(tracks), tuple(downloads), measured, full_speed.samples)
