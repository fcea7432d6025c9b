"""Where does the band feel its beats, and where does it land with the line?"""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from lickwright.score import Bar, ChordSpan, Score
from lickwright.sound.band.feel import Beats


@dataclass(frozen=True, slots=True, order=True)
class BackingNote:
    """One note of the band: MIDI key, onset and duration in quarter notes, velocity 1-127.

    Times are as written: the swing of the score bends them when they are played.
    """

    onset: Fraction
    key: int
    duration: Fraction
    velocity: int


@dataclass(frozen=True, slots=True)
class BandBeat:
    """One felt beat: onset and length in quarter notes, its place among the beats of its bar."""

    onset: Fraction
    length: Fraction
    index: int
    count: int

    @property
    def strong(self) -> bool:
        """The first beat, and the middle one of a bar of four or six."""
        return self.index == 0 or (self.count % 2 == 0 and 2 * self.index == self.count > 2)

    @property
    def back(self) -> bool:
        """Beats 2 and 4; of three, the last."""
        if self.count == 1:
            return False
        return self.index == 2 if self.count == 3 else self.index % 2 == 1

    @property
    def end(self) -> Fraction:
        return self.onset + self.length

    @property
    def dotted(self) -> bool:
        return self.length.numerator % 3 == 0

    def is_among(self, beats: Beats) -> bool:
        """Whether it is one of these beats."""
        if beats == "middle":
            return self.count > 1 and self.index == self.count // 2
        return {
            "all": True,
            "strong": self.strong,
            "back": self.back,
            "first": self.index == 0,
            "later": self.index > 0,
        }[beats]


def beats_of(bar: Bar) -> Iterator[BandBeat]:
    """The felt beats of a bar; a pickup has the last ones of its meter."""
    lengths = bar.beat_lengths
    onset = bar.zero
    for index, length in enumerate(lengths):
        start, end = max(onset, bar.onset), onset + length
        if bar.onset < end and start < bar.end:
            yield BandBeat(start, min(end, bar.end) - start, index, len(lengths))
        onset = end


def beats_within(span: ChordSpan, beats: Sequence[BandBeat]) -> list[BandBeat]:
    """The beats of a span, the first and last cut to it."""
    cut = []
    for beat in beats:
        start, stop = max(beat.onset, span.onset), min(beat.end, span.end)
        if start < stop:
            cut.append(BandBeat(start, stop - start, beat.index, beat.count))
    return cut


def landing_of(score: Score) -> Fraction | None:
    """Where the line comes to rest: its last note, if that is on a beat and held for one or more.

    ``None`` where it runs on to the end.
    """
    if not score.lick.notes:
        return None
    last = score.lick.notes[-1]
    for beat in beats_of(score.bar_at(last.onset)):
        if beat.onset == last.onset and last.duration >= beat.length:
            return last.onset
    return None


def draws(start: int, player: str, bar: int) -> random.Random:
    """The chances of one player in one bar: the same for the same start number, wherever it runs.

    Seeded by text, which Python hashes the same on every machine.
    """
    return random.Random(f"{start} {player} {bar}")
