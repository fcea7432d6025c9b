"""The Score of one example: the single thing that page, MIDI, audio and pictures are made from.

It holds decisions, not instructions: every note knows its string, fret, finger, stroke and time,
every bar its length, every chord its span.  Media read it; none of them decides anything about
the music.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, islice

from lickwright.lick import Lick
from lickwright.lick.rhythm import Meter, bar_length, felt_beats
from lickwright.neck import Guitar
from lickwright.score.swing import Swing
from lickwright.theory import Chord, Key, NoteName

#: As players write that no chord sounds.
NO_CHORD = "N.C."


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar; ``onset`` and ``length`` in quarter notes, a pickup shorter than its meter.

    >>> from lickwright.theory import parse_key
    >>> bar = Bar(0, Fraction(0), Fraction(1), 4, 4, parse_key("C major"))
    >>> bar.pickup, bar.felt_beats
    (True, ((Fraction(0, 1), 4),))
    """

    number: int
    onset: Fraction
    length: Fraction
    beats: int
    unit: int
    key: Key

    @property
    def end(self) -> Fraction:
        return self.onset + self.length

    @property
    def whole(self) -> Fraction:
        """Length of a whole bar of this bar's meter, in quarter notes."""
        return bar_length(self.beats, self.unit)

    @property
    def full(self) -> bool:
        """Whether it is as long as its meter says."""
        return self.length >= self.whole

    @property
    def pickup(self) -> bool:
        """Whether it is the short bar before the first: bar 0, counted from its end."""
        return self.number == 0 and not self.full

    @property
    def zero(self) -> Fraction:
        """Where its first beat is, or would be: before the onset of a pickup."""
        return self.end - self.whole if self.pickup else self.onset

    @property
    def beat_lengths(self) -> tuple[Fraction, ...]:
        """The felt beats of a whole bar, in quarter notes."""
        return felt_beats(self.beats, self.unit)

    @property
    def felt_beats(self) -> tuple[tuple[Fraction, int], ...]:
        """The felt beats that begin in the bar: when, and which number a player counts."""
        starts = accumulate(self.beat_lengths, initial=self.zero)
        return tuple(
            (at, number)
            for number, at in enumerate(islice(starts, len(self.beat_lengths)), start=1)
            if self.onset <= at < self.end
        )


def place_name(bar: int, beat: int) -> str:
    """``bar 3, beat 2``, as players say it; bar 0 is the pickup.

    Parameters
    ----------
    bar : its number; 0 for the pickup.
    beat : counted from 1.

    Returns
    -------
    str
        In words.

    Examples
    --------
    >>> place_name(3, 2)
    'bar 3, beat 2'
    >>> place_name(0, 4)
    'pickup, beat 4'
    """
    return f"{f'bar {bar}' if bar else 'pickup'}, beat {beat}"


@dataclass(frozen=True, slots=True)
class ChordSpan:
    """A chord as it is printed and as the backing sounds it.

    Parameters
    ----------
    chord : ``None`` where the notes have no common name over their bass.
    notes : what sounds.
    bass : the sounding bass; it may lie under a chord that does not name it.
    silent : whether the band is silent (N.C.); ``bass`` is then the one that the line is still
        heard over, and there are no chord and no notes.
    """

    onset: Fraction
    length: Fraction
    chord: Chord | None
    notes: tuple[NoteName, ...]
    bass: NoteName
    silent: bool = False

    @property
    def end(self) -> Fraction:
        return self.onset + self.length

    @property
    def symbol(self) -> str:
        """The chord as text, ``N.C.`` for none; empty where it has no common name."""
        if self.silent:
            return NO_CHORD
        return "" if self.chord is None else str(self.chord)


@dataclass(frozen=True, slots=True)
class Score:
    """One example, ready for every medium.  Tempi in quarter notes a minute.

    Parameters
    ----------
    swing : how line and band swing; ``None`` where nobody said, and the band's feel decides.
    """

    name: str
    guitar: Guitar
    lick: Lick
    bars: tuple[Bar, ...]
    chords: tuple[ChordSpan, ...]
    slow_bpm: float
    target_bpm: float
    swing: Swing | None = None

    @property
    def length(self) -> Fraction:
        """Quarter notes from the first bar line to the last."""
        return self.bars[-1].end

    @property
    def meter(self) -> Meter:
        """Where bar lines and beats fall, where all bars are of one time."""
        first, last = self.bars[0], self.bars[-1]
        return Meter.of(last.beats, last.unit, first.length if first.number == 0 else 0)

    def bar_at(self, moment: Fraction) -> Bar:
        """The bar that holds a moment; the last one from its end on."""
        return self.bars[max(0, bisect_right(self.bars, moment, key=_onset) - 1)]

    def bars_over(self, start: Fraction, end: Fraction) -> tuple[Bar, ...]:
        """The bars that have some time between two moments."""
        low = max(0, bisect_right(self.bars, start, key=_onset) - 1)
        return self.bars[low : bisect_left(self.bars, end, low, key=_onset)]

    def chords_in(self, start: Fraction, end: Fraction) -> tuple[ChordSpan, ...]:
        """The chords that begin from ``start`` on and before ``end``."""
        low = bisect_left(self.chords, start, key=_onset)
        return self.chords[low : bisect_left(self.chords, end, low, key=_onset)]


def _onset(timed: Bar | ChordSpan) -> Fraction:
    return timed.onset
