"""The pictures of one example that move: a finished video, an overlay, captions and chapters."""

from __future__ import annotations

import tempfile
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from lickwright.engrave.web import PageLink
from lickwright.lesson.compile import Worked
from lickwright.lesson.file import Extra, Labels

if TYPE_CHECKING:
    from lickwright.sound.mix import Playing, Samples


@dataclass(frozen=True, slots=True)
class VideoFiles:
    """Files by name, and what there is to fetch."""

    files: Mapping[str, bytes]
    downloads: tuple[PageLink, ...]


def make_video(
    worked: Worked,
    base: str,
    samples: Samples,
    playing: Playing,
    labels: Labels,
    title: str,
    extras: Sequence[Extra],
) -> VideoFiles:
    """Film an example at its full speed, in time with its audio.

    Parameters
    ----------
    base : the beginning of every file name.
    samples : its audio at full speed, at its final loudness, ``(samples, 2)``.
    playing : how its audio is played.
    labels : as in the lesson file.
    title : of the lesson.
    extras : which of ``video`` and ``overlay`` to make.
    """
    if not {"video", "overlay"} & set(extras):
        return VideoFiles({}, ())
    from lickwright.score import SAMPLE_RATE
    from lickwright.sound.mix import start_s
    from lickwright.video import (
        CARD_S,
        captions_vtt,
        chapters_vtt,
        lesson_video,
        overlay_video,
        passage_marks,
    )
    from lickwright.video.frames import Passage, TriadNames

    score = worked.score
    passage = Passage(
        score,
        score.target_bpm,
        start_s(score, score.target_bpm, playing),
        len(samples) / SAMPLE_RATE,
        tuple(TriadNames(span.onset, tuple(map(str, span.triads))) for span in worked.spans),
    )
    files: dict[str, bytes] = {}
    downloads = []
    with tempfile.TemporaryDirectory() as folder:
        film, strip = Path(folder, "film.mp4"), Path(folder, "strip.mov")
        if "video" in extras:
            lesson_video([passage], samples, film, title=title, labels=labels)
            files[f"{base}.mp4"] = film.read_bytes()
            files[f"{base}.vtt"] = captions_vtt([passage], CARD_S).encode()
            files[f"{base}-chapters.vtt"] = chapters_vtt(passage_marks(passage, CARD_S)).encode()
            downloads += [
                PageLink("Video (MP4)", f"{base}.mp4"),
                PageLink("Captions (WebVTT)", f"{base}.vtt"),
                PageLink("Chapters (WebVTT)", f"{base}-chapters.vtt"),
            ]
        if "overlay" in extras:
            overlay_video(passage, strip, labels=labels)
            files[f"{base}-overlay.mov"] = strip.read_bytes()
            downloads.append(PageLink("Overlay, transparent (MOV)", f"{base}-overlay.mov"))
    return VideoFiles(files, tuple(downloads))
