"""Which pick strokes play a line best?

A policy says what the picking hand may do; within it the strokes of least cost are found exactly,
by dynamic programming over (stroke, what led to it).  Every cost is a named term of
:class:`StrokeCosts`, an integer with its reason, so that :func:`stroke_costs` can say where the
cost of any strokes lies.

Policies
--------
``sweep``      economy: sweep through neighbouring strings, alternate elsewhere.
``alternate``  strictly down, up, down, up; only the first stroke is free.
``down``       downstrokes only, each a stroke of its own.
``legato``     hammer-ons and pull-offs along a string; each string's first note is picked.

Laws
----
*Mirror*: exchange the strings (``s`` becomes ``n + 1 - s``) and pin the first stroke to the other
direction, and the best strokes are the same with down and up exchanged.  (Without that pin the
*cost* is the same; equal-cost strokes start with a downstroke by custom, and with onsets a
downstroke is preferred on the beat, which no mirror can keep.)
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from lickwright.errors import HandError
from lickwright.lick.notes import Stroke, Technique
from lickwright.lick.pick_motion import (
    REST_GAP,
    Gap,
    Motion,
    Picking,
    as_positions,
    as_techniques,
    motion,
    opposite,
    picked_pairs,
    read_policy,
)
from lickwright.lick.stroke_check import StrokeProblem, check_strokes
from lickwright.lick.stroke_text import mirror_strokes, parse_strokes, print_strokes
from lickwright.neck.instrument import Position

__all__ = [
    "Picking",
    "StrokeCosts",
    "StrokeProblem",
    "assign_strokes",
    "check_strokes",
    "legato_techniques",
    "mirror_strokes",
    "parse_strokes",
    "print_strokes",
    "read_policy",
    "stroke_costs",
]


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


_USUAL_COSTS = StrokeCosts()
_BOTH = (Stroke.DOWN, Stroke.UP)


@dataclass(frozen=True, slots=True)
class Term:
    """One named part of what a note's stroke costs."""

    name: str
    points: int


@dataclass(frozen=True, slots=True)
class _State:
    """A picked note: its stroke, and whether a sweep led to it."""

    stroke: Stroke
    swept: bool


@dataclass(frozen=True, slots=True)
class _Picks:
    """The picked notes of a line, each with what its stroke depends on."""

    index: tuple[int, ...]
    string: tuple[int, ...]
    gap: tuple[Gap, ...]
    on_beat: tuple[bool, ...]
    picking: Picking
    costs: StrokeCosts


def assign_strokes(
    positions: Sequence[Position | tuple[int, int]],
    policy: Picking | str = Picking.SWEEP,
    *,
    techniques: Sequence[Technique] | None = None,
    onsets: Sequence[Fraction] | None = None,
    beat: Fraction = Fraction(1),
    pins: Mapping[int, Stroke] | None = None,
    costs: StrokeCosts = _USUAL_COSTS,
) -> list[Stroke | None]:
    """The strokes of least cost, one a note; ``None`` for a note that is not picked.

    Parameters
    ----------
    positions : the notes in order, as positions or ``(string, fret)``; string 1 is the highest.
    policy : see the module.
    techniques : how each note starts; all picked where not given (under ``legato``,
        :func:`legato_techniques`).
    onsets : quarter notes from a bar line; with them the beat counts, and a gap of a quarter note
        frees the hand.
    beat : length of a beat in quarter notes.
    pins : strokes that are settled, by note index from 0.
    costs : the terms.

    Raises
    ------
    HandError
        For notes that are none, or pins that the policy cannot keep.

    Examples
    --------
    >>> "".join(assign_strokes([(4, 10), (4, 14), (3, 10), (2, 10), (1, 12)]))
    'UDDDU'
    """
    places = as_positions(positions)
    picking = read_policy(policy)
    if techniques is None and picking is Picking.LEGATO:
        techniques = legato_techniques(places, onsets=onsets)
    picks = _picks(places, picking, techniques, onsets, beat, costs)
    allowed = _allowed(picks, pins or {}, len(places))
    strokes: list[Stroke | None] = [None] * len(places)
    to_go = _costs_to_go(picks, allowed)
    state: _State | None = None
    for step, index in enumerate(picks.index):
        # On equal cost the first wins: down to begin with, then the other stroke before the same.
        order = _BOTH if state is None else (opposite(state.stroke), state.stroke)
        best: tuple[int, _State] | None = None
        for stroke in order:
            after = _after(picks, step, state, stroke)
            rest = to_go[step].get(after)
            if (
                stroke not in allowed[step]
                or rest is None
                or not _keeps(picks, step, state, stroke)
            ):
                continue
            points = rest + sum(term.points for term in _terms(picks, step, state, stroke))
            if best is None or points < best[0]:
                best = points, after
        if best is None:
            raise HandError(
                f"strictly alternate strokes cannot keep the strokes given up to note {index + 1}",
                mend="Free one of them, or choose another policy",
            )
        state = best[1]
        strokes[index] = state.stroke
    return strokes


def stroke_costs(
    positions: Sequence[Position | tuple[int, int]],
    strokes: Sequence[Stroke | None],
    policy: Picking | str = Picking.SWEEP,
    *,
    techniques: Sequence[Technique] | None = None,
    onsets: Sequence[Fraction] | None = None,
    beat: Fraction = Fraction(1),
    costs: StrokeCosts = _USUAL_COSTS,
) -> list[tuple[Term, ...]]:
    """Why any strokes cost what they do: the terms of each note (parameters as above)."""
    places = as_positions(positions)
    if len(strokes) != len(places):
        raise HandError(f"{len(strokes)} strokes for {len(places)} notes", mend="Give one a note")
    picking = read_policy(policy)
    if techniques is None and picking is Picking.LEGATO:
        techniques = legato_techniques(places, onsets=onsets)
    picks = _picks(places, picking, techniques, onsets, beat, costs)
    terms: list[tuple[Term, ...]] = [()] * len(places)
    state: _State | None = None
    for step, index in enumerate(picks.index):
        stroke = strokes[index]
        if stroke is None:
            raise HandError(f"note {index + 1} is picked but has no stroke", mend="Give it D or U")
        terms[index] = _terms(picks, step, state, stroke)
        state = _after(picks, step, state, stroke)
    return terms


def legato_techniques(
    positions: Sequence[Position | tuple[int, int]],
    *,
    onsets: Sequence[Fraction] | None = None,
) -> list[Technique]:
    """Hammer-ons up a string, pull-offs down it; the first note on a string is picked.

    A note repeated on its fret is picked again, and so is one after a gap of a quarter note, when
    the string has stopped sounding enough to be fretted clearly.
    """
    places = as_positions(positions)
    _check_onsets(len(places), onsets)
    techniques: list[Technique] = []
    for index, place in enumerate(places):
        before = places[index - 1] if index else None
        rested = index > 0 and onsets is not None and onsets[index] - onsets[index - 1] >= REST_GAP
        if before is None or before.string != place.string or before.fret == place.fret or rested:
            techniques.append(Technique.PICK)
        else:
            up = place.fret > before.fret
            techniques.append(Technique.HAMMER_ON if up else Technique.PULL_OFF)
    return techniques


def _check_onsets(count: int, onsets: Sequence[Fraction] | None) -> None:
    if onsets is not None and len(onsets) != count:
        raise HandError(f"{len(onsets)} onsets for {count} notes", mend="Give one for each note")


def _picks(
    places: Sequence[Position],
    picking: Picking,
    techniques: Sequence[Technique] | None,
    onsets: Sequence[Fraction] | None,
    beat: Fraction,
    costs: StrokeCosts,
) -> _Picks:
    _check_onsets(len(places), onsets)
    pairs = picked_pairs(as_techniques(len(places), techniques), onsets)
    index = tuple(note for note, _ in pairs)
    return _Picks(
        index=index,
        string=tuple(places[note].string for note in index),
        gap=tuple(gap for _, gap in pairs),
        on_beat=tuple(onsets is not None and onsets[note] % beat == 0 for note in index),
        picking=picking,
        costs=costs,
    )


def _allowed(picks: _Picks, pins: Mapping[int, Stroke], count: int) -> list[tuple[Stroke, ...]]:
    """The strokes each picked note may have."""
    for note in pins:
        if not 0 <= note < count:
            raise HandError(
                f"a stroke is given for note {note + 1}, but there are {count} notes",
                mend="Give strokes for notes that are there",
            )
        if note not in picks.index:
            raise HandError(
                f"note {note + 1} is not picked, yet it is given a stroke",
                mend="Take the stroke away, or pick the note",
            )
    usual = (Stroke.DOWN,) if picks.picking is Picking.DOWN else _BOTH
    allowed: list[tuple[Stroke, ...]] = [
        (pins[note],) if note in pins else usual for note in picks.index
    ]
    for note, strokes in zip(picks.index, allowed, strict=True):
        if picks.picking is Picking.DOWN and strokes != (Stroke.DOWN,):
            raise HandError(
                f"note {note + 1} is given an upstroke where all strokes are down",
                mend="Choose another policy, or take the upstroke away",
            )
    return allowed


def _costs_to_go(picks: _Picks, allowed: Sequence[tuple[Stroke, ...]]) -> list[dict[_State, int]]:
    """For each pick and state, the least cost of all that follows; no entry where impossible."""
    to_go: list[dict[_State, int]] = [{} for _ in picks.index]
    if not to_go:
        return to_go
    to_go[-1] = {_State(stroke, swept): 0 for stroke in allowed[-1] for swept in (False, True)}
    for step in range(len(picks.index) - 1, 0, -1):
        for before in (_State(s, swept) for s in allowed[step - 1] for swept in (False, True)):
            costs = [
                to_go[step][after] + sum(t.points for t in _terms(picks, step, before, stroke))
                for stroke in allowed[step]
                if _keeps(picks, step, before, stroke)
                and (after := _after(picks, step, before, stroke)) in to_go[step]
            ]
            if costs:
                to_go[step - 1][before] = min(costs)
    return to_go


def _keeps(picks: _Picks, step: int, before: _State | None, stroke: Stroke) -> bool:
    """Whether the policy lets this stroke follow."""
    if picks.picking is not Picking.ALTERNATE or before is None:
        return True
    return picks.gap[step] is Gap.RESTED or stroke is not before.stroke


def _motion(picks: _Picks, step: int, before: _State, stroke: Stroke) -> Motion:
    return motion(picks.string[step - 1], before.stroke, picks.string[step], stroke)


def _after(picks: _Picks, step: int, before: _State | None, stroke: Stroke) -> _State:
    """The state that a stroke leads to."""
    swept = (
        before is not None
        and picks.gap[step] is Gap.JOINED
        and picks.picking is not Picking.DOWN
        and _motion(picks, step, before, stroke) is Motion.SWEEP
    )
    return _State(stroke, swept)


def _terms(picks: _Picks, step: int, before: _State | None, stroke: Stroke) -> tuple[Term, ...]:
    """What it costs that ``stroke`` plays pick ``step`` after ``before``."""
    costs, gap = picks.costs, picks.gap[step]
    terms: list[Term] = []
    if stroke is Stroke.UP and picks.on_beat[step]:
        terms.append(Term("up_on_beat", costs.up_on_beat))
    if before is not None and gap is Gap.RESTED and before.swept:
        terms.append(Term("sweep_end", costs.sweep_end))
    if before is not None and gap is not Gap.RESTED and picks.picking is not Picking.DOWN:
        terms += _motion_terms(picks, step, before, stroke)
    if step == len(picks.index) - 1 and _after(picks, step, before, stroke).swept:
        terms.append(Term("sweep_end", costs.sweep_end))
    return tuple(terms)


def _motion_terms(picks: _Picks, step: int, before: _State, stroke: Stroke) -> list[Term]:
    costs, joined = picks.costs, picks.gap[step] is Gap.JOINED
    what = _motion(picks, step, before, stroke)
    if what is Motion.SWEEP:
        return [Term("sweep_start", costs.sweep_start)] if joined and not before.swept else []
    terms: list[Term] = []
    if before.swept and joined and stroke is not before.stroke:
        terms.append(Term("turn", costs.turn))
    if what in (Motion.OUTSIDE, Motion.INSIDE):
        points = costs.outside if what is Motion.OUTSIDE else costs.inside
        # With a legato note between, the pick has time to move.
        terms.append(Term(what.value, points if joined else points // 2))
        skipped = abs(picks.string[step] - picks.string[step - 1]) - 1
        if skipped:
            terms.append(Term("skip", costs.skip * skipped))
    elif what is not Motion.ALTERNATE:
        terms.append(Term("broken", costs.broken) if joined else Term("recover", costs.recover))
    return terms
