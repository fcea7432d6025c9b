"""What does a left-hand fingering cost?  Every term by name, with its weight and its reason.

The state of the hand is a *finger* (1 index to 4 little) and a *place*: the fret over which the
index lies, which players call the position.  In place ``q`` finger ``f`` has fret ``q + f - 1`` of
its own: one finger a fret.  A finger may leave its own fret by the offsets of :data:`OFFSETS`.

All costs are whole numbers, so that sums are exact and ties are true ties; 1000 is about what one
finger a fret off its own costs.  Distances are mm along the string.  A cost that grows with the
hurry is multiplied by the *haste*: 1 at a quarter of a second per note, 2 at twice the speed.

The form of the model, a shortest path over finger and hand place with a cost for each and for each
transition, follows Sayegh 1989 (Computer Music Journal 13:3) and Radicioni & Lombardo 2005/2007;
comfortable and greatest spreads by pair of fingers follow the ergonomic models of the same papers.
The weights are common practice, no source: they were set so that the usual fingerings of scales,
arpeggios and sweep shapes win (see docs/hands.md).

This module needs numpy and is loaded by the searches alone.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import FINGERS, HandProfile

Array = npt.NDArray[np.int64]
Floats = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

#: Dearer than any path; sums of it over a long line still fit in 64 bits.
IMPOSSIBLE = 10**12

#: (finger, frets off its own) -> cost of stopping a string there.  The order is that of the
#: states: the earlier wins a tie.
OFFSETS: dict[tuple[int, int], int] = {
    (1, 0): 0,
    (1, -1): 900,  # the index reaches back
    (2, 0): 0,
    (2, 1): 150,  # as in two whole steps on one string: 1-2-4
    (2, -1): 1600,
    (3, 0): 0,
    (3, 1): 800,
    (3, -1): 1600,
    (3, -2): 3200,  # crowded together, as three fingers on one fret
    (4, 0): 0,
    (4, 1): 400,  # the little finger extends most easily
    (4, -1): 1600,
    (4, 2): 1200,
    (4, -2): 3200,
}
WEAK_FINGER: dict[int, int] = {1: 0, 2: 0, 3: 30, 4: 60}

#: Hand moves to another place.
PIVOT_MM = 30.0  # the hand turns about the thumb; further is a shift
PIVOT = 1000
SHIFT = 1300
MOVE_PER_MM = 20
NO_GUIDE_FINGER = 300  # no finger keeps its string through a shift
#: After an open string the hand belongs in first position, where finger and fret agree.
OFF_OPEN_POSITION = 250
LAST_OPEN_PLACE = 4  # higher up, open strings are a colour and ask for no place

#: One finger plays two notes running.
GUIDE_SLIDE = 400  # along its string, while the hand moves with it
FINGER_SLIDE = 1400  # along its string, while the hand stays
SAME_FINGER_JUMP = 2000  # to another string
ROLL: dict[int, int] = {1: 300, 2: 550, 3: 450, 4: 900}  # same fret, neighbouring string
INDEX_BARRE = 600  # index lies over strings that are not neighbours
BARRE_PER_STRING = 200

#: Two fingers in one place.
STRETCH_PER_MM = 60  # beyond a comfortable spread, on one string
STRETCH_ACROSS_PER_MM = 30  # to another string: the finger behind may leave at once
STACKED = 500  # on one fret, the higher finger on the thinner string
CROSSED_FINGERS = 1500  # the higher finger on the lower fret
CROSSED_ON_ONE_FRET = 800  # the higher finger on the thicker string
FINGER_SWAP = 1200  # another finger on the note that sounds

#: Haste: 1 at this time from note to note, within these bounds.
UNHURRIED_S = 0.25
HASTE_BOUNDS = (0.5, 4.0)
SMALL_MOVE = 0.25  # power of the haste for pivots and rolls: hurry costs them less than a leap

TERMS: dict[str, str] = {
    "off its fret": "a finger leaves its own fret of the position",
    "weak finger": "ring and little finger are the weaker ones",
    "pivot": "the hand turns about the thumb to a neighbouring position",
    "shift": "the whole hand moves",
    "no guide finger": "no finger keeps its string through the shift",
    "off open position": "beside open strings each finger has the fret of its number",
    "slide": "one finger slides from note to note",
    "jump": "one finger leaps to another string",
    "roll": "one finger rolls to the neighbouring string",
    "barre": "the finger lies across strings",
    "stretch": "two fingers are spread beyond comfort",
    "stacked fingers": "two fingers crowd on one fret",
    "crossed fingers": "the higher finger lies behind the lower one",
    "finger swap": "another finger takes over the same note",
}

STATE_FINGER: Array = np.array([finger for finger, _ in OFFSETS], np.int64)
STATE_OFFSET: Array = np.array([offset for _, offset in OFFSETS], np.int64)
STATE_COST: Array = np.array([cost + WEAK_FINGER[f] for (f, _), cost in OFFSETS.items()], np.int64)
_OFF_ITS_FRET: Array = np.full(
    (5, 5), IMPOSSIBLE, np.int64
)  # an offset below 0 counts from the end
for (_finger, _offset), _cost in OFFSETS.items():
    _OFF_ITS_FRET[_finger, _offset] = _cost
_WEAK: Array = np.array([0, *WEAK_FINGER.values()], np.int64)
_ROLL: Array = np.array([0, *ROLL.values()], np.int64)


@dataclass(frozen=True, slots=True)
class Held:
    """Fingers on notes: arrays that broadcast against each other.

    Parameters
    ----------
    finger : 1-4, or 0 for an open string.
    string, fret : where the note lies.
    along : where the finger stands, as a fraction of its string's scale length.
    scale_mm : that scale length.  Two strings of a fanned neck are compared on the longer.
    place : fret of the index.
    index_along : where the index lies, as a fraction of the scale length.
    """

    finger: Array
    string: Array
    fret: Array
    along: Floats
    scale_mm: Floats
    place: Array
    index_along: Floats

    def before(self) -> Held:
        """With an axis for the state that follows."""
        return self._each(lambda array: array[..., :, None])

    def after(self) -> Held:
        """With an axis for the state that went before."""
        return self._each(lambda array: array[..., None, :])

    def rows(self, index: Any) -> Held:
        """A part along the first axis."""
        return self._each(lambda array: array[index])

    def _each(self, change: Callable[[Any], Any]) -> Held:
        return Held(
            change(self.finger),
            change(self.string),
            change(self.fret),
            change(self.along),
            change(self.scale_mm),
            change(self.place),
            change(self.index_along),
        )


def hold(guitar: Guitar, finger: Array, string: Array, fret: Array, place: Array) -> Held:
    """Fingers on the notes of an instrument, with the index over ``place``; all broadcast."""
    frets = range(guitar.last_fret + 1)
    along = np.array([guitar.along(Position(1, n)) for n in frets])
    scales = np.array([0.0, *guitar.scale_mm])
    finger, string, fret, place = np.broadcast_arrays(finger, string, fret, place)
    index_along = along[np.clip(place, 0, guitar.last_fret)]
    return Held(finger, string, fret, along[fret], scales[string], place, index_along)


@dataclass(frozen=True, slots=True)
class Spreads:
    """Comfortable and greatest spread by pair of fingers, as tables indexed by finger."""

    comfortable: Floats
    greatest: Floats


def spreads(hand: HandProfile) -> Spreads:
    """The spread tables of a hand; finger 0 (open string) spreads without limit."""
    comfortable = np.full((5, 5), np.inf)
    greatest = np.full((5, 5), np.inf)
    for finger in FINGERS:
        for other in FINGERS:
            comfortable[finger, other] = hand.comfortable(finger, other)
            greatest[finger, other] = hand.greatest(finger, other)
    return Spreads(comfortable, greatest)


def haste(seconds: Floats) -> Floats:
    """How much dearer a move is when there is so much time for it."""
    return np.clip(UNHURRIED_S / np.maximum(seconds, 1e-6), *HASTE_BOUNDS)


def out_of_reach(held: Held, spread: Spreads, last_place: int) -> Flags:
    """Where the hand cannot lie: off the neck, or further from its index than it can spread."""
    away_mm = np.abs(held.along - held.index_along) * held.scale_mm
    lost: Flags = (held.place < 1) | (held.place > last_place)
    lost |= (held.finger > 1) & (away_mm > spread.greatest[1, held.finger])
    return lost


def travel_mm(a: Held, b: Held) -> Floats:
    """How far the index moves along the neck."""
    return np.abs(a.index_along - b.index_along) * np.maximum(a.scale_mm, b.scale_mm)


def spread_mm(a: Held, b: Held) -> Floats:
    """How far apart along the neck two fingers stand."""
    return np.abs(a.along - b.along) * np.maximum(a.scale_mm, b.scale_mm)


def note_terms(held: Held) -> dict[str, Array]:
    """What stopping a note costs by itself."""
    offset = held.fret - held.place - held.finger + 1
    return {
        "off its fret": _OFF_ITS_FRET[held.finger, offset],
        "weak finger": _WEAK[held.finger],
    }


def move_terms(a: Held, b: Held, hurry: Floats, free: Flags) -> dict[str, Array]:
    """What moving the hand from ``a`` to ``b`` costs.

    ``free`` marks an open string sounding before ``b``: the hand is off the strings, so no guide
    finger is wanted.
    """
    mm = travel_mm(a, b)
    moved = a.place != b.place
    pivots = moved & (mm <= PIVOT_MM)
    shifts = moved & (mm > PIVOT_MM)
    guided = (a.finger == b.finger) & (a.string == b.string)
    distance = MOVE_PER_MM * mm
    return {
        "pivot": _priced(pivots, (PIVOT + distance) * hurry**SMALL_MOVE),
        "shift": _priced(shifts, (SHIFT + distance) * hurry),
        "no guide finger": _priced(shifts & ~guided & ~free, NO_GUIDE_FINGER * hurry),
        "off open position": np.where(free, open_position_cost(b.place), 0),
    }


def open_position_cost(place: Array) -> Array:
    """What lying in a place costs after an open string."""
    off = (place > 1) & (place <= LAST_OPEN_PLACE)
    return OFF_OPEN_POSITION * off.astype(np.int64)


def finger_terms(a: Held, b: Held, hurry: Floats, spread: Spreads) -> dict[str, Array]:
    """What the fingers of two notes cost each other, the second straight after the first."""
    one_finger = a.finger == b.finger
    one_string = a.string == b.string
    one_fret = a.fret == b.fret
    gap = np.abs(a.string - b.string)
    lies = one_finger & one_fret & ~one_string
    barres = lies & (gap > 1) & (a.finger == 1)
    return {
        "slide": _priced(
            one_finger & one_string & ~one_fret,
            np.where(a.place == b.place, FINGER_SLIDE, GUIDE_SLIDE) * hurry,
        ),
        "jump": _priced(
            one_finger & ~one_string & (~one_fret | ((gap > 1) & (a.finger > 1))),
            SAME_FINGER_JUMP * hurry,
        ),
        "roll": _priced(lies & (gap == 1), _ROLL[a.finger] * hurry**SMALL_MOVE),
        "barre": _priced(barres, INDEX_BARRE + BARRE_PER_STRING * gap.astype(np.float64)),
        "finger swap": _priced(~one_finger & one_string & one_fret, np.float64(FINGER_SWAP)),
        **held_terms(a, b, spread),
    }


def held_terms(a: Held, b: Held, spread: Spreads) -> dict[str, Array]:
    """What two different fingers cost each other while the hand stays.

    In one place they must not cross on a string, nor stand further apart than the hand opens.  The
    thumb stays through a pivot too, so that a spread is felt there as well.
    """
    others = a.finger != b.finger
    together = others & (a.place == b.place)
    mm = spread_mm(a, b)
    b_higher = b.finger > a.finger
    ahead = np.where(b_higher, b.fret - a.fret, a.fret - b.fret)
    thicker = np.where(b_higher, b.string - a.string, a.string - b.string)
    behind = together & (ahead < 0)
    level = together & (ahead == 0) & (thicker != 0)
    askew = level & (thicker > 0)
    barred = (together & (mm > spread.greatest[a.finger, b.finger])) | (behind & (thicker == 0))
    spreads_out = others & (ahead > 0) & (travel_mm(a, b) <= PIVOT_MM)
    beyond = np.maximum(0.0, mm - spread.comfortable[a.finger, b.finger])
    per_mm = np.where(thicker == 0, STRETCH_PER_MM, STRETCH_ACROSS_PER_MM)
    return {
        "stretch": np.where(barred, IMPOSSIBLE, _priced(spreads_out, per_mm * beyond)),
        "stacked fingers": STACKED * (level & ~askew).astype(np.int64),
        "crossed fingers": CROSSED_FINGERS * behind.astype(np.int64)
        + CROSSED_ON_ONE_FRET * askew.astype(np.int64),
    }


def barre_terms(held: Sequence[Held]) -> dict[str, Array]:
    """What lying across strings costs in a grip of notes that start together."""
    total = np.zeros_like(held[0].finger)
    for finger in FINGERS:
        strings = np.array([np.where(note.finger == finger, note.string, 0) for note in held])
        highest = strings.max(axis=0)
        lowest = np.where(strings == 0, highest, strings).min(axis=0)
        across = highest - lowest
        cost = INDEX_BARRE if finger == 1 else ROLL[finger]
        total += np.where(across > 0, cost + BARRE_PER_STRING * across, 0)
    return {"barre": total}


def _priced(where: Flags, cost: Floats | np.float64) -> Array:
    """Whole-number cost where a flag stands, 0 elsewhere."""
    return np.where(where, np.rint(cost), 0.0).astype(np.int64)
