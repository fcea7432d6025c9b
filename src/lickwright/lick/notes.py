"""What the hands play and when: the values that every later room reads.

Time is an exact ``Fraction`` of quarter notes from the start of the lick.  Nothing downstream
re-derives string, fret, finger, stroke or time.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass, fields
from enum import StrEnum
from fractions import Fraction

from lickwright.neck import Position
from lickwright.theory import Pitch


class Stroke(StrEnum):
    """A stroke of the picking hand."""

    DOWN = "D"
    UP = "U"


class Technique(StrEnum):
    """How the note starts."""

    PICK = "pick"
    HAMMER_ON = "hammer-on"
    PULL_OFF = "pull-off"
    SLIDE = "slide"


@dataclass(frozen=True, slots=True)
class Marks:
    """What a note bears beside place, time and hands; passed whole from room to room.

    A new mark is a field here, and a line in each place that reads, writes, draws or sounds it.

    Parameters
    ----------
    vibrato : a wavy line.
    palm_mute : under the palm of the picking hand (``PM``).
    dead : struck on a damped string: a click without its pitch (``x`` in tab).
    """

    vibrato: bool = False
    palm_mute: bool = False
    dead: bool = False

    def or_of(self, other: Marks) -> Marks:
        """What either of two heads of one note bears, this one's word first."""
        return Marks(
            **{
                field.name: getattr(self, field.name) or getattr(other, field.name)
                for field in fields(Marks)
            }
        )


#: Of a note that bears nothing.
PLAIN = Marks()


@dataclass(frozen=True, slots=True)
class Belonging:
    """What a note belongs to; passed whole from room to room.

    Parameters
    ----------
    triads : every triad that holds the note in a merged arpeggio, by voice, ascending; empty
        where the note belongs to no more than its :attr:`LickNote.voice`.
    part : index of its part in :attr:`Lick.parts`, ``None`` where the lick is of one piece.
    approach : whether it only leads to the note after it, and is no tone of the harmony.
    """

    triads: tuple[int, ...] = ()
    part: int | None = None
    approach: bool = False


#: Of a note that is in no part, and in no triad but that of its voice.
ALONE = Belonging()


@dataclass(frozen=True, slots=True)
class LickNote:
    """One note.

    Parameters
    ----------
    onset, duration : quarter notes; the duration is the written one.
    finger : 1-4 (index to little), 0 = open string, ``None`` where not yet worked out.
    stroke : ``None`` for a note that is not picked (hammer-on, pull-off, slide) or not worked out.
    marks : what it bears: vibrato, mutes.
    voice : which of the example's triads the note is played as (0, 1 ...), ``None`` where none.
    degree : its degree over the sounding bass, such as ``"b3"`` or ``"11"``; a label only.
    belongs : its part, and all triads that hold it.
    """

    position: Position
    pitch: Pitch
    onset: Fraction
    duration: Fraction
    finger: int | None = None
    stroke: Stroke | None = None
    technique: Technique = Technique.PICK
    marks: Marks = PLAIN
    voice: int | None = None
    degree: str | None = None
    belongs: Belonging = ALONE

    @property
    def end(self) -> Fraction:
        return self.onset + self.duration

    @property
    def triads(self) -> tuple[int, ...]:
        """All triads that hold the note, by voice: of a shared note of merged triads, several."""
        return self.belongs.triads or (() if self.voice is None else (self.voice,))


@dataclass(frozen=True, slots=True)
class Tuplet:
    """A stretch of time in which ``actual`` equal values fill the room of ``normal``."""

    onset: Fraction
    length: Fraction
    actual: int
    normal: int


class PartLink(StrEnum):
    """What a part of a lick does with an earlier part; :mod:`lickwright.lick.phrase.parts` defines
    it."""

    MIRROR = "mirror"
    REPEAT = "repeat"
    ANSWER = "answer"
    VARY = "vary"


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a lick.

    Parameters
    ----------
    name : as the page may print it.
    onset, length : its time, in quarter notes from the start of the lick; parts follow each other
        without a hole, and rests belong to the part in which they are written.
    link, of : what it does with which earlier part (by index), ``None`` where it stands alone.
    """

    name: str
    onset: Fraction
    length: Fraction
    link: PartLink | None = None
    of: int | None = None

    @property
    def end(self) -> Fraction:
        return self.onset + self.length


@dataclass(frozen=True, slots=True)
class Lick:
    """A monophonic line on one instrument; notes ascend in time and never overlap.

    Parameters
    ----------
    length : quarter notes, to the last bar line.
    parts : in order; empty where the lick is of one piece.
    """

    notes: tuple[LickNote, ...]
    length: Fraction
    tuplets: tuple[Tuplet, ...] = ()
    parts: tuple[Part, ...] = ()

    def notes_in(self, start: Fraction, end: Fraction) -> tuple[LickNote, ...]:
        """The notes that begin from ``start`` on and before ``end``."""
        low = bisect_left(self.notes, start, key=_onset)
        return self.notes[low : bisect_left(self.notes, end, low, key=_onset)]

    def notes_of(self, part: int) -> tuple[LickNote, ...]:
        """The notes of the part with an index."""
        return tuple(note for note in self.notes if note.belongs.part == part)


def _onset(note: LickNote) -> Fraction:
    return note.onset
