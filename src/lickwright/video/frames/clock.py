"""What is played at a moment of the film?

The first bar line of a passage sounds ``start_s`` after its beginning, as in the audio; all else
follows from the score and the tempo.  A frame shows the middle of the time for which it stands,
so what it shows is never further from the sound than half a frame.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import pairwise

from lickwright.errors import OutputError, RhythmError
from lickwright.score import ChordSpan, PlayedTime, Score, played_time, seconds

#: Two times closer than this are one: far below a frame, far above rounding.
_SAME_S = 1e-6


@dataclass(frozen=True, slots=True)
class TriadNames:
    """What the triads are called, by voice, from a moment of the score on."""

    onset: Fraction
    names: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Passage:
    """One example at one tempo, as the audio plays it.

    Parameters
    ----------
    tempo_bpm : quarter notes a minute.
    start_s : when the first bar line sounds: the length of the count-in.
    length_s : length of the audio, with the count-in and what rings on at the end.
    triads : the triads' names, in time; empty where none are known.
    moments : onsets of the score and the seconds at which they really sounded, both rising, where
        a player is followed; between them time goes evenly, beyond them at the tempo.
    silent : indexes of the notes that were not played.

    Raises
    ------
    RhythmError
        For a tempo that is not positive.
    OutputError
        For times that are not those of an audio file.
    """

    score: Score
    tempo_bpm: float
    start_s: float
    length_s: float
    triads: tuple[TriadNames, ...] = ()
    moments: tuple[tuple[Fraction, float], ...] = ()
    silent: frozenset[int] = frozenset()
    _played: PlayedTime = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if not (math.isfinite(self.tempo_bpm) and self.tempo_bpm > 0):
            raise RhythmError(
                f"a tempo of {self.tempo_bpm:g} quarter notes a minute",
                mend="Give a tempo above 0",
            )
        times = math.isfinite(self.start_s) and math.isfinite(self.length_s)
        rising = all(
            one[0] < other[0] and one[1] < other[1] for one, other in pairwise(self.moments)
        )
        if not rising:
            raise OutputError(
                "moments of a playing that do not rise",
                mend="Give each moment of the score once, in the order in which they sounded",
            )
        if not times or self.start_s < 0 or self.length_s <= self.start_s:
            raise OutputError(
                f"music that starts at {self.start_s:g} s of {self.length_s:g} s",
                mend="Give the start and the length of the audio that the picture goes with",
            )
        object.__setattr__(self, "_played", played_time(self.score, self.tempo_bpm))

    def seconds(self, onset: Fraction) -> float:
        """When a moment of the score sounds, in seconds from the beginning."""
        if not self.moments:
            return self.start_s + seconds(self._played.line(onset), self.tempo_bpm)
        after = bisect_right(self.moments, onset, key=lambda moment: moment[0])
        before, time_s = self.moments[max(after - 1, 0)]
        beyond = float(onset - before)
        if not 0 < after < len(self.moments):
            return time_s + beyond * 60.0 / self.tempo_bpm
        end, end_s = self.moments[after]
        return time_s + beyond / float(end - before) * (end_s - time_s)

    def quarters(self, time_s: float) -> float:
        """Which moment of the score sounds at a time, in quarter notes from its beginning."""
        if not self.moments:
            return self._played.written((time_s - self.start_s) * self.tempo_bpm / 60.0)
        after = bisect_right(self.moments, time_s, key=lambda moment: moment[1])
        onset, begin_s = self.moments[max(after - 1, 0)]
        beyond = time_s - begin_s
        if not 0 < after < len(self.moments):
            return float(onset) + beyond * self.tempo_bpm / 60.0
        end, end_s = self.moments[after]
        return float(onset) + beyond / (end_s - begin_s) * float(end - onset)

    @property
    def music_end_s(self) -> float:
        """The last bar line."""
        return self.seconds(self.score.length)

    def names_at(self, onset: Fraction) -> tuple[str, ...]:
        """The triads' names at a moment of the score."""
        past = bisect_right(self.triads, onset, key=lambda named: named.onset)
        return self.triads[past - 1].names if past else ()


@dataclass(frozen=True, slots=True)
class Beat:
    """A felt beat; ``bar`` is ``None`` in the count-in."""

    time_s: float
    number: int
    bar: int | None


class Clock:
    """The moments of one passage, ready to be asked for every frame."""

    def __init__(self, passage: Passage) -> None:
        self.passage = passage
        score = passage.score
        self._onsets_s = [passage.seconds(note.onset) for note in score.lick.notes]
        self._ends_s = [passage.seconds(note.end) for note in score.lick.notes]
        self._chords_s = [passage.seconds(chord.onset) for chord in score.chords]
        self.beats = (*_count_in(passage), *_bar_beats(passage))
        self._beats_s = [beat.time_s for beat in self.beats]

    def note_at(self, time_s: float) -> int | None:
        """The index of the note that sounds, ``None`` in a rest, before and after the music."""
        index = bisect_right(self._onsets_s, time_s + _SAME_S) - 1
        sounds = index >= 0 and time_s + _SAME_S < self._ends_s[index]
        return index if sounds and index not in self.passage.silent else None

    def chord_at(self, time_s: float) -> ChordSpan | None:
        """The chord that sounds: the first one already during the count-in, the last one on."""
        chords = self.passage.score.chords
        if not chords:
            return None
        return chords[max(0, bisect_right(self._chords_s, time_s + _SAME_S) - 1)]

    def beat_at(self, time_s: float) -> Beat | None:
        """The beat that was struck last, ``None`` before the first and after the music."""
        index = bisect_right(self._beats_s, time_s + _SAME_S) - 1
        over = time_s + _SAME_S >= self.passage.music_end_s
        return None if index < 0 or over else self.beats[index]


def _bar_beats(passage: Passage) -> Iterator[Beat]:
    for bar in passage.score.bars:
        for onset, number in bar.felt_beats:
            yield Beat(passage.seconds(onset), number, bar.number)


def _count_in(passage: Passage) -> Sequence[Beat]:
    """The beats before the music, counted back from the first bar in its meter; none where a
    player is followed, who counts as he likes."""
    if passage.moments:
        return ()
    first = passage.score.bars[0]
    whole = first.whole
    lengths = first.beat_lengths
    bar_onset = min(Fraction(0), first.length - whole)
    found: list[Beat] = []
    while passage.seconds(bar_onset + whole) > _SAME_S:
        at = bar_onset
        beats = []
        for number, length in enumerate(lengths, start=1):
            if at < 0 and passage.seconds(at) > -_SAME_S:
                beats.append(Beat(max(0.0, passage.seconds(at)), number, None))
            at += length
        found = beats + found
        bar_onset -= whole
    return found


def frame_count(length_s: float, fps: Fraction) -> int:
    """Frames that cover a length of time."""
    return max(1, math.ceil(Fraction(length_s).limit_denominator(1_000_000) * fps))


def frame_time_s(frame: int, fps: Fraction) -> float:
    """The moment that a frame shows."""
    return float((frame + Fraction(1, 2)) / fps)
