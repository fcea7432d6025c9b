"""What does a state of the hand cost, and what a step to the next?  The named costs as arrays.

Every function answers with one array for each term of
:data:`~lickwright.lick.fingering.weights.TERMS` that it knows; a search adds them up, an
explanation reads them one by one.  This module needs numpy and is loaded by the searches alone.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations

import numpy as np

from lickwright.lick.fingering.hand_states import Array, Flags, Floats, Held
from lickwright.lick.fingering.task import HandTask
from lickwright.lick.fingering.weights import (
    CHEAPEST_PAIR,
    HASTE_BOUNDS,
    IMPOSSIBLE,
    LARGE_MOVE,
    LAST_OPEN_PLACE,
    OFFSETS,
    PIVOT_MM,
    SMALL_MOVE,
    UNHURRIED_S,
    HandWeights,
    weights_of,
)
from lickwright.lick.notes import Technique
from lickwright.neck import FINGERS, HandProfile

_FARTHEST = 1 + max(abs(offset) for _, offset in OFFSETS)


@dataclass(frozen=True, slots=True)
class HandTables:
    """What one hand pays, as tables by finger; finger 0 is an open string.

    Parameters
    ----------
    weights : of everything that is no table.
    comfortable, greatest : spread in mm by pair of fingers, without limit for an open string.
    off_its_fret : by finger and offset, with an offset beyond the states at the end; one below 0
        counts from the end of the row.
    weak, roll : by finger.
    """

    weights: HandWeights
    comfortable: Floats
    greatest: Floats
    off_its_fret: Array
    weak: Array
    roll: Array


@lru_cache(maxsize=64)
def hand_tables(hand: HandProfile) -> HandTables:
    """The tables of a hand.

    Returns
    -------
    HandTables

    Raises
    ------
    HandError
        When the hand has a habit that there is not.

    Examples
    --------
    >>> from lickwright.neck import hand_profile
    >>> hand_tables(hand_profile("medium")).weak.tolist()
    [0, 0, 0, 30, 150]
    """
    weights = weights_of(hand)
    comfortable, greatest = np.full((5, 5), np.inf), np.full((5, 5), np.inf)
    for finger in FINGERS:
        for other in FINGERS:
            comfortable[finger, other] = hand.comfortable(finger, other)
            greatest[finger, other] = hand.greatest(finger, other)
    off = np.full((5, 2 * _FARTHEST + 1), IMPOSSIBLE, np.int64)
    off[0] = 0
    for (finger, offset), name in OFFSETS.items():
        off[finger, offset] = getattr(weights, name) if name else 0
    w = weights
    return HandTables(
        weights,
        comfortable,
        greatest,
        off,
        np.array([0, 0, 0, w.ring, w.little], np.int64),
        np.array([0, w.roll_index, w.roll_middle, w.roll_ring, w.roll_little], np.int64),
    )


def haste(seconds: Floats) -> Floats:
    """How much dearer a move is when there is so much time for it."""
    return np.clip(UNHURRIED_S / np.maximum(seconds, 1e-6), *HASTE_BOUNDS)


def out_of_reach(held: Held, hand: HandTables, last_place: int) -> Flags:
    """Where the hand cannot lie: off the neck, or further from its index than it can spread."""
    away_mm = np.abs(held.along - held.index_along) * held.scale_mm
    lost: Flags = (held.place < 1) | (held.place > last_place)
    lost |= (held.finger > 1) & (away_mm > hand.greatest[1, held.finger])
    return lost


def travel_mm(a: Held, b: Held) -> Floats:
    """How far the index moves along the neck."""
    return np.abs(a.index_along - b.index_along) * np.maximum(a.scale_mm, b.scale_mm)


def spread_mm(a: Held, b: Held) -> Floats:
    """How far apart along the neck two fingers stand."""
    return np.abs(a.along - b.along) * np.maximum(a.scale_mm, b.scale_mm)


def note_terms(held: Held, hand: HandTables) -> dict[str, Array]:
    """What stopping a note costs by itself."""
    offset = held.fret - held.place - held.finger + 1
    return {
        "off its fret": hand.off_its_fret[held.finger, np.clip(offset, -_FARTHEST, _FARTHEST)],
        "weak finger": hand.weak[held.finger],
    }


def move_terms(a: Held, b: Held, hurry: Floats, free: Flags, hand: HandTables) -> dict[str, Array]:
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
    w = hand.weights
    unguided = np.where(one_string, w.unguided_along, w.unguided_across)
    distance = w.move_per_mm * mm
    lay = (b.fret >= a.place) & (b.fret < a.place + len(FINGERS))
    return {
        "moved within reach": w.within_reach * (moved & ~one_string & lay & ~free).astype(np.int64),
        "pivot": _priced(pivots, (w.pivot + distance) * hurry**SMALL_MOVE),
        "shift": _priced(shifts, (w.shift + distance) * hurry**LARGE_MOVE),
        "no guide finger": _priced(shifts & ~guided & ~free, unguided * hurry**LARGE_MOVE),
        "off open position": np.where(free, open_position_cost(b.place, hand), 0),
    }


def open_position_cost(place: Array, hand: HandTables) -> Array:
    """What lying in a place costs after an open string."""
    off = (place > 1) & (place <= LAST_OPEN_PLACE)
    return hand.weights.off_open_position * off.astype(np.int64)


def finger_terms(a: Held, b: Held, hurry: Floats, hand: HandTables) -> dict[str, Array]:
    """What the fingers of two notes cost each other, the second straight after the first."""
    one_finger = (a.finger == b.finger) & (a.finger > 0)
    others = (a.finger != b.finger) & (a.finger > 0) & (b.finger > 0)
    one_string = a.string == b.string
    one_fret = a.fret == b.fret
    gap = np.abs(a.string - b.string)
    lies = one_finger & one_fret & ~one_string
    barres = lies & (gap > 1) & (a.finger == 1)
    carried = (b.fret - a.fret == b.place - a.place) & (travel_mm(a, b) > PIVOT_MM)
    w = hand.weights
    return {
        "slide": _priced(
            one_finger & one_string & ~one_fret,
            np.where(a.place == b.place, w.slide, w.slide_with_hand) * hurry,
        ),
        "jump": _priced(
            one_finger & ~one_string & (~one_fret | ((gap > 1) & (a.finger > 1))),
            np.where(carried, w.leap_with_hand, w.jump) * hurry,
        ),
        "roll": _priced(lies & (gap == 1), hand.roll[a.finger] * hurry**SMALL_MOVE),
        "barre": _priced(barres, w.barre + w.barre_per_string * gap.astype(np.float64)),
        "finger swap": _priced(others & one_string & one_fret, np.float64(w.swap)),
        **held_terms(a, b, hand),
    }


def held_terms(a: Held, b: Held, hand: HandTables) -> dict[str, Array]:
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
    barred = (together & (mm > hand.greatest[a.finger, b.finger])) | (behind & (thicker == 0))
    spreads_out = others & (ahead > 0) & (travel_mm(a, b) <= PIVOT_MM)
    beyond = np.maximum(0.0, mm - hand.comfortable[a.finger, b.finger])
    w = hand.weights
    per_mm = np.where(thicker == 0, w.stretch_per_mm, w.stretch_across_per_mm)
    return {
        "stretch": np.where(barred, IMPOSSIBLE, _priced(spreads_out, per_mm * beyond)),
        "stacked fingers": w.stacked * (level & ~askew).astype(np.int64),
        "crossed fingers": w.crossed * behind.astype(np.int64)
        + w.crossed_on_one_fret * askew.astype(np.int64),
    }


def barre_terms(held: Sequence[Held], hand: HandTables) -> dict[str, Array]:
    """What lying across strings costs in a grip of notes that start together."""
    total = np.zeros_like(held[0].finger)
    for finger in FINGERS:
        strings = np.array([np.where(note.finger == finger, note.string, 0) for note in held])
        highest = strings.max(axis=0)
        lowest = np.where(strings == 0, highest, strings).min(axis=0)
        across = highest - lowest
        lying = hand.roll[finger] + hand.weights.barre_per_string * (across - 1)
        if finger > 1:  # only the index lies flat over a string that others pass
            lying = lying + hand.weights.jump * (across > 1)
        total += np.where(across > 0, lying, 0)
    return {"barre": total}


def slur_of(task: HandTask, notes: Sequence[int]) -> int:
    """How a moment is slurred from the one before: 0 not, 1 slid, 2 hammered or pulled."""
    if not task.techniques:
        return 0
    ways = {task.techniques[index] for index in notes}
    if Technique.SLIDE in ways:
        return 1
    return 2 if ways & {Technique.HAMMER_ON, Technique.PULL_OFF} else 0


def slur_terms(a: Held, b: Held, slur: Array, hand: HandTables) -> dict[str, Array]:
    """What a slur asks of two notes on a string: a slide one finger, the others two of one hand."""
    on_string = (a.string == b.string) & (a.fret != b.fret)
    slid, hammered = on_string & (slur == 1), on_string & (slur == 2)
    one_finger, moved = a.finger == b.finger, a.place != b.place
    return {
        "slur": hand.weights.slur_broken
        * ((slid & ~one_finger) | (hammered & one_finger)).astype(np.int64)
        + hand.weights.slur_moved * (hammered & ~one_finger & moved).astype(np.int64)
    }


def step_terms(
    a: Held, b: Held, hurry: Floats, free: Flags, hand: HandTables, slur: Array
) -> dict[str, Array]:
    """Every term of the step from ``a`` to ``b``; after an open string only the move counts."""
    fingers = finger_terms(a, b, hurry, hand)
    if slur.any():
        fingers |= slur_terms(a, b, slur, hand)
    if free.any():
        fingers = {name: np.where(free, 0, cost) for name, cost in fingers.items()}
    return {**move_terms(a, b, hurry, free, hand), **fingers}


def ahead_terms(a: Held, c: Held, hurry: Floats, hand: HandTables) -> dict[str, Array]:
    """What two notes cost each other that one other note parts, whatever finger that has.

    A finger that is needed again goes best where the hand takes it; a shift goes best where a
    finger finds its string again; and the thumb that has turned once moves when the hand turns on.
    """
    same = a.finger == c.finger
    carried = c.fret - a.fret == c.place - a.place
    far = travel_mm(a, c) > PIVOT_MM
    shifts = far & (a.string == c.string)
    w = hand.weights
    return {
        "needed again": _priced(same & (a.fret != c.fret) & ~carried, w.needed_again * hurry),
        "no guide ahead": _priced(shifts & ~same, w.unguided_ahead * hurry**LARGE_MOVE),
        "moved on": _priced(far, w.moved_on * hurry**LARGE_MOVE),
        "refingered": w.refingered
        * (~same & (a.string == c.string) & (a.fret == c.fret)).astype(np.int64),
    }


def pair_terms(
    a: Sequence[Held],
    b: Sequence[Held],
    hurry: Floats,
    free: Flags,
    hand: HandTables,
    slur: Array,
) -> list[dict[str, Array]]:
    """Every term of each pair of notes of two moments, those of the first note of ``a`` first.

    A finger that lies over strings in both grips goes nowhere from one of them to another; where
    no finger keeps its string, the hand lets go of one grip to find the next.  A grip that moves
    does so along its strings, whatever lay within reach.
    """
    grips = len(a) > 1 and len(b) > 1
    pairs = []
    for one in a:
        for two in b:
            terms = step_terms(one, two, hurry, free, hand, slur)
            if len(a) > 1:
                lay = np.zeros((), bool)
                for other in a:
                    lay = lay | ((other.finger == two.finger) & (other.string == two.string))
                terms["jump"] = np.where(lay & (one.string != two.string), 0, terms["jump"])
            if grips:
                keeps = (one.finger == two.finger) & (one.string == two.string)
                terms["moved within reach"] = np.zeros_like(terms["moved within reach"])
                terms["grip let go"] = hand.weights.let_go * (~keeps & ~free).astype(np.int64)
            pairs.append(terms)
    return pairs


def moment_terms(
    a: Sequence[Held],
    b: Sequence[Held],
    hurry: Floats,
    free: Flags,
    hand: HandTables,
    slur: Array,
) -> dict[str, Array]:
    """Every term of the step between two moments: of each, the dearest over pairs of notes.

    A finger that keeps its string through a shift guides the hand, whatever the others do, so
    that the missing guide is the cheapest over pairs.
    """
    pairs = pair_terms(a, b, hurry, free, hand, slur)
    return {
        name: np.stack([terms[name] for terms in pairs]).min(axis=0)
        if name in CHEAPEST_PAIR
        else np.stack([terms[name] for terms in pairs]).max(axis=0)
        for name in pairs[0]
    }


def grip_terms(held: Sequence[Held], hand: HandTables) -> dict[str, Array]:
    """Every term of holding a grip; a finger that stops several notes counts once."""
    terms: dict[str, Array] = dict(barre_terms(held, hand))
    for k, note in enumerate(held):
        fresh = np.ones(note.finger.shape, bool)
        for earlier in held[:k]:
            fresh &= earlier.finger != note.finger
        for name, cost in note_terms(note, hand).items():
            terms[name] = terms.get(name, 0) + np.where(fresh, cost, 0)
    for a, b in combinations(held, 2):
        for name, cost in held_terms(a, b, hand).items():
            terms[name] = terms.get(name, 0) + cost
    return terms


def _priced(where: Flags, cost: Floats | np.float64) -> Array:
    """Whole-number cost where a flag stands, 0 elsewhere."""
    return np.where(where, np.rint(cost), 0.0).astype(np.int64)
