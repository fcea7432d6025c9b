"""What was :func:`~lickwright.changes.carry.carrying.carry` asked?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from lickwright.changes.carry.filling import Filling
from lickwright.changes.carry.wishes import NO_WISH, CarryWish
from lickwright.changes.lines import (
    CarryCosts,
    HandPlaces,
    Home,
    Joins,
    home_of,
)
from lickwright.changes.progression import (
    Changes,
    PlacedChord,
)
from lickwright.errors import TheoryError, did_you_mean
from lickwright.lick import Lick, PartLink
from lickwright.lick.phrase import Landing, PartFilling, guide_tones
from lickwright.lick.picking import Picking, StrokeCosts
from lickwright.neck import Guitar, HandProfile, Position, Span, fret_window, string_window
from lickwright.theory import (
    Chord,
    Key,
    Triad,
    mask_of,
)

#: Points of the picking hand.
STROKE_POINTS = StrokeCosts()


class CarryWay(StrEnum):
    """How a lick is carried."""

    EXACT = "exact"
    DIATONIC = "diatonic"
    IDEA = "idea"
    GRIP = "grip"


@dataclass(frozen=True, slots=True)
class CarryPin:
    """What the teacher has settled for the chords that begin in a bar; ``None`` leaves it open.

    Parameters
    ----------
    triads : by voice, for a lick carried by idea.
    frets, strings : windows.
    positions : the very places of the notes, in order; the strokes are found for them.
    wish : what else is said of this bar.
    """

    triads: tuple[Triad, ...] | None = None
    frets: Span | None = None
    strings: Span | None = None
    positions: tuple[Position, ...] | None = None
    wish: CarryWish = NO_WISH


def read_way(way: CarryWay | str) -> CarryWay:
    """A way from its name."""
    try:
        return CarryWay(way)
    except ValueError:
        raise TheoryError(
            f"there is no way to carry a lick called '{way}'",
            mend=did_you_mean(str(way), list(CarryWay)) or "Use exact, grip, diatonic or idea",
        ) from None


@dataclass(frozen=True, slots=True)
class CarryTask:
    """Everything :func:`carry` was asked, read.

    Parameters
    ----------
    filled : what fills the time of a chord after the last whole lick.
    keeps_strokes : whether no stroke of the lick may be another, since its parts share them.
    wish : what is said of the whole line.
    landing : where the line lands under its last chord.
    landing_cuts : whether the last of the chords is what the landing has cut off the one before.
    """

    lick: Lick
    changes: Changes
    way: CarryWay
    triads: tuple[Triad, ...]
    source: Chord | None
    source_key: Key | None
    guitar: Guitar
    hand: HandProfile
    picking: Picking
    frets: Span | None
    strings: Span | None
    pins: Mapping[int, CarryPin]
    costs: CarryCosts
    filled: PartFilling = PartFilling.ROUND
    keeps_strokes: bool = False
    wish: CarryWish = NO_WISH
    landing: Landing | None = None
    landing_cuts: bool = False

    @property
    def joins(self) -> Joins:
        open_midi = tuple(
            self.guitar.midi_at(Position(string, 0))
            for string in range(1, self.guitar.string_count + 1)
        )
        tenths = HandPlaces(self.guitar, self.hand).tenths
        return Joins(open_midi, tenths, self.picking, self.costs, STROKE_POINTS)

    def wish_in(self, bar: int) -> CarryWish:
        """What is said of the chords that begin in a bar."""
        return self.pin(bar).wish.over(self.wish)

    def costs_in(self, bar: int) -> CarryCosts:
        """The weights of the chords that begin in a bar."""
        return self.wish_in(bar).costs(self.costs)

    def home(self, placed: PlacedChord, filling: Filling) -> Home:
        """What the line of one chord is compared with."""
        chord = placed.chord
        places = HandPlaces(self.guitar, self.hand)
        return home_of(
            self.lick,
            filling.sources,
            places,
            is_own_chord=self.is_own_chord(chord),
            guides=mask_of(name.pc for _, name in guide_tones(chord)),
            bounds=self.wish_in(placed.bar).bounds(chord),
        )

    def is_own_chord(self, chord: Chord) -> bool:
        """Whether the lick was made on this chord."""
        source = self.source
        return source is not None and (source.root, source.kind) == (chord.root, chord.kind)

    def pin(self, bar: int) -> CarryPin:
        return self.pins.get(bar, CarryPin())

    def windows(self, bar: int) -> tuple[tuple[int, int] | None, tuple[int, int] | None]:
        """Fret and string window of the chords that begin in a bar."""
        pin = self.pin(bar)
        frets = self.frets if pin.frets is None else pin.frets
        strings = self.strings if pin.strings is None else pin.strings
        return (
            None if frets is None else fret_window(frets, self.guitar),
            None if strings is None else string_window(strings, self.guitar),
        )


def shares_strokes(lick: Lick) -> bool:
    """Whether parts of a lick repeat or mirror the strokes of others."""
    return any(part.link in (PartLink.MIRROR, PartLink.REPEAT) for part in lick.parts)
