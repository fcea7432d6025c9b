"""Which stroke has each note of a rhythm when the hand swings with the beat?

Common practice, no source: the hand swings down and up in the smallest value of each beat, also
over rests, slurs and longer notes, and only some of its strokes meet the string.  Down falls on the
beat, and among sixteenths on the "and" too; a gallop of an eighth and two sixteenths is ``D D U``.
Triplets, and other beats of an odd number, run on: the next beat begins with the other stroke.  So
do three notes in the time of two beats.  More than half a beat of time, and the beat has its
downstroke back.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import groupby
from math import lcm

from lickwright.lick.notes import Stroke
from lickwright.lick.picking.motions import Beat, opposite

_HALF = Fraction(1, 2)
_SWUNG = (Fraction(0), Fraction(2, 3))
_TRIPLET = (Fraction(0), Fraction(2, 3), Fraction(4, 3))


@dataclass(frozen=True, slots=True)
class HandSwing:
    """Where the hand is when a note begins: its stroke, and whether a beat begins too."""

    stroke: Stroke
    on_beat: bool


def hand_swing(
    onsets: Sequence[Fraction], beat: Beat = Fraction(1), start: Stroke | None = None
) -> tuple[HandSwing, ...]:
    """The hand's swing at each note.

    Parameters
    ----------
    onsets : quarter notes from a bar line, ascending; of all notes, slurred ones too.
    beat : length of a beat in quarter notes, or the lengths of a bar's beats in turn.
    start : the first note's stroke, where the player wants it: the other one turns all round.

    Returns
    -------
    tuple of HandSwing
        One a note.

    Examples
    --------
    >>> gallop = [Fraction(0), Fraction(1, 2), Fraction(3, 4)]
    >>> "".join(hand.stroke for hand in hand_swing(gallop))
    'DDU'
    """
    beats = beat if isinstance(beat, Fraction | int) else tuple(beat)
    return _swing_at(tuple(onsets), beats, start)


@lru_cache(maxsize=256)  # all lines that are searched at one place of a progression share it
def _swing_at(
    onsets: tuple[Fraction, ...], beat: Beat, start: Stroke | None
) -> tuple[HandSwing, ...]:
    found: list[HandSwing] = []
    turned = False
    before: Fraction | None = None
    placed = _over_two_beats([(onset, *_beat_at(onset, beat)) for onset in onsets])
    for (begin, length), group in groupby(placed, key=lambda one: one[1:]):
        offsets = [(onset - begin) / length for onset, _, _ in group]
        if before is None or begin + offsets[0] * length - before > length * _HALF:
            turned = False
        ticks = lcm(*(offset.denominator for offset in offsets))
        swung = ticks == 3 and set(offsets) <= set(_SWUNG)
        for offset in offsets:
            tick = _SWUNG.index(offset) if swung else int(offset * ticks)
            on_beat = begin + offset * length == _beat_at(begin + offset * length, beat)[0]
            found.append(HandSwing(_stroke((tick % 2 == 1) != turned), on_beat))
        turned ^= ticks > 1 and ticks % 2 == 1 and not swung
        before = begin + offsets[-1] * length
    if start is not None and found and found[0].stroke is not start:
        return tuple(HandSwing(opposite(hand.stroke), hand.on_beat) for hand in found)
    return tuple(found)


def _over_two_beats(
    placed: list[tuple[Fraction, Fraction, Fraction]],
) -> list[tuple[Fraction, Fraction, Fraction]]:
    """The same with three even notes over two beats of one length taken as one beat of double."""
    for at in range(len(placed) - 2):
        onset, begin, length = placed[at]
        two_beats = [one[1:] for one in placed[at : at + 3]]
        later = placed[at + 3][0] if at + 3 < len(placed) else begin + 2 * length
        if (
            onset == begin
            and [one[0] - begin for one in placed[at : at + 3]]
            == [third * length for third in _TRIPLET]
            and two_beats == [(begin, length)] * 2 + [(begin + length, length)]
            and later >= begin + 2 * length
        ):
            for k in range(3):
                placed[at + k] = (placed[at + k][0], begin, 2 * length)
    return placed


def _stroke(up: bool) -> Stroke:
    return Stroke.UP if up else Stroke.DOWN


def _beat_at(onset: Fraction, beat: Beat) -> tuple[Fraction, Fraction]:
    """The beat that holds a moment: where it begins, and its length."""
    if not isinstance(beat, Sequence):
        return onset - onset % beat, beat
    bar = sum(beat, Fraction(0))
    begin = onset - onset % bar
    for length in beat:
        if onset < begin + length:
            return begin, length
        begin += length
    raise AssertionError("the beats of a bar fill it")
