"""How does the rhythm of a lick fill the time of each chord?

The lick starts again on every chord; a chord that ``%`` holds on is one long chord (rules of the
house):

* A chord as long as the lick takes it as it is.
* A shorter chord takes its beginning.  A note that would ring on is cut at the chord's end; a
  tuplet that would be cut is left out, and the note before it is held instead.
* A longer chord takes the lick over and over: the last time perhaps in part (``round``), or only as
  often as it fits whole, and after that its last note is held (``held``) or there is rest
  (``rest``).
* Where a tuplet would cross a bar line, the lick is cut at the bar line and starts again there.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from lickwright.changes.progression import Changes
from lickwright.errors import RhythmError
from lickwright.lick import Lick, Part, Tuplet
from lickwright.lick.phrase import PartFilling


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
class LickCopy:
    """One time that the lick is played; ``length`` is less than the lick's where it is cut."""

    onset: Fraction
    length: Fraction

    @property
    def end(self) -> Fraction:
        return self.onset + self.length


@dataclass(frozen=True, slots=True)
class Filling:
    """The notes and tuplets under one chord; times in quarter notes from the first bar line.

    Parameters
    ----------
    copies : each time that the lick is played, in order.
    """

    notes: tuple[FilledNote, ...]
    tuplets: tuple[Tuplet, ...]
    copies: tuple[LickCopy, ...] = ()

    @property
    def sources(self) -> tuple[int, ...]:
        """Which notes of the lick are played, in order."""
        return tuple(note.source for note in self.notes)


def fill_chords(
    lick: Lick, changes: Changes, filled: PartFilling = PartFilling.ROUND
) -> tuple[Filling, ...]:
    """The filling of every chord of the changes, in order.

    Parameters
    ----------
    filled : what fills the time of a chord after the last whole lick.

    Raises
    ------
    RhythmError
        When the lick has no notes or no length.
    """
    if not lick.notes or lick.length <= 0:
        raise RhythmError("the lick to carry has no notes", mend="Give it at least one")
    bar_lines = sorted({bar.onset + bar.length for bar in changes.bars})
    return tuple(_fill(lick, chord.onset, chord.end, bar_lines, filled) for chord in changes.chords)


def _fill(
    lick: Lick,
    start: Fraction,
    end: Fraction,
    bar_lines: Sequence[Fraction],
    filled: PartFilling,
) -> Filling:
    notes: list[FilledNote] = []
    tuplets: list[Tuplet] = []
    copies: list[LickCopy] = []
    for copy_start, copy_end in _copies(lick, start, end, bar_lines):
        is_cut = copy_end - copy_start < lick.length
        if is_cut and copies and filled is not PartFilling.ROUND:
            break
        played = _cut(lick, copy_end - copy_start)
        notes += [FilledNote(n.source, copy_start + n.onset, n.duration) for n in played.notes]
        tuplets += [
            Tuplet(copy_start + t.onset, t.length, t.actual, t.normal) for t in played.tuplets
        ]
        copies.append(LickCopy(copy_start, copy_end - copy_start))
    if filled is PartFilling.HELD and copies[-1].end < end:
        last = notes[-1]
        notes[-1] = FilledNote(last.source, last.onset, end - last.onset)
    return Filling(tuple(notes), tuple(tuplets), tuple(copies))


def carried_parts(lick: Lick, fillings: Sequence[Filling], length: Fraction) -> tuple[Part, ...]:
    """The parts of the carried line: those of every copy of the lick, as far as it goes.

    Parameters
    ----------
    length : of the whole line; the last part lasts until then.
    """
    if not lick.parts:
        return ()
    copies = [copy for filling in fillings for copy in filling.copies]
    ends = [*(copy.onset for copy in copies[1:]), length]
    parts: list[Part] = []
    for copy, end in zip(copies, ends, strict=True):
        first = len(parts)
        begun = parts_begun(lick, copy)
        for index, part in enumerate(lick.parts[:begun]):
            stop = end if index == begun - 1 else copy.onset + part.end
            onset = copy.onset + part.onset
            of = None if part.of is None else first + part.of
            parts.append(Part(part.name, onset, stop - onset, part.link, of))
    return tuple(parts)


@dataclass(frozen=True, slots=True)
class CutPart:
    """A part that is not played to its end; ``moment`` is where it is cut, or would have begun."""

    name: str
    moment: Fraction
    begun: bool


def cut_parts(lick: Lick, fillings: Sequence[Filling]) -> tuple[CutPart, ...]:
    """Every part that loses notes, or the end of one, because its chord is over."""
    cut = []
    for filling in fillings:
        for copy in filling.copies:
            for index, part in enumerate(lick.parts):
                if any(note.end > copy.length for note in lick.notes_of(index)):
                    cut.append(CutPart(part.name, copy.end, part.onset < copy.length))
    return tuple(cut)


def parts_begun(lick: Lick, copy: LickCopy) -> int:
    """How many of the lick's parts a copy of it begins."""
    return sum(part.onset < copy.length for part in lick.parts)


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
