"""Which examples of a lesson does a film hold, how well was each played, and which is the best?"""

from __future__ import annotations

import math
import os
from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from statistics import median
from typing import Any

from lickwright.errors import Spot
from lickwright.lesson.compile import Worked, Workshop
from lickwright.lesson.file import Lesson
from lickwright.take import NoteVerdict, TakeError
from lickwright.take.finding import (
    Alongside,
    ListenedFilm,
    Playthrough,
    alongside,
    find_playings,
    listen_through,
)
from lickwright.take.judging import remarks
from lickwright.take.listening import read_recording

_COUNTED = (
    (NoteVerdict.MISSING, "missing"),
    (NoteVerdict.WRONG, "wrong"),
    (NoteVerdict.EARLY, "early"),
    (NoteVerdict.LATE, "late"),
)


@dataclass(frozen=True, slots=True)
class FilmSource:
    """One of the files that recorded the same playing.

    Parameters
    ----------
    beside : where it lies beside the first one, on whose clock all times are given.
    """

    path: Path
    beside: Alongside = field(default_factory=Alongside)


@dataclass(frozen=True, slots=True)
class FilmRow:
    """A playing of an example, as the table shows it; times on the first recording's clock.

    Parameters
    ----------
    example : its name.
    start_s, end_s : in the recording.
    whole : whether all of it was played.
    bars : the numbers of its first and last bar.
    tempo_bpm : quarter notes a minute.
    speed : ``slow`` or ``target``: the nearer of the example's own tempi.
    faults : what was wrong, each in a few words.
    sure : 0 to 1.
    also : other examples with the very notes, and until when they are shared.
    proposed : why it is the best whole playing at its speed; empty where it is not.
    use : ``yes`` or ``no`` where the teacher said so.
    corrected : whether the teacher changed what it is, or where.
    playing : note by note; ``None`` where a teacher says it was played and no note can be heard.
    """

    example: str
    start_s: float
    end_s: float
    whole: bool
    bars: tuple[int, int]
    tempo_bpm: float
    speed: str
    faults: tuple[str, ...]
    sure: float
    also: tuple[tuple[str, float], ...] = ()
    proposed: str = ""
    use: str = ""
    corrected: bool = False
    playing: Playthrough | None = None

    @property
    def taken(self) -> bool:
        """Whether it goes into the rough cut: as the teacher says, else as proposed."""
        return self.use == "yes" or (self.use == "" and bool(self.proposed))

    @property
    def part(self) -> str:
        """How much of the example it is, in words."""
        first, last = self.bars
        if self.whole:
            return "whole"
        return f"bar {first}" if first == last else f"bars {first}-{last}"

    def as_data(self) -> dict[str, Any]:
        """The row as plain data, for ``--json``."""
        data: dict[str, Any] = {
            "example": self.example,
            "start_s": round(self.start_s, 4),
            "end_s": round(self.end_s, 4),
            "whole": self.whole,
            "bars": list(self.bars),
            "tempo_bpm": round(self.tempo_bpm, 2),
            "speed": self.speed,
            "faults": list(self.faults),
            "sure": round(self.sure, 3),
            "also": [{"example": name, "until_s": round(at, 4)} for name, at in self.also],
            "proposed": self.proposed,
            "use": self.use,
            "corrected": self.corrected,
            "notes": [],
            "remarks": [],
        }
        if self.playing is not None:
            data["notes"] = [
                {
                    "note": note.index + 1,
                    "verdict": note.verdict.value,
                    "heard_s": None if note.heard_s is None else round(note.heard_s, 4),
                    "midi": note.heard_midi,
                }
                for note in self.playing.notes
            ]
            data["remarks"] = [remark.text for remark in remarks(self.playing.take)]
        return data


@dataclass(frozen=True, slots=True)
class Film:
    """A lesson's film: its recordings, what was heard, and what was found in it.

    Parameters
    ----------
    sources : the files; the first one's clock is the film's.
    ear : which of them was listened to.
    listened : what was heard in it, on its own clock.
    examples : the lesson's, worked out.
    rows : in time.
    length_s : until the last of the recordings ends.
    """

    lesson: Lesson
    sources: tuple[FilmSource, ...]
    ear: int
    listened: ListenedFilm
    examples: tuple[Worked, ...]
    rows: tuple[FilmRow, ...]
    length_s: float

    def as_data(self) -> dict[str, Any]:
        """The film as plain data, for ``--json``."""
        return {
            "lesson": self.lesson.entry.lesson,
            "recordings": [
                {
                    "file": source.path.name,
                    "start_s": round(source.beside.start_s, 4),
                    "pace": round(source.beside.pace, 8),
                    "heard": place == self.ear,
                }
                for place, source in enumerate(self.sources)
            ],
            "length_s": round(self.length_s, 3),
            "tuning_cents": round(self.listened.sound.tuning_cents),
            "playings": [row.as_data() for row in self.rows],
        }


def find_film(lesson: Lesson, recordings: Sequence[str | os.PathLike[str]]) -> Film:
    """Find every playing of a lesson's examples in a film.

    Parameters
    ----------
    recordings : files that recorded the same playing: several cameras, or a camera and a sound
        recorder.  All times are those of the first.  A file without a picture is listened to
        before one with a picture, for its microphone was the nearer one.

    Returns
    -------
    Film
        With at least one row.

    Raises
    ------
    TakeError
        Where a recording cannot be read, two of them do not hold the same sound, or no example
        is found.
    """
    from lickwright.video import has_picture

    workshop = Workshop(lesson)
    examples = tuple(workshop.worked(index) for index in range(len(lesson.examples)))
    paths = [Path(recording) for recording in recordings]
    heard = [read_recording(path) for path in paths]
    sources = [FilmSource(paths[0])]
    for path, recording in zip(paths[1:], heard[1:], strict=True):
        sources.append(FilmSource(path, alongside(heard[0], recording)))
    ear = next((place for place, path in enumerate(paths) if not has_picture(path)), 0)
    length_s = max(
        source.beside.theirs(recording.length_s)
        for source, recording in zip(sources, heard, strict=True)
    )
    listened = listen_through(heard[ear], lesson.guitar)
    playings = find_playings([example.score for example in examples], listened)
    if not playings:
        raise TakeError(
            "no playing of the lesson's examples can be heard",
            mend="Check that the lesson is the one that was played, and in its tuning",
            where=Spot(str(paths[ear])),
        )
    film = Film(lesson, tuple(sources), ear, listened, examples, (), length_s)
    return replace(film, rows=proposed([row_of(film, playing) for playing in playings]))


def row_of(film: Film, playing: Playthrough) -> FilmRow:
    """A playing as a row of the table; nothing is proposed yet.

    Returns
    -------
    FilmRow
        Its times on the clock of the film.
    """
    clock = film.sources[film.ear].beside
    score = playing.score
    slow, target = score.slow_bpm, score.target_bpm
    nearer = abs(math.log(playing.tempo_bpm / slow)) < abs(math.log(playing.tempo_bpm / target))
    also = []
    for passage in playing.shared:
        end = playing.take.notes[passage.last]
        until = end.expected_s if end.heard_s is None else end.heard_s
        also.append((film.examples[passage.line].entry.name, clock.theirs(until)))
    return FilmRow(
        film.examples[playing.line].entry.name,
        clock.theirs(playing.start_s),
        clock.theirs(playing.end_s),
        playing.whole,
        playing.bars,
        playing.tempo_bpm,
        "slow" if nearer else "target",
        faults_of(playing),
        playing.sure,
        tuple(also),
        playing=playing,
    )


def faults_of(playing: Playthrough) -> tuple[str, ...]:
    """What was wrong with a playing, each in a few words.

    Returns
    -------
    tuple of str
        Such as ``("2 missing", "1 late", "stopped before note 9")``.
    """
    counts = [(sum(n.verdict is v for n in playing.notes), word) for v, word in _COUNTED]
    counts.append((len(playing.take.extras), "too many"))
    stops = tuple(
        f"stopped before note {pause.index + 1}"
        for pause in playing.take.pauses
        if pause.seconds > 0
    )
    returns = tuple(
        f"went back from note {back.after + 1} to {back.to + 1}" for back in playing.take.returns
    )
    return (*(f"{count} {word}" for count, word in counts if count), *stops, *returns)


def proposed(rows: Sequence[FilmRow]) -> tuple[FilmRow, ...]:
    """The rows, the best whole playing of each example at each speed among them proposed.

    What a teacher said no to is not proposed; what was said yes to leaves no room for another.

    Returns
    -------
    tuple of FilmRow
        In time.
    """
    groups: dict[tuple[str, str], list[FilmRow]] = {}
    for row in rows:
        if row.whole and row.playing is not None and row.use != "no":
            groups.setdefault((row.example, row.speed), []).append(row)
    reasons: dict[int, str] = {}
    for group in groups.values():
        if not any(row.use == "yes" for row in group):
            best = min(group, key=_worse)
            reasons[id(best)] = _reason(best, group)
    return tuple(
        replace(row, proposed=reasons.get(id(row), ""))
        for row in sorted(rows, key=lambda row: row.start_s)
    )


def _worse(row: FilmRow) -> tuple[float, float]:
    """How much speaks against a playing: its faults first, then how uneven it is."""
    playing = row.playing
    if playing is None:
        return math.inf, math.inf
    stops = len(playing.take.pauses) + len(playing.take.returns)
    return playing.faults + 3 * stops, _uneven_s(playing)


def _uneven_s(playing: Playthrough) -> float:
    late = [abs(note.late_s) for note in playing.notes if note.late_s is not None]
    return median(late) if late else math.inf


def _reason(best: FilmRow, group: Sequence[FilmRow]) -> str:
    """Why a playing was chosen, in a few words."""
    assert best.playing is not None
    count = best.playing.faults
    words = "no fault" if not count else f"{count} fault{'s' * (count > 1)}"
    words += f", {1000 * _uneven_s(best.playing):.0f} ms from even"
    others = [row.playing for row in group if row is not best and row.playing is not None]
    if not others:
        return f"the only whole one at this speed: {words}"
    least = min(playing.faults for playing in others)
    if least > count:
        return f"fewest faults of {len(group)}: {words}; the next has {least}"
    return f"most even of {len(group)}: {words}"
