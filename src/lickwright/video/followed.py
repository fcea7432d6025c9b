"""A finished film from a teacher's recording: panels above, the recording below, in true time.

The film is made of shots, each a stretch of the recording with or without a passage over it; a
shot is a whole number of frames.  Every shot becomes a file of its own in a hidden folder beside
the film, then all are joined without being coded again; what was stopped goes on with the first
shot that is not there yet.
"""

from __future__ import annotations

import hashlib
import os
import shutil
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from lickwright.errors import OutputError, Spot
from lickwright.video.footage import Footage, FootageFacts, Picture, facts_of, fitted, sound_between
from lickwright.video.frames import (
    GROUND,
    H264,
    Album,
    Area,
    ChapterMark,
    Clock,
    Painter,
    Passage,
    Samples,
    Writer,
    Yuv420Planes,
    frame_time_s,
    join_parts,
    rgb,
    whole_file,
)
from lickwright.video.layout import FilmLayout, film_panels, layout_of
from lickwright.video.overlay import VideoFile, frame_rate
from lickwright.video.panels import Labels, Panel

_RATE_HZ = 48_000
_GROUND = (*rgb(GROUND), 255)
_BLACK = (0, 0, 0, 255)
#: Bytes a second of a finished film in full HD: more than any that was measured.
_BYTES_A_SECOND = 2_500_000


@dataclass(frozen=True, slots=True)
class Shot:
    """A stretch of the recording.

    Parameters
    ----------
    source : a film with a picture.
    start_s : on the clock of its sound.
    length_s : how long; a whole number of frames of the finished film is made of it.
    passage : what is played in it, its times counted from ``start_s``; ``None`` for talk.
    name : for chapters and captions.
    sound : the file that is heard; that of the picture where it is ``None``.
    sound_s : when the shot begins on its clock.
    """

    source: Path
    start_s: float
    length_s: float
    passage: Passage | None
    name: str
    sound: Path | None = None
    sound_s: float = 0.0


@dataclass(frozen=True, slots=True)
class FilmCost:
    """What a film will need.

    Parameters
    ----------
    seconds : of the finished film.
    megabytes : at most, on the disk, its parts counted.
    work_s : about how long the making takes, on the machine that timed one second of it.
    """

    seconds: float
    megabytes: float
    work_s: float


def shot_frames(shots: Sequence[Shot], fps: Fraction) -> tuple[int, ...]:
    """How many frames each shot has.

    >>> shot_frames([Shot(Path("a.mp4"), 0.0, 1.01, None, "talk")], Fraction(30))
    (30,)
    """
    return tuple(max(1, round(Fraction(shot.length_s) * fps)) for shot in shots)


def check_room(path: Path, megabytes: float) -> None:
    """That the disk has room for a film.

    Raises
    ------
    OutputError
        Where it has not, or the folder is not there.
    """
    try:
        free = shutil.disk_usage(path.parent).free / 1e6
    except OSError as error:
        raise OutputError(
            "there is no such folder", mend="Make it first", where=Spot(str(path.parent))
        ) from error
    if free < megabytes:
        raise OutputError(
            f"the film may need {megabytes:,.0f} MB, the disk has {free:,.0f} MB left",
            mend="Make room, or choose another folder",
            where=Spot(str(path)),
        )


def film_cost(shots: Sequence[Shot], fps: Fraction | int, shape: str = "16:9") -> FilmCost:
    """What a film will need; a second of its first shot is made to see how long it takes.

    Raises
    ------
    OutputError
        Where the recording cannot be read.
    """
    import time

    rate = frame_rate(fps)
    seconds = sum(shot_frames(shots, rate)) / float(rate)
    facts = facts_of(shots[0].source)
    begin = time.perf_counter()
    layout = layout_of(shape, facts)
    planes = Yuv420Planes(*layout.size)
    count = min(int(rate), 30)
    for _ in _frames(shots[0], layout, facts, rate, planes, "degrees", "", count):
        planes.frame()
    spent = (time.perf_counter() - begin) * float(rate) / count
    # Coding costs about as much again.
    return FilmCost(seconds, 2 * seconds * _BYTES_A_SECOND / 1e6, 2.0 * spent * seconds)


def followed_film(
    shots: Sequence[Shot],
    path: str | os.PathLike[str],
    *,
    fps: Fraction | int = 30,
    shape: str = "16:9",
    labels: Labels = "degrees",
    title: str = "",
    tell: Callable[[int, int, str], None] | None = None,
) -> VideoFile:
    """Write a finished film of some shots: H.264 and AAC in an MP4.

    Parameters
    ----------
    fps : frames a second, 23.976 to 60, the same throughout.
    shape : ``16:9`` or ``9:16``.
    labels : what stands in the marks on the neck.
    title : of the lesson, beside the panels.
    tell : called with shots done, shots in all, and what is being made.

    Raises
    ------
    OutputError
        Where the recording cannot be read, the shape or rate is none, or the file cannot be
        written; what stood there still stands, and shots that are done wait for the next run.
    """
    if not shots:
        raise OutputError("a film of nothing", mend="Give at least one shot")
    path, rate = Path(path), frame_rate(fps)
    facts = {source: facts_of(source) for source in {shot.source for shot in shots}}
    layouts = {source: layout_of(shape, fact) for source, fact in facts.items()}
    size = layouts[shots[0].source].size
    counts = shot_frames(shots, rate)
    check_room(path, 2 * sum(counts) / float(rate) * _BYTES_A_SECOND / 1e6)
    folder = path.with_name(f".{path.name}.shots")
    folder.mkdir(exist_ok=True)
    parts = []
    for number, (shot, count) in enumerate(zip(shots, counts, strict=True)):
        if tell is not None:
            tell(number, len(shots), shot.name)
        part = folder / f"{_digest(shot, rate, shape, labels, title)}.mp4"
        if not part.exists():
            _write_part(
                part, shot, layouts[shot.source], facts[shot.source], rate, count, labels, title
            )
        parts.append(part)
    with whole_file(path) as temporary:
        join_parts(
            temporary,
            parts,
            rate,
            _sound(shots, counts, rate),
            _RATE_HZ,
            film_chapters(shots, rate),
        )
    shutil.rmtree(folder)
    return VideoFile(path, *size, rate, sum(counts))


def film_chapters(shots: Sequence[Shot], fps: Fraction | int) -> tuple[ChapterMark, ...]:
    """Chapters of a film: one a shot, those of the same name in a row as one; from 0 on.

    Returns
    -------
    tuple of ChapterMark
        Each until the next begins.
    """
    rate, at = frame_rate(fps), Fraction(0)
    marks: list[ChapterMark] = []
    for shot, count in zip(shots, shot_frames(shots, rate), strict=True):
        end = at + count / rate
        if marks and marks[-1].title == shot.name:
            marks[-1] = ChapterMark(marks[-1].start_s, float(end), shot.name)
        else:
            marks.append(ChapterMark(float(at), float(end), shot.name))
        at = end
    return tuple(marks)


def _digest(shot: Shot, fps: Fraction, shape: str, labels: str, title: str) -> str:
    """A name that two shots share only where they look the same."""
    stamp = shot.source.stat()
    words = (
        os.fspath(shot.source.resolve()),
        stamp.st_size,
        stamp.st_mtime_ns,
        shot,
        fps,
        shape,
        labels,
        title,
    )
    return hashlib.sha256(repr(words).encode()).hexdigest()[:24]


def _write_part(
    part: Path,
    shot: Shot,
    layout: FilmLayout,
    facts: FootageFacts,
    fps: Fraction,
    count: int,
    labels: Labels,
    title: str,
) -> None:
    with whole_file(part) as temporary, Writer(temporary, H264, layout.size, fps) as writer:
        planes = writer.planes
        assert isinstance(planes, Yuv420Planes)
        for _ in _frames(shot, layout, facts, fps, planes, labels, title, count):
            writer.write(planes.frame())


def _frames(
    shot: Shot,
    layout: FilmLayout,
    facts: FootageFacts,
    fps: Fraction,
    planes: Yuv420Planes,
    labels: Labels,
    title: str,
    count: int,
) -> Iterator[None]:
    """The frames of a shot, one after the other, in the encoder's planes."""
    whole = Area(0, 0, *layout.size)
    box = layout.footage
    panels: tuple[Panel, ...] = ()
    painter = Painter(*layout.size, _GROUND if shot.passage is not None else _BLACK)
    if shot.passage is None:
        wide, high = fitted(facts, layout.size)
        left, top = (layout.size[0] - wide) // 4 * 2, (layout.size[1] - high) // 4 * 2
        box = Area(left, top, left + wide, top + high)
    else:
        album = Album()
        panels = tuple(film_panels(Clock(shot.passage), layout, album, labels, title))
        album.develop()
    planes.update(painter.image, [whole])
    last: Picture | None = None
    with Footage(shot.source, (box.right - box.left, box.bottom - box.top)) as footage:
        for frame in range(count):
            time_s = frame_time_s(frame, fps)
            placed = [item for panel in panels for item in panel.at(time_s)]
            planes.update(painter.image, painter.show(placed))
            picture = footage.at(shot.start_s + time_s)
            if picture is not last:
                planes.lay(picture, box.left, box.top)
                last = picture
            yield


def _sound(shots: Sequence[Shot], counts: Sequence[int], fps: Fraction) -> Iterator[Samples]:
    """The sound of each shot, cut at whole samples where its frames end."""
    at = done = 0
    for shot, count in zip(shots, counts, strict=True):
        at += count
        samples = round(at / fps * _RATE_HZ) - done
        done += samples
        path, start_s = shot.source, shot.start_s
        if shot.sound is not None:
            path, start_s = shot.sound, shot.sound_s
        yield sound_between(path, start_s, samples / _RATE_HZ, _RATE_HZ)
