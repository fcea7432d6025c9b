"""Which lines does a long recording hold, from when to when, how fast and how well?

First the possible paths of every line, then those that together explain the recording best, then
each of them judged note by note like a take of its own.  The work grows as the recording.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from lickwright.neck import Guitar
from lickwright.score import Score
from lickwright.take.finding.choosing import COST, PossiblePlaying, best_apart
from lickwright.take.finding.returning import goes_on, joined_takes, parted
from lickwright.take.finding.shared import SharedPassage, shared_passages
from lickwright.take.finding.walking import SoughtLine, paths, sought_line
from lickwright.take.judging import take_of_part
from lickwright.take.listening import Events, Recording, Spectrum, find_events, key_range, listen
from lickwright.take.report import HeardNote, NoteVerdict, Take

#: How far beyond its notes a playing is listened to.
_AROUND_S = 0.35
#: So many notes beyond both ends of a path are tried before its end is believed.
_BEYOND = 3
#: With fewer right notes than this share a path is no playing.
_LEAST_RIGHT = 0.6
_LEAST_NOTES = 6
_ROUNDS = 4
#: How far from a moment that a teacher wrote down a playing may begin or end.
_HAND_MARKED_S = 0.5
#: Evidence above :data:`COST` at which a playing is as likely as not, and how fast that grows.
_HALF_SURE, _SURER = 2.0, 6.0


@dataclass(frozen=True, slots=True)
class Playthrough:
    """A line as it was played once, wholly or in part.

    Parameters
    ----------
    line : which line, by its place among those that were looked for.
    first, last : the notes of the lick that were played, from the first to the last heard.
    start_s, end_s : from the first note's start to the last note's end, in the recording.
    tempo_bpm : quarter notes a minute over all of it.
    take : note by note; what lies outside is not judged.
    shared : passages that belong to other lines too; first and last count the notes of the lick.
    sure : 0 to 1.
    """

    line: int
    first: int
    last: int
    start_s: float
    end_s: float
    tempo_bpm: float
    take: Take
    shared: tuple[SharedPassage, ...]
    sure: float

    @property
    def score(self) -> Score:
        """What was played."""
        return self.take.score

    @property
    def whole(self) -> bool:
        """Whether it goes from the first note of the line to the last."""
        pitched = [
            n.index for n in self.take.notes if not self.score.lick.notes[n.index].marks.dead
        ]
        return self.first == pitched[0] and self.last == pitched[-1]

    @property
    def notes(self) -> tuple[HeardNote, ...]:
        """Its notes, from the first to the last."""
        return self.take.notes[self.first : self.last + 1]

    @property
    def faults(self) -> int:
        """Notes that were missing, wrong, early or late, and notes too many."""
        bad = (NoteVerdict.MISSING, NoteVerdict.WRONG, NoteVerdict.EARLY, NoteVerdict.LATE)
        return sum(note.verdict in bad for note in self.notes) + len(self.take.extras)

    @property
    def bars(self) -> tuple[int, int]:
        """The numbers of the first and of the last bar of which notes were played."""
        lick = self.score.lick.notes
        numbers = [
            bar.number
            for bar in self.score.bars
            if bar.onset <= lick[self.last].onset and bar.end > lick[self.first].onset
        ]
        return numbers[0], numbers[-1]


@dataclass(frozen=True, slots=True)
class ListenedFilm:
    """A recording that was listened to once, to be asked about many lines.

    Parameters
    ----------
    sound : what it shows as a whole.
    events : its possible starts.
    """

    recording: Recording
    sound: Spectrum
    events: Events


def listen_through(recording: Recording, guitar: Guitar) -> ListenedFilm:
    """Listen to a recording of a guitar, with talk and other playing between.

    Returns
    -------
    ListenedFilm
        Memory grows by some kilobytes a minute.
    """
    sound = listen(recording)
    return ListenedFilm(recording, sound, find_events(recording, sound, key_range(guitar)))


def find_playings(scores: Sequence[Score], film: ListenedFilm) -> tuple[Playthrough, ...]:
    """Every playing of some lines in a recording, whole or in part.

    Parameters
    ----------
    scores : the lines, each with its slow and its target tempo; they are looked for from half the
        one to a quarter above the other.

    Returns
    -------
    tuple of Playthrough
        In time; empty where nothing was found.
    """
    lines = [sought_line(score) for score in scores]
    found = (_playthrough(lines, film, parts) for parts in _together(lines, film.events))
    return tuple(playing for playing in found if playing is not None)


def playing_between(
    scores: Sequence[Score], line: int, film: ListenedFilm, start_s: float, end_s: float
) -> Playthrough | None:
    """The playing of a line that somebody says lies between two moments.

    Parameters
    ----------
    line : which of the scores.

    Returns
    -------
    Playthrough or None
        The likeliest one, however little speaks for it; ``None`` where hardly a note fits.
    """
    lines = [sought_line(score) for score in scores]
    low, high = np.searchsorted(
        film.events.time_s, (start_s - _HAND_MARKED_S, end_s + _HAND_MARKED_S)
    )
    closed = np.ones(len(film.events), bool)
    closed[low:high] = False
    possible = _candidates(film.events, line, lines[line], closed, least=-np.inf)
    if not possible:
        return None
    best = max(possible, key=lambda candidate: candidate.evidence)
    return _playthrough(lines, film, parted(lines[line], film.events, best))


def _chosen(lines: Sequence[SoughtLine], events: Events) -> list[PossiblePlaying]:
    """The playings that explain the events best, in time.

    A long path hides what it could have gone on to, so what it left is searched again.
    """
    closed = np.zeros(len(events), bool)
    chosen: list[PossiblePlaying] = []
    for _ in range(_ROUNDS):
        possible = [c for n, line in enumerate(lines) for c in _candidates(events, n, line, closed)]
        new = best_apart(possible)
        if not new:
            break
        chosen += new
        for candidate in new:
            closed[candidate.begin : candidate.end + 1] = True
    return sorted(chosen, key=lambda candidate: candidate.begin)


def _together(lines: Sequence[SoughtLine], events: Events) -> list[tuple[PossiblePlaying, ...]]:
    """The chosen candidates, those together that are one playing in which the player went back."""
    groups: list[tuple[PossiblePlaying, ...]] = []
    for chosen in _chosen(lines, events):
        for part in parted(lines[chosen.line], events, chosen):
            if groups and goes_on(lines[part.line], events, groups[-1][-1], part):
                groups[-1] = (*groups[-1], part)
            else:
                groups.append((part,))
    return groups


def _candidates(
    events: Events,
    number: int,
    line: SoughtLine,
    closed: npt.NDArray[np.bool_],
    least: float = COST,
) -> list[PossiblePlaying]:
    if len(line.keys) < _LEAST_NOTES:
        return []
    found = paths(events, line, closed)
    return [
        PossiblePlaying(number, int(row[0]), int(row[1]), int(row[2]), int(row[3]), float(row[4]))
        for row in zip(found.first, found.last, found.begin, found.end, found.evidence, strict=True)
        if row[4] > least
    ]


def _playthrough(
    lines: Sequence[SoughtLine], film: ListenedFilm, parts: Sequence[PossiblePlaying]
) -> Playthrough | None:
    """Candidates that are one playing, judged; nothing where too little of it is right."""
    number = parts[0].line
    line = lines[number]
    judged = [_part(line, film, part) for part in parts]
    first, last = judged[0][1], judged[-1][2]
    take = judged[0][0]
    if len(judged) > 1:
        take = joined_takes([(t, line.notes[low], line.notes[high]) for t, low, high in judged])
    notes = take.notes[line.notes[first] : line.notes[last] + 1]
    right = sum(note.heard_midi == note.midi for note in notes)
    if last - first + 1 < _LEAST_NOTES or right < _LEAST_RIGHT * (last - first + 1):
        return None
    last_note = take.score.lick.notes[line.notes[last]]
    heard = [note.heard_s for note in notes if note.heard_s is not None]
    evidence = sum(part.evidence for part in parts)
    return Playthrough(
        number,
        line.notes[first],
        line.notes[last],
        heard[0],
        heard[-1] + float(last_note.duration) * 60.0 / take.tempo_bpm,
        take.tempo_bpm,
        take,
        tuple(
            replace(p, first=line.notes[p.first], last=line.notes[p.last])
            for p in shared_passages(lines, number, first, last)
            if lines[p.line].may_be(p.pace * take.tempo_bpm)
        ),
        float(1.0 / (1.0 + np.exp((_HALF_SURE + COST - evidence) / _SURER))),
    )


def _part(line: SoughtLine, film: ListenedFilm, part: PossiblePlaying) -> tuple[Take, int, int]:
    """A candidate, judged: its take, and its first and last note as they were heard."""
    events, first, last = film.events, part.first, part.last
    begin_s, end_s = (float(events.time_s[e]) for e in (part.begin, part.end))
    tempo = 60.0 * float(line.quarters[last] - line.quarters[first]) / max(end_s - begin_s, 1e-3)
    around = max(_AROUND_S, _BEYOND * 60.0 / tempo / 4)
    low, high = np.searchsorted(events.time_s, (begin_s - around, end_s + around))
    return _judged(line, film, events.some(np.arange(low, high)), first, last, tempo)


def _judged(
    line: SoughtLine,
    film: ListenedFilm,
    events: Events,
    first: int,
    last: int,
    tempo_bpm: float,
) -> tuple[Take, int, int]:
    """The notes of a path and some beyond it, cut to those that were heard."""
    low, high = max(first - _BEYOND, 0), min(last + _BEYOND, len(line.keys) - 1)
    take = _heard(line, film, events, low, high, tempo_bpm)
    kept = _heard_part(line, take, low, high, first, last)
    if kept != (low, high):  # once more without what was tried in vain
        low, high = kept
        take = _heard(line, film, events, low, high, tempo_bpm)
        low, high = _heard_part(line, take, low, high, low, high)
    return take, low, high


def _heard(
    line: SoughtLine, film: ListenedFilm, events: Events, low: int, high: int, tempo_bpm: float
) -> Take:
    notes = line.notes[low : high + 1]
    return take_of_part(line.score, film.recording, film.sound, events, notes, tempo_bpm)


def _heard_part(
    line: SoughtLine, take: Take, low: int, high: int, first: int, last: int
) -> tuple[int, int]:
    """From the first to the last note that was heard with its neighbour."""

    def right(place: int) -> bool:
        note = take.notes[line.notes[place]]
        return note.heard_midi == note.midi

    end = len(line.keys) - 1
    while first < last and not (right(first) and right(first + 1)):
        first += 1
    while last > first and not (right(last) and right(last - 1)):
        last -= 1
    while first > low and right(first - 1):
        first -= 1
    while last < high and right(last + 1):
        last += 1
    # A whole line may lack the note beside its first or last.
    if first == 2 and low == 0 and right(0):
        first = 0
    if last == end - 2 and high == end and right(end):
        last = end
    return first, last
