"""The audio of one example: what is sounded, at which tempo, in which kind of file."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lickwright.engrave.web import PageLink, PageTrack, Run
from lickwright.lesson.file import AudioKind, Extra
from lickwright.score import Score

if TYPE_CHECKING:
    from lickwright.sound.mix import Playing, Samples

#: The highest sample of any stem, or of all together: -1 dB.
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


def playing_of(backing: str) -> Playing:
    """How an example is played over a backing, or over none."""
    from lickwright.sound.mix import Playing

    if backing == "none":
        return Playing(feel="drone", with_backing=False)
    return Playing(feel=backing)


def make_audio(
    score: Score, base: str, backing: str, kind: AudioKind, extras: Sequence[Extra]
) -> AudioFiles:
    """Sound an example; what several files need is rendered once.

    Parameters
    ----------
    base : the beginning of every file name.
    backing : how the band plays, or ``"none"``.
    kind, extras : as in the lesson file.
    """
    from lickwright.score import seconds
    from lickwright.sound.mix import (
        AudioFile,
        Playing,
        audio_file,
        encode,
        ladder,
        level,
        levelled_file,
        loop,
        render,
        start_s,
        stems,
        stems_zip,
    )

    has_band = backing != "none"
    playing = playing_of(backing)
    apart = stems(score, score.target_bpm, playing) if "stems" in extras else None
    rendered: dict[float, Samples] = {
        score.target_bpm: apart.mixed(playing)
        if apart
        else render(score, score.target_bpm, playing)
    }
    full_speed = level(rendered[score.target_bpm])
    if score.slow_bpm not in rendered:
        rendered[score.slow_bpm] = render(score, score.slow_bpm, playing)

    def run(tempo: float, music_s: float) -> Run:
        return Run(music_s, music_s + seconds(score.length, tempo), 60.0 / tempo)

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
        if "loop" in extras and has_band:
            band = Playing(feel=backing, with_lead=False)
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
        # One gain for all, so that they still add up to the mix when they lie under one another.
        mix = apart.lead + apart.backing + apart.click
        peak = max(float(abs(part).max()) for part in (mix, *apart.parts.values()))
        gain = min(1.0, STEM_PEAK / peak) if peak else 1.0
        name = f"{base}-stems.zip"
        files[name] = stems_zip(
            {
                f"{part}.{kind}": encode(samples * gain, kind)
                for part, samples in apart.parts.items()
            }
        )
        downloads.append(PageLink("Stems (zip)", name))
    return AudioFiles(files, tuple(tracks), tuple(downloads), measured, full_speed.samples)
