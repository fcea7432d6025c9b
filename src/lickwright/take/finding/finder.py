"""Which lines does a long recording hold, from when to when, how fast and how well?

First the possible paths of every line, then those that together explain the recording best, then
each of them judged note by note like a take of its own.  The work grows as the recording.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from lickwright.score import Score
from lickwright.take.finding.choosing import COST, Candidate, best_apart
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
        pitched = [n.index for n in self.take.notes if not self.score.lick.notes[n.index].marks.dead]
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


def find_playings(scores: Sequence[Score], recording: Recording) -> tuple[Playthrough, ...]:
    """Every playing of some lines in a recording, whole or in part.

    Parameters
    ----------
    scores : the lines, each with its slow and its target tempo; they are looked for from half the
        one to a quarter above the other.
    recording : up to three hours of it, with talk and other playing between.

    Returns
    -------
    tuple of Playthrough
        In time; empty where nothing was found.
    """
    lines = [sought_line(score) for score in scores]
    reaches = [key_range(score.guitar) for score in scores]
    if not reaches:
        return ()
    sound = listen(recording)
    keys = (min(low for low, _ in reaches), max(high for _, high in reaches))
    events = find_events(recording, sound, keys)
    chosen = best_apart([c for n, line in enumerate(lines) for c in _candidates(events, n, line)])
    found = (_playthrough(lines, recording, sound, events, candidate) for candidate in chosen)
    return tuple(playing for playing in found if playing is not None)


def _candidates(events: Events, number: int, line: SoughtLine) -> list[Candidate]:
    if len(line.keys) < _LEAST_NOTES:
        return []
    found = paths(events, line)
    return [
        Candidate(number, *map(int, row[:4]), float(row[4]))
        for row in zip(
            found.first, found.last, found.begin, found.end, found.evidence, strict=True
        )
        if row[4] > COST
    ]


def _playthrough(
    lines: Sequence[SoughtLine],
    recording: Recording,
    sound: Spectrum,
    events: Events,
    candidate: Candidate,
) -> Playthrough | None:
    """A candidate, judged; nothing where too little of it is right."""
    line = lines[candidate.line]
    first, last = candidate.first, candidate.last
    begin_s, end_s = (float(events.time_s[e]) for e in (candidate.begin, candidate.end))
    tempo = 60.0 * float(line.quarters[last] - line.quarters[first]) / max(end_s - begin_s, 1e-3)
    around = max(_AROUND_S, _BEYOND * 60.0 / tempo / 4)
    low, high = np.searchsorted(events.time_s, (begin_s - around, end_s + around))
    near = events.some(np.arange(low, high))
    take, first, last = _judged(line, recording, sound, near, first, last, tempo)
    notes = take.notes[line.notes[first] : line.notes[last] + 1]
    right = sum(note.heard_midi == note.midi for note in notes)
    if last - first + 1 < _LEAST_NOTES or right < _LEAST_RIGHT * (last - first + 1):
        return None
    last_note = take.score.lick.notes[line.notes[last]]
    heard = [note for note in notes if note.heard_s is not None]
    start_s, due_s = float(heard[0].heard_s or 0.0), float(heard[-1].heard_s or 0.0)
    return Playthrough(
        candidate.line,
        line.notes[first],
        line.notes[last],
        start_s,
        due_s + float(last_note.duration) * 60.0 / take.tempo_bpm,
        take.tempo_bpm,
        take,
        tuple(
            replace(p, first=line.notes[p.first], last=line.notes[p.last])
            for p in shared_passages(lines, candidate.line, first, last)
        ),
        float(1.0 / (1.0 + np.exp((_HALF_SURE + COST - candidate.evidence) / _SURER))),
    )


def _judged(
    line: SoughtLine,
    recording: Recording,
    sound: Spectrum,
    events: Events,
    first: int,
    last: int,
    tempo_bpm: float,
) -> tuple[Take, int, int]:
    """The notes of a path and some beyond it, cut to those that were heard."""
    low, high = max(first - _BEYOND, 0), min(last + _BEYOND, len(line.keys) - 1)
    for _ in range(2):  # the second time without what was tried in vain
        take = take_of_part(
            line.score, recording, sound, events, line.notes[low : high + 1], tempo_bpm
        )
        kept = _heard_part(line, take, low, high, first, last)
        if kept == (low, high):
            break
        low, high = kept
    return take, low, high


def _heard_part(
    line: SoughtLine, take: Take, low: int, high: int, first: int, last: int
) -> tuple[int, int]:
    """From the first to the last note that was heard with its neighbour."""

    def right(place: int) -> bool:
        note = take.notes[line.notes[place]]
        return note.heard_midi == note.midi

    while first < last and not (right(first) and right(first + 1)):
        first += 1
    while last > first and not (right(last) and right(last - 1)):
        last -= 1
    while first > low and right(first - 1):
        first -= 1
    while last < high and right(last + 1):
        last += 1
    return first, last
