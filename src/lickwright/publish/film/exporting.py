"""What is made of a film: overlays, a finished film, captions, chapters and cutting lists."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from lickwright.errors import OutputError
from lickwright.files import write_whole
from lickwright.formats.cutlist import CutClip, CutList, CutMarker, edl_text, otio_text
from lickwright.lesson.file import FilmEntry
from lickwright.publish.example_files import slug
from lickwright.publish.film.findings import Film, FilmRow, FilmSource
from lickwright.video import (
    FootageFacts,
    Shot,
    chapters_vtt,
    check_room,
    facts_of,
    film_chapters,
    film_cost,
    followed_captions,
    followed_film,
    frame_rate,
    has_picture,
    layout_of,
    overlay_reel,
    overlay_video,
    shot_frames,
)
from lickwright.video.frames import ChapterMark, Passage, TriadNames

Making = Callable[[str], None]
Progress = Callable[[int, int, str], None]

#: Without a picture, cuts are counted in these frames a second.
_USUAL_FPS = Fraction(30)
#: Talk that is shorter than this between two playings is shown under the panels.
_LEAST_TALK_S = 4.0
#: Bytes a second of an overlay: more than any that was measured, by its coding.
_OVERLAY_BYTES = {"animation": 1_200_000, "prores": 12_000_000, "png": 9_000_000}


@dataclass(frozen=True, slots=True)
class MadeFile:
    """A file that was made of a film, and what it is."""

    path: Path
    what: str


def rough_cut(film: Film) -> tuple[FilmRow, ...]:
    """The playings that are taken, in the order of the lesson, the slow ones first.

    Returns
    -------
    tuple of FilmRow
        Those that the teacher said yes to, and the proposed ones that were not refused.
    """
    order = [example.entry.name for example in film.examples]
    taken = [row for row in film.rows if row.taken]
    return tuple(
        sorted(taken, key=lambda row: (order.index(row.example), row.tempo_bpm, row.start_s))
    )


def passage_of(film: Film, row: FilmRow, start_s: float, length_s: float) -> Passage:
    """A playing as a passage that follows the hands.

    Parameters
    ----------
    start_s, length_s : the stretch of the film that it is shown in.

    Returns
    -------
    Passage
        Its times count from ``start_s``; what was not played is not lit.
    """
    worked = next(each for each in film.examples if each.entry.name == row.example)
    clock = film.sources[film.ear].beside
    lick = worked.score.lick.notes
    moments: list[tuple[Fraction, float]] = []
    silent = frozenset(range(len(lick)))
    if row.playing is None:
        moments = [
            (Fraction(0), row.start_s - start_s),
            (worked.score.length, row.end_s - start_s),
        ]
        silent = frozenset()
    else:
        heard = {n.index: n.heard_s for n in row.playing.notes if n.heard_s is not None}
        silent -= set(heard)
        for index, heard_s in sorted(heard.items()):
            at = clock.theirs(heard_s) - start_s
            if not moments or (moments[-1][0] < lick[index].onset and moments[-1][1] < at):
                moments.append((lick[index].onset, at))
    return Passage(
        worked.score,
        row.tempo_bpm,
        max(moments[0][1], 0.0),
        length_s,
        tuple(TriadNames(span.onset, tuple(map(str, span.triads))) for span in worked.spans),
        tuple(moments),
        silent,
    )


def make_overlays(
    film: Film, folder: Path, settings: FilmEntry, say: Making | None = None
) -> list[MadeFile]:
    """A strip with tab and neck on a transparent ground for each playing, or for the recording.

    Parameters
    ----------
    folder : where they are written.
    settings : how: the coding, the frame rate, what is shown, and how much before and after.
    say : told of every file before it is made.

    Raises
    ------
    OutputError
        Where a file cannot be written, or there is no room.
    """
    rate = frame_rate(settings.fps)
    each_s = _OVERLAY_BYTES[settings.coding] / 1e6
    labels = film.lesson.entry.labels
    if settings.show == "recording":
        path = folder / "overlay.mov"
        check_room(path, film.length_s * each_s)
        if say is not None:
            say(f"{path.name}: {film.length_s:.0f} s, at most {film.length_s * each_s:,.0f} MB")
        placed = [
            (start, passage_of(film, row, start, end - start))
            for row, start, end in _apart(film, film.rows, settings)
        ]
        overlay_reel(placed, film.length_s, path, coding=settings.coding, fps=rate, labels=labels)
        return [MadeFile(path, "the whole recording's overlay")]
    made = []
    rows = rough_cut(film)
    if not rows:
        raise _nothing_taken()
    for number, row in enumerate(rows):
        start, end = _stretch(film, row, settings)
        path = folder / f"{slug(number, row.example)}-{row.tempo_bpm:.0f}.mov"
        check_room(path, (end - start) * each_s)
        if say is not None:
            say(f"{path.name}: {end - start:.0f} s")
        overlay_video(
            passage_of(film, row, start, end - start),
            path,
            coding=settings.coding,
            fps=rate,
            labels=labels,
        )
        made.append(MadeFile(path, f"lay it over the recording from {start:.2f} s on"))
    return made


def shots_of(film: Film, settings: FilmEntry) -> tuple[Shot, ...]:
    """What a finished film shows, shot by shot.

    Returns
    -------
    tuple of Shot
        The rough cut in the lesson's order, or the whole recording with the talk between.

    Raises
    ------
    OutputError
        Where no recording has a picture, or nothing is taken.
    """
    camera = _camera(film)
    begin, finish = (camera.beside.theirs(at) for at in (0.0, facts_of(camera.path).length_s))
    begin = max(begin, 0.0)
    ear = film.sources[film.ear]

    def shot(start: float, end: float, row: FilmRow | None, name: str) -> Shot:
        length = end - start
        passage = None if row is None else passage_of(film, row, start, length)
        sound = None if ear == camera else ear.path
        return Shot(
            camera.path,
            camera.beside.own(start),
            length,
            passage,
            name,
            sound,
            ear.beside.own(start),
        )

    if settings.show == "recording":
        shots, at = [], begin
        for row, start, end in _apart(film, _within(film.rows, begin, finish), settings):
            start, end = max(start, at), min(end, finish)
            if start - at > 1.0 / 60.0:
                shots.append(shot(at, start, None, "Between"))
            shots.append(shot(start, end, row, _name(row)))
            at = end
        if finish - at > 0.1:
            shots.append(shot(at, finish, None, "Between"))
        return tuple(shots)
    rows = _within(rough_cut(film), begin, finish)
    if not rows:
        raise _nothing_taken()
    return tuple(shot(*_stretch(film, row, settings), row, _name(row)) for row in rows)


def _camera(film: Film) -> FilmSource:
    """The first recording with a picture."""
    camera = next((source for source in film.sources if has_picture(source.path)), None)
    if camera is None:
        raise OutputError(
            "none of the recordings has a picture", mend="Give a film, or make overlays alone"
        )
    return camera


def _within(rows: Sequence[FilmRow], begin_s: float, end_s: float) -> tuple[FilmRow, ...]:
    """The playings that lie within some part of the film."""
    return tuple(row for row in rows if begin_s <= row.start_s and row.end_s <= end_s)


def make_film(
    film: Film,
    folder: Path,
    settings: FilmEntry,
    say: Making | None = None,
    tell: Progress | None = None,
) -> list[MadeFile]:
    """A finished film, with captions and chapters.

    Parameters
    ----------
    say : told of its length, size and time before it is made.
    tell : told of every shot.

    Raises
    ------
    OutputError
        Where the film cannot be made; shots that are done wait for the next run.
    """
    shots = shots_of(film, settings)
    rate = frame_rate(settings.fps)
    path = folder / "film.mp4"
    if say is not None:
        cost = film_cost(shots, rate, settings.shape)
        say(
            f"{path.name}: {cost.seconds:.0f} s, at most {cost.megabytes:,.0f} MB on the way,"
            f" about {max(cost.work_s, 1):.0f} s of work"
        )
    followed_film(
        shots,
        path,
        fps=rate,
        shape=settings.shape,
        labels=film.lesson.entry.labels,
        title=film.lesson.entry.lesson,
        tell=tell,
    )
    layout = layout_of(settings.shape, facts_of(shots[0].source))
    at, placed = Fraction(0), []
    for shot, count in zip(shots, shot_frames(shots, rate), strict=True):
        if shot.passage is not None:
            placed.append((float(at), shot.passage))
        at += count / rate
    captions, chapters = folder / "film.vtt", folder / "film-chapters.vtt"
    write_whole(captions, followed_captions(placed, layout.captions).encode())
    write_whole(chapters, chapters_vtt(film_chapters(shots, rate)).encode())
    return [
        MadeFile(path, "the finished film"),
        MadeFile(captions, "its captions"),
        MadeFile(chapters, "its chapters"),
    ]


def make_cuts(film: Film, folder: Path, settings: FilmEntry) -> list[MadeFile]:
    """Cutting lists for an editor's program, captions and chapters of the recording itself.

    Raises
    ------
    OutputError
        Where a file cannot be written, or nothing is taken.
    """
    source = film.sources[0]
    facts = _facts(film)
    length_s = film.length_s if facts is None else facts.length_s
    inside = _within(film.rows, 0.0, length_s)
    rows = _within(rough_cut(film), 0.0, length_s)
    if not rows:
        raise _nothing_taken()
    spans = [(row, *_stretch(film, row, settings)) for row in rows]
    cut = CutList(
        film.lesson.entry.lesson,
        source.path,
        length_s,
        _cut_rate(facts),
        "" if facts is None else facts.timecode,
        "" if facts is None else facts.reel,
        tuple(CutClip(_name(row), start, end - start) for row, start, end in spans),
        tuple(
            CutMarker(
                _name(row), row.start_s, row.end_s - row.start_s, row.taken, ", ".join(row.faults)
            )
            for row in inside
        ),
    )
    placed = [
        (start, passage_of(film, row, start, end - start))
        for row, start, end in _apart(film, inside, settings)
    ]
    marks = [(row.start_s, row.end_s, _name(row)) for row in inside]
    files = {
        "cuts.otio": (otio_text(cut), "the rough cut and all markers, OpenTimelineIO"),
        "cuts.edl": (edl_text(cut), "the rough cut, CMX 3600"),
        "recording.vtt": (followed_captions(placed), "captions of the whole recording"),
        "recording-chapters.vtt": (chapters_vtt(_marks(marks)), "chapters of the recording"),
    }
    made = []
    for name, (text, what) in files.items():
        write_whole(folder / name, text.encode())
        made.append(MadeFile(folder / name, what))
    return made


def _marks(spans: Sequence[tuple[float, float, str]]) -> list[ChapterMark]:
    return [ChapterMark(start, end, name) for start, end, name in spans]


def _facts(film: Film) -> FootageFacts | None:
    path = film.sources[0].path
    return facts_of(path) if has_picture(path) else None


def _cut_rate(facts: FootageFacts | None) -> Fraction:
    """The rate that cuts are counted in: the camera's, brought to the nearest that editors have."""
    if facts is None:
        return _USUAL_FPS
    rates = [Fraction(n) for n in (24, 25, 30, 50, 60)]
    rates += [Fraction(n * 1000, 1001) for n in (24, 30, 60)]
    return min(rates, key=lambda rate: abs(rate - facts.fps))


def _stretch(film: Film, row: FilmRow, settings: FilmEntry) -> tuple[float, float]:
    """What is shown of a playing, with a little before and after, within the recording."""
    return max(row.start_s - settings.before, 0.0), min(row.end_s + settings.after, film.length_s)


def _apart(
    film: Film, rows: Sequence[FilmRow], settings: FilmEntry
) -> list[tuple[FilmRow, float, float]]:
    """What is shown of each playing of the recording; short talk between two is parted by them."""
    shown = [(row, *_stretch(film, row, settings)) for row in rows]
    apart = []
    at = 0.0
    for place, (row, start, end) in enumerate(shown):
        start = max(start, at)
        if place + 1 < len(shown):
            following = shown[place + 1][1]
            if following - end < _LEAST_TALK_S:
                end = max(following, min(end, shown[place + 1][0].start_s - 0.1))
        if end > start:
            apart.append((row, start, end))
            at = end
    return apart


def _name(row: FilmRow) -> str:
    part = "" if row.whole else f", {row.part}"
    return f"{row.example}{part}, ♩ = {row.tempo_bpm:.0f}"


def _nothing_taken() -> OutputError:
    return OutputError(
        "no whole playing was found to propose",
        mend="Say yes to a playing in the table (--table), or show the whole recording",
    )
