"""What does a state of the hand cost, and what a step to the next?  The named costs as arrays.

Every function answers with one array for each term of
:data:`~lickwright.lick.fingering.weights.TERMS` that it knows; a search adds them up, an
explanation reads them one by one.  This module needs numpy and is loaded by the searches alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from lickwright.lick.fingering.hand_states import Array, Flags, Floats, Held
from lickwright.lick.fingering.task import HandTask
from lickwright.lick.fingering.weights import (
    BARRE_PER_STRING,
    CHEAPEST_PAIR,
    CROSSED_FINGERS,
    CROSSED_ON_ONE_FRET,
    FINGER_SLIDE,
    FINGER_SWAP,
    GUIDE_SLIDE,
    HASTE_BOUNDS,
    IMPOSSIBLE,
    INDEX_BARRE,
    LARGE_MOVE,
    LAST_OPEN_PLACE,
    MOVE_PER_MM,
    NO_GUIDE_FINGER,
    NO_GUIDE_STRING,
    OFF_OPEN_POSITION,
    OFFSETS,
    PIVOT,
    PIVOT_MM,
    ROLL,
    SAME_FINGER_JUMP,
    SHIFT,
    SLUR_BROKEN,
    SLUR_MOVED,
    SMALL_MOVE,
    STACKED,
    STRETCH_ACROSS_PER_MM,
    STRETCH_PER_MM,
    UNHURRIED_S,
    WEAK_FINGER,
)
from lickwright.lick.notes import Technique
from lickwright.neck import FINGERS, HandProfile

#: By finger and offset, with an offset beyond the states at the end; one below 0 counts from the
#: end of the row.  An open string needs no finger and has no fret of its own.
_FARTHEST = 1 + max(abs(offset) for _, offset in OFFSETS)
_OFF_ITS_FRET: Array = np.full((5, 2 * _FARTHEST + 1), IMPOSSIBLE, np.int64)
_OFF_ITS_FRET[0] = 0
for (_finger, _offset), _cost in OFFSETS.items():
    _OFF_ITS_FRET[_finger, _offset] = _cost
_WEAK: Array = np.array([0, *WEAK_FINGER.values()], np.int64)
_ROLL: Array = np.array([0, *ROLL.values()], np.int64)


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
        "off its fret": _OFF_ITS_FRET[held.finger, np.clip(offset, -_FARTHEST, _FARTHEST)],
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
    one_string = a.string == b.string
    guided = (a.finger == b.finger) & (a.finger > 0) & one_string
    unguided = np.where(one_string, NO_GUIDE_FINGER, NO_GUIDE_STRING)
    distance = MOVE_PER_MM * mm
    return {
        "pivot": _priced(pivots, (PIVOT + distance) * hurry**SMALL_MOVE),
        "shift": _priced(shifts, (SHIFT + distance) * hurry**LARGE_MOVE),
        "no guide finger": _priced(shifts & ~guided & ~free, unguided * hurry**LARGE_MOVE),
        "off open position": np.where(free, open_position_cost(b.place), 0),
    }


def open_position_cost(place: Array) -> Array:
    """What lying in a place costs after an open string."""
    off = (place > 1) & (place <= LAST_OPEN_PLACE)
    return OFF_OPEN_POSITION * off.astype(np.int64)


def finger_terms(a: Held, b: Held, hurry: Floats, spread: Spreads) -> dict[str, Array]:
    """What the fingers of two notes cost each other, the second straight after the first."""
    one_finger = (a.finger == b.finger) & (a.finger > 0)
    others = (a.finger != b.finger) & (a.finger > 0) & (b.finger > 0)
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
        "finger swap": _priced(others & one_string & one_fret, np.float64(FINGER_SWAP)),
        **held_terms(a, b, spread),
    }


def held_terms(a: Held, b: Held, spread: Spreads) -> dict[str, Array]:
    """What two different fingers cost each other while the hand stays.

    In one place they must not cross on a string, nor stand further apart than the hand opens.  The
    thumb stays through a pivot too, so that a spread is felt there as well.
    """
    others = (a.finger != b.finger) & (a.finger > 0) & (b.finger > 0)
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
        total += np.where(across > 0, ROLL[finger] + BARRE_PER_STRING * (across - 1), 0)
    return {"barre": total}


def slur_of(task: HandTask, notes: Sequence[int]) -> int:
    """How a moment is slurred from the one before: 0 not, 1 slid, 2 hammered or pulled."""
    if not task.techniques:
        return 0
    ways = {task.techniques[index] for index in notes}
    if Technique.SLIDE in ways:
        return 1
    return 2 if ways & {Technique.HAMMER_ON, Technique.PULL_OFF} else 0


def slur_terms(a: Held, b: Held, slur: Array) -> dict[str, Array]:
    """What a slur asks of two notes on a string: a slide one finger, the others two of one hand."""
    on_string = (a.string == b.string) & (a.fret != b.fret)
    slid, hammered = on_string & (slur == 1), on_string & (slur == 2)
    one_finger, moved = a.finger == b.finger, a.place != b.place
    return {
        "slur": SLUR_BROKEN * ((slid & ~one_finger) | (hammered & one_finger)).astype(np.int64)
        + SLUR_MOVED * (hammered & ~one_finger & moved).astype(np.int64)
    }


def step_terms(
    a: Held, b: Held, hurry: Floats, free: Flags, spread: Spreads, slur: Array
) -> dict[str, Array]:
    """Every term of the step from ``a`` to ``b``; after an open string only the move counts."""
    fingers = finger_terms(a, b, hurry, spread)
    if slur.any():
        fingers |= slur_terms(a, b, slur)
    if free.any():
        fingers = {name: np.where(free, 0, cost) for name, cost in fingers.items()}
    return {**move_terms(a, b, hurry, free), **fingers}


def moment_terms(
    a: Sequence[Held],
    b: Sequence[Held],
    hurry: Floats,
    free: Flags,
    spread: Spreads,
    slur: Array,
) -> dict[str, Array]:
    """Every term of the step between two moments: of each, the dearest over pairs of notes.

    A finger that keeps its string through a shift guides the hand, whatever the others do, so
    that the missing guide is the cheapest over pairs.
    """
    pairs = [step_terms(one, two, hurry, free, spread, slur) for one in a for two in b]
    return {
        name: np.stack([terms[name] for terms in pairs]).min(axis=0)
        if name == CHEAPEST_PAIR
        else np.stack([terms[name] for terms in pairs]).max(axis=0)
        for name in pairs[0]
    }


def grip_terms(held: Sequence[Held], spread: Spreads) -> dict[str, Array]:
    """Every term of holding a grip; a finger that stops several notes counts once."""
    terms: dict[str, Array] = dict(barre_terms(held))
    for k, note in enumerate(held):
        fresh = np.ones(note.finger.shape, bool)
        for earlier in held[:k]:
            fresh &= earlier.finger != note.finger
        for name, cost in note_terms(note).items():
            terms[name] = terms.get(name, 0) + np.where(fresh, cost, 0)
    for a, b in combinations(held, 2):
        for name, cost in held_terms(a, b, spread).items():
            terms[name] = terms.get(name, 0) + cost
    return terms


def _priced(where: Flags, cost: Floats | np.float64) -> Array:
    """Whole-number cost where a flag stands, 0 elsewhere."""
    return np.where(where, np.rint(cost), 0.0).astype(np.int64)
