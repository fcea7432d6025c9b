"""What the hands play and when: the values that every later room reads.

Time is an exact ``Fraction`` of quarter notes from the start of the lick.  Nothing downstream
re-derives string, fret, finger, stroke or time.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from lickwright.neck.instrument import Position
from lickwright.theory.pitch import Pitch


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
class LickNote:
    """One note.

    Parameters
    ----------
    onset, duration : quarter notes; the duration is the written one.
    finger : 1-4 (index to little), 0 = open string, ``None`` where not yet worked out.
    stroke : ``None`` for a note that is not picked (hammer-on, pull-off, slide) or not worked out.
    voice : which of the example's triads the note belongs to (0, 1 ...), ``None`` where neither.
    degree : its degree over the sounding bass, such as ``"b3"`` or ``"11"``; a label only.
    dead : struck on a damped string: a click without its pitch (``x`` in tab).
    """

    position: Position
    pitch: Pitch
    onset: Fraction
    duration: Fraction
    finger: int | None = None
    stroke: Stroke | None = None
    technique: Technique = Technique.PICK
    vibrato: bool = False
    palm_mute: bool = False
    voice: int | None = None
    degree: str | None = None
    dead: bool = False

    @property
    def end(self) -> Fraction:
        return self.onset + self.duration


@dataclass(frozen=True, slots=True)
class Tuplet:
    """A stretch of time in which ``actual`` equal values fill the room of ``normal``."""

    onset: Fraction
    length: Fraction
    actual: int
    normal: int


@dataclass(frozen=True, slots=True)
class Lick:
    """A monophonic line on one instrument; notes ascend in time and never overlap."""

    notes: tuple[LickNote, ...]
    length: Fraction
    tuplets: tuple[Tuplet, ...] = ()
