"""What does any line over one chord of a progression go by, whichever way it is carried?"""

from __future__ import annotations

from dataclasses import dataclass

from lickwright.changes.lines.home import Home
from lickwright.changes.lines.joins import CarryCosts
from lickwright.changes.lines.strokes import PickingTask
from lickwright.neck import Guitar, HandProfile
from lickwright.theory import Chord, Key


@dataclass(frozen=True, slots=True)
class ChordGround:
    """What any line over one chord goes by.

    Parameters
    ----------
    home : where the lick was made.
    chord, key : what sounds, and the key that rules there.
    picking : what the right hand is asked.
    guitar, hand : who plays on what.
    costs : the prices that hold in this bar.
    frets, strings : windows, ``None`` for the whole neck.
    """

    home: Home
    chord: Chord
    key: Key | None
    picking: PickingTask
    guitar: Guitar
    hand: HandProfile
    costs: CarryCosts
    frets: tuple[int, int] | None = None
    strings: tuple[int, int] | None = None
