"""What does a pick stroke cost after the one before it?  Every term by name, with its reason.

Whole numbers, so that sums are exact and ties are true ties.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from lickwright.errors import HandError
from lickwright.lick.notes import Stroke, Technique
from lickwright.lick.picking.motions import (
    Beat,
    Gap,
    Motion,
    Picking,
    as_techniques,
    motion,
    on_beat,
    picked_pairs,
)
from lickwright.neck import Position


@dataclass(frozen=True, slots=True)
class StrokeCosts:
    """The terms, in points; only their proportions matter (common practice, no source).

    Parameters
    ----------
    outside : change strings with the other stroke, attacking the pair from without.
    inside : the same from between the strings, where there is less room.
    skip : for each string jumped over.
    sweep_start : the hand changes from picking to following through.
    turn : the hand stops a sweep and comes back.
    sweep_end : a phrase runs out on the last string of a sweep: the pick is in flight and the
        closing note, which wants weight, is brushed.  A turn on that string plays it with a stroke
        of its own.
    recover : lift the pick back over the strings for the same stroke, with time to do so.
    up_on_beat : an upstroke on the beat, where the downstroke keeps time.
    broken : a motion that is not sound (a repeat on one string, against the direction, across a
        skipped string); chosen only where pinned strokes force it.
    """

    outside: int = 20
    inside: int = 30
    skip: int = 10
    sweep_start: int = 5
    turn: int = 10
    sweep_end: int = 45
    recover: int = 5
    up_on_beat: int = 3
    broken: int = 1000


USUAL_COSTS = StrokeCosts()


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
    on_beat : whether the note is on a beat.
    last : whether no picked note follows.
    """

    towards_treble: int
    gap: Gap
    on_beat: bool
    last: bool


def check_onsets(count: int, onsets: Sequence[Fraction] | None) -> None:
    """Refuse onsets that are not one a note."""
    if onsets is not None and len(onsets) != count:
        raise HandError(f"{len(onsets)} onsets for {count} notes", mend="Give one for each note")


def pick_steps(
    places: Sequence[Position],
    techniques: Sequence[Technique] | None,
    onsets: Sequence[Fraction] | None,
    beat: Beat,
) -> tuple[list[int], list[PickStep]]:
    """The indexes of the picked notes, and what the cost of each depends on."""
    check_onsets(len(places), onsets)
    pairs = picked_pairs(as_techniques(len(places), techniques), onsets)
    picks = [note for note, _ in pairs]
    strings = [places[note].string for note in picks]
    steps = [
        PickStep(
            towards_treble=strings[max(number - 1, 0)] - strings[number],
            gap=gap,
            on_beat=onsets is not None and on_beat(onsets[note], beat),
            last=number == len(pairs) - 1,
        )
        for number, (note, gap) in enumerate(pairs)
    ]
    return picks, steps


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
    terms: list[StrokeTerm] = []
    if stroke is Stroke.UP and step.on_beat:
        terms.append(StrokeTerm("up_on_beat", costs.up_on_beat))
    if before is not None and step.gap is Gap.RESTED and before.swept:
        terms.append(StrokeTerm("sweep_end", costs.sweep_end))
    if before is not None and step.gap is not Gap.RESTED and picking is not Picking.DOWN:
        terms += _motion_terms(step, before, stroke, costs)
    if step.last and state_after(step, before, stroke, picking).swept:
        terms.append(StrokeTerm("sweep_end", costs.sweep_end))
    return tuple(terms)


def _motion_terms(
    step: PickStep, before: PickState, stroke: Stroke, costs: StrokeCosts
) -> list[StrokeTerm]:
    joined = step.gap is Gap.JOINED
    what = _motion(step, before, stroke)
    if what is Motion.SWEEP:
        return [StrokeTerm("sweep_start", costs.sweep_start)] if joined and not before.swept else []
    terms: list[StrokeTerm] = []
    if before.swept and joined and stroke is not before.stroke:
        terms.append(StrokeTerm("turn", costs.turn))
    if what in (Motion.OUTSIDE, Motion.INSIDE):
        points = costs.outside if what is Motion.OUTSIDE else costs.inside
        # With a legato note between, the pick has time to move.
        terms.append(StrokeTerm(what.value, points if joined else points // 2))
        skipped = abs(step.towards_treble) - 1
        if skipped:
            terms.append(StrokeTerm("skip", costs.skip * skipped))
    elif what is not Motion.ALTERNATE:
        terms.append(
            StrokeTerm("broken", costs.broken) if joined else StrokeTerm("recover", costs.recover)
        )
    return terms
