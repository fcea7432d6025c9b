"""The Score of one example: the single thing that page, MIDI, audio and pictures are made from.

It holds decisions, not instructions: every note knows its string, fret, finger, stroke and time,
every bar its length, every chord its span.  Media read it; none of them decides anything about
the music.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from lickwright.lick import Lick
from lickwright.neck import Guitar
from lickwright.theory import Key, NoteName


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar; ``onset`` and ``length`` in quarter notes, a pickup shorter than its meter."""

    number: int
    onset: Fraction
    length: Fraction
    beats: int
    unit: int
    key: Key

    @property
    def end(self) -> Fraction:
        return self.onset + self.length


@dataclass(frozen=True, slots=True)
class ChordSpan:
    """A chord as it is printed and as the backing sounds it."""

    onset: Fraction
    length: Fraction
    symbol: str
    notes: tuple[NoteName, ...]
    bass: NoteName


@dataclass(frozen=True, slots=True)
class Score:
    """One example, ready for every medium.  Tempi in quarter notes a minute."""

    name: str
    guitar: Guitar
    lick: Lick
    bars: tuple[Bar, ...]
    chords: tuple[ChordSpan, ...]
    slow_bpm: float
    target_bpm: float

    @property
    def length(self) -> Fraction:
        """Quarter notes from the first bar line to the last."""
        return self.bars[-1].end
