"""How does the rhythm of a lick fill the time of each chord?

The lick starts again on every chord (rules of the house):

* A chord as long as the lick takes it as it is.
* A shorter chord takes its beginning.  A note that would ring on is cut at the chord's end; a
  tuplet that would be cut is left out, and the note before it is held instead.
* A longer chord takes the lick over and over, the last time perhaps in part.
* Where a tuplet would cross a bar line, the lick is cut at the bar line and starts again there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from lickwright.changes.progression import Changes
from lickwright.errors import RhythmError
from lickwright.lick import Lick, Tuplet


@dataclass(frozen=True, slots=True)
class FilledNote:
    """A note of the lick in the time of a chord; ``source`` is its index in the lick."""

    source: int
    onset: Fraction
    duration: Fraction

    @property
    def end(self) -> Fraction:
        return self.onset + self.duration


@dataclass(frozen=True, slots=True)
class Filling:
    """The notes and tuplets under one chord; times in quarter notes from the first bar line."""

    notes: tuple[FilledNote, ...]
    tuplets: tuple[Tuplet, ...]

    @property
    def sources(self) -> tuple[int, ...]:
        """Which notes of the lick are played, in order."""
        return tuple(note.source for note in self.notes)


def fill_chords(lick: Lick, changes: Changes) -> tuple[Filling, ...]:
    """The filling of every chord of the changes, in order.

    Raises
    ------
    RhythmError
        When the lick has no notes or no length.
    """
    if not lick.notes or lick.length <= 0:
        raise RhythmError("the lick to carry has no notes", mend="Give it at least one")
    bar_lines = sorted({bar.onset + bar.length for bar in changes.bars})
    return tuple(_fill(lick, chord.onset, chord.end, bar_lines) for chord in changes.chords)


def _fill(lick: Lick, start: Fraction, end: Fraction, bar_lines: Sequence[Fraction]) -> Filling:
    notes: list[FilledNote] = []
    tuplets: list[Tuplet] = []
    for copy_start, copy_end in _copies(lick, start, end, bar_lines):
        part = _cut(lick, copy_end - copy_start)
        notes += [FilledNote(n.source, copy_start + n.onset, n.duration) for n in part.notes]
        tuplets += [
            Tuplet(copy_start + t.onset, t.length, t.actual, t.normal) for t in part.tuplets
        ]
    return Filling(tuple(notes), tuple(tuplets))


def _copies(
    lick: Lick, start: Fraction, end: Fraction, bar_lines: Sequence[Fraction]
) -> Iterator[tuple[Fraction, Fraction]]:
    """Start and end of each copy of the lick under a chord."""
    while start < end:
        stop = min(start + lick.length, end)
        for line in bar_lines:
            crossed = any(
                start + tuplet.onset < line < start + tuplet.onset + tuplet.length
                for tuplet in lick.tuplets
            )
            if start < line < stop and crossed:
                stop = line
                break
        yield start, stop
        start = stop


def _cut(lick: Lick, room: Fraction) -> Filling:
    """The beginning of a lick that fits in ``room`` quarter notes, from its own start."""
    if room >= lick.length:
        whole = tuple(FilledNote(i, n.onset, n.duration) for i, n in enumerate(lick.notes))
        return Filling(whole, lick.tuplets)
    kept_tuplets = tuple(t for t in lick.tuplets if t.onset + t.length <= room)
    cut_tuplets = [t for t in lick.tuplets if t.onset < room < t.onset + t.length]
    stop = min([room, *(t.onset for t in cut_tuplets)])
    notes = [
        FilledNote(i, n.onset, min(n.end, room) - n.onset)
        for i, n in enumerate(lick.notes)
        if n.onset < stop
    ]
    if not notes:
        return Filling((FilledNote(0, Fraction(0), room),), ())
    if cut_tuplets:
        last = notes[-1]
        notes[-1] = FilledNote(last.source, last.onset, room - last.onset)
    return Filling(tuple(notes), kept_tuplets)
