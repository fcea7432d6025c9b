"""What does a pick stroke cost after the one before it?  Every term by name, with its reason.

Whole numbers, so that sums are exact and ties are true ties.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from lickwright.errors import HandError, RhythmError
from lickwright.lick.notes import Stroke, Technique
from lickwright.lick.picking.motions import (
    Beat,
    Escape,
    Gap,
    Motion,
    Picking,
    as_techniques,
    motion,
    picked_pairs,
)
from lickwright.lick.picking.swing import HandSwing, hand_swing
from lickwright.neck import Position


@dataclass(frozen=True, slots=True)
class StrokeCosts:
    """The terms, in points; only their proportions matter (common practice, no source).

    Parameters
    ----------
    outside : change strings with the other stroke, attacking the pair from without; at speed.
    inside : the same from between the strings, where there is less room; at speed.
    skip : for each string jumped over; at speed.
    sweep_start : the hand changes from picking to following through.
    turn : the hand stops a sweep and comes back; at speed.
    unswept : stroke by stroke through three strings or more that lie in one direction, where one
        motion would do; at speed.  The last of them may turn and have the stroke that comes next.
    trapped : change strings after a stroke on which this player's pick stays between them; at
        speed.
    recover : the same stroke again, with time to lift the pick back; at speed.
    off_swing, off_beat : not the stroke that the hand's swing has here; the same on a beat.
    begin_up : begin on a beat with an upstroke.
    muted : how many times the last three weigh on palm-muted notes, which drive the rhythm.
    broken : a motion that is not sound (a repeat on one string, against the direction, across a
        skipped string); chosen only where pinned strokes force it.
    """

    outside: int = 20
    inside: int = 24
    skip: int = 10
    sweep_start: int = 5
    turn: int = 10
    unswept: int = 30
    trapped: int = 60
    recover: int = 6
    off_swing: int = 2
    off_beat: int = 4
    begin_up: int = 12
    muted: int = 6
    broken: int = 1000


USUAL_COSTS = StrokeCosts()

#: Notes a second for which the costs "at speed" stand, and the range in which they grow with it.
USUAL_RATE, SLOWEST_RATE, FASTEST_RATE = 8, 2, 16
#: How much dearer the swing is where strokes alternate strictly: nothing but a trapped pick or a
#: teacher's stroke comes before it.
_STRICT = 10


@dataclass(frozen=True, slots=True)
class StrokeTerm:
    """One named part of what a note's stroke costs."""

    name: str
    points: int


@dataclass(frozen=True, slots=True)
class PickState:
    """A picked note: its stroke, and whether a sweep led to it."""

    stroke: Stroke
    swept: bool


@dataclass(frozen=True, slots=True)
class PickStep:
    """All that the cost of one picked note depends on, besides the strokes.

    Parameters
    ----------
    towards_treble : strings from the picked note before to this one.
    gap : what lies between the two.
    rate : notes a second that they are; :data:`USUAL_RATE` where that is not known.
    in_run : whether both lie in a run through strings that one motion would take.
    swing : where the hand is; ``None`` where the time is not known.
    swings_back : whether the hand has time to swing back for the same stroke.
    muted : whether the palm mutes the note.
    escape : on which stroke the pick leaves the strings.
    """

    towards_treble: int
    gap: Gap
    rate: int = USUAL_RATE
    in_run: bool = False
    swing: HandSwing | None = None
    swings_back: bool = False
    muted: bool = False
    escape: Escape = Escape.BOTH


def check_onsets(count: int, onsets: Sequence[Fraction] | None) -> None:
    """Refuse onsets that are not one a note."""
    if onsets is not None and len(onsets) != count:
        raise HandError(f"{len(onsets)} onsets for {count} notes", mend="Give one for each note")


@dataclass(frozen=True, slots=True)
class PickedTime:
    """What is known of a line besides its places, and of the player's pick.

    Parameters
    ----------
    onsets : quarter notes from a bar line, one a note; ``None`` where not known.
    beat : length of a beat in quarter notes, or the lengths of a bar's beats in turn.
    tempo_bpm : quarter notes a minute; ``None`` where not known.
    start : the first note's stroke, where asked for: the whole swing is turned with it.
    escape : on which stroke the pick leaves the strings.
    muted : indexes of the notes that the palm mutes.
    """

    onsets: Sequence[Fraction] | None = None
    beat: Beat = Fraction(1)
    tempo_bpm: float | None = None
    start: Stroke | None = None
    escape: Escape = Escape.BOTH
    muted: Collection[int] = ()


def pick_steps(
    places: Sequence[Position], techniques: Sequence[Technique] | None, time: PickedTime
) -> tuple[list[int], list[PickStep]]:
    """The indexes of the picked notes, and what the cost of each depends on."""
    onsets = time.onsets
    check_onsets(len(places), onsets)
    if time.tempo_bpm is not None and not time.tempo_bpm > 0:
        raise RhythmError(f"a tempo of {time.tempo_bpm} bpm", mend="Give a tempo above 0")
    pairs = picked_pairs(as_techniques(len(places), techniques), onsets)
    picks = [note for note, _ in pairs]
    gaps = [gap for _, gap in pairs]
    strings = [places[note].string for note in picks]
    hand = None if onsets is None else hand_swing(onsets, time.beat, time.start)
    in_run = _runs(strings, gaps)
    steps: list[PickStep] = []
    for number, (note, gap) in enumerate(pairs):
        before = picks[max(number - 1, 0)]
        steps.append(
            PickStep(
                towards_treble=strings[max(number - 1, 0)] - strings[number],
                gap=gap,
                rate=_rate(time, before, note, gap),
                in_run=in_run[number],
                swing=hand[note] if hand else None,
                swings_back=hand is not None and hand[note].stroke is hand[before].stroke,
                muted=note in time.muted,
                escape=time.escape,
            )
        )
    return picks, steps


def _rate(time: PickedTime, before: int, note: int, gap: Gap) -> int:
    """Notes a second, where tempo and time are known; a slurred note between makes it half."""
    if time.onsets is None or time.tempo_bpm is None or before == note:
        return USUAL_RATE // 2 if gap is Gap.COVERED else USUAL_RATE
    seconds = float(time.onsets[note] - time.onsets[before]) * 60.0 / time.tempo_bpm
    fastest = FASTEST_RATE if seconds <= 1 / FASTEST_RATE else round(1 / seconds)
    return max(SLOWEST_RATE, fastest)


def _runs(strings: Sequence[int], gaps: Sequence[Gap]) -> list[bool]:
    """Whether each picked note goes on in a run of three or more notes, one on each string.

    The last note of a run does not, where the line goes on from it: there a stroke may turn.
    """
    steps = [one - two for one, two in pairwise(strings)]
    going = [False] * len(strings)
    first = 0
    while first < len(steps):
        last = first
        if abs(steps[first]) == 1 and gaps[first + 1] is Gap.JOINED:
            while (
                last + 1 < len(steps)
                and steps[last + 1] == steps[first]
                and gaps[last + 2] is Gap.JOINED
            ):
                last += 1
            turns = last + 2 < len(gaps) and gaps[last + 2] is not Gap.RESTED
            if last > first:
                for note in range(first + 1, last + 2 - turns):
                    going[note] = True
        first = last + 1
    return going


def _motion(step: PickStep, before: PickState, stroke: Stroke) -> Motion:
    return motion(step.towards_treble, before.stroke, 0, stroke)


def state_after(
    step: PickStep, before: PickState | None, stroke: Stroke, picking: Picking
) -> PickState:
    """The state that a stroke leads to."""
    swept = (
        before is not None
        and step.gap is Gap.JOINED
        and picking is not Picking.DOWN
        and _motion(step, before, stroke) is Motion.SWEEP
    )
    return PickState(stroke, swept)


def step_terms(
    step: PickStep, before: PickState | None, stroke: Stroke, picking: Picking, costs: StrokeCosts
) -> tuple[StrokeTerm, ...]:
    """What it costs that ``stroke`` plays a note after ``before``."""
    if picking is Picking.DOWN:
        return ()
    terms = _swing_terms(step, stroke, picking, costs)
    if before is not None and step.gap is not Gap.RESTED:
        terms += _motion_terms(step, before, stroke, picking, costs)
    return tuple(terms)


def _swing_terms(
    step: PickStep, stroke: Stroke, picking: Picking, costs: StrokeCosts
) -> list[StrokeTerm]:
    hand = step.swing
    if hand is None or stroke is hand.stroke:
        return []
    times = _STRICT if picking is Picking.ALTERNATE else costs.muted if step.muted else 1
    name, points = ("off_beat", costs.off_beat) if hand.on_beat else ("off_swing", costs.off_swing)
    terms = [StrokeTerm(name, points * times)]
    if hand.on_beat and step.gap is Gap.RESTED:
        terms.append(StrokeTerm("begin_up", costs.begin_up * times))
    return terms


def _motion_terms(
    step: PickStep, before: PickState, stroke: Stroke, picking: Picking, costs: StrokeCosts
) -> list[StrokeTerm]:
    joined = step.gap is Gap.JOINED
    what = _motion(step, before, stroke)
    if what is Motion.SWEEP:
        return [StrokeTerm("sweep_start", costs.sweep_start)] if joined and not before.swept else []
    terms: list[tuple[str, int]] = []
    strings = abs(step.towards_treble)
    if before.swept and joined and stroke is not before.stroke:
        terms.append(("turn", costs.turn))
    if what in (Motion.OUTSIDE, Motion.INSIDE):
        terms.append((what.value, costs.outside if what is Motion.OUTSIDE else costs.inside))
        terms.append(("skip", costs.skip * (strings - 1)))
        if step.in_run and picking is not Picking.ALTERNATE:
            terms.append(("unswept", costs.unswept))
    elif what is not Motion.ALTERNATE:
        if joined and not step.swings_back:
            return [StrokeTerm("broken", costs.broken)]
        terms.append(("recover", costs.recover))
        terms.append(("skip", costs.skip * strings))
    if strings and not step.escape.leaves(before.stroke):
        terms.append(("trapped", costs.trapped))
    return [StrokeTerm(name, points * step.rate // USUAL_RATE) for name, points in terms if points]
