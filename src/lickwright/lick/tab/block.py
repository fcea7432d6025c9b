"""What does a tab block hold?  Its notes in order, each with its bar; no rhythm."""

from __future__ import annotations

from dataclasses import dataclass

from lickwright.lick.notes import PLAIN, Lick, Marks, Technique
from lickwright.lick.rhythm import COMMON_TIME, Meter
from lickwright.neck import Position


@dataclass(frozen=True, slots=True)
class TabColumn:
    """One note of a tab block.

    Parameters
    ----------
    position : string and fret; a dead note has the fret 0.
    bar : which bar it stands in, counted from 0.
    technique : how it starts.
    held : the note before it goes on sounding; nothing is struck.
    marks : what the note bears.
    """

    position: Position
    bar: int
    technique: Technique = Technique.PICK
    marks: Marks = PLAIN
    held: bool = False


@dataclass(frozen=True, slots=True)
class TabBlock:
    """The notes of a tab block in order, and how many bars it has."""

    columns: tuple[TabColumn, ...]
    bars: int

    @property
    def positions(self) -> tuple[Position, ...]:
        """Where each column stands, held ones included."""
        return tuple(column.position for column in self.columns)


def tab_of(lick: Lick, *, meter: Meter = COMMON_TIME) -> TabBlock:
    """The tab columns of a lick, one a note, in the bars of ``meter``."""
    columns = tuple(
        TabColumn(
            note.position,
            meter.bar_of(note.onset),
            note.technique,
            note.marks,
        )
        for note in lick.notes
    )
    ends = [column.bar + 1 for column in columns[-1:]]
    if lick.length > 0:
        ends.append(meter.bar_of(lick.length) + (meter.bar_end(lick.length) != lick.length))
    return TabBlock(columns, max(ends, default=1))
