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
from functools import lru_cache

from lickwright.errors import HandError
from lickwright.lick.notes import Stroke, Technique
from lickwright.lick.picking.check import StrokeProblem, check_strokes
from lickwright.lick.picking.costs import (
    USUAL_COSTS,
    PickState,
    PickStep,
    StrokeCosts,
    StrokeTerm,
    check_onsets,
    pick_steps,
    state_after,
    step_terms,
)
from lickwright.lick.picking.motions import (
    REST_GAP,
    Beat,
    Gap,
    Picking,
    as_positions,
    opposite,
    read_policy,
)
from lickwright.lick.picking.text import (
    OwnStrokes,
    mirror_strokes,
    parse_strokes,
    print_strokes,
    read_strokes,
)
from lickwright.neck import Position

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


_BOTH = (Stroke.DOWN, Stroke.UP)


#: The states by number; the searches count with these, ``_NO_STATE`` being the very beginning.
_STATES = tuple(PickState(stroke, swept) for stroke in _BOTH for swept in (False, True))
_NO_STATE = len(_STATES)


def assign_strokes(
    positions: Sequence[Position | tuple[int, int]],
    policy: Picking | str = Picking.SWEEP,
    *,
    techniques: Sequence[Technique] | None = None,
    onsets: Sequence[Fraction] | None = None,
    beat: Beat = Fraction(1),
    pins: Mapping[int, Stroke] | None = None,
    costs: StrokeCosts = USUAL_COSTS,
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
    beat : length of a beat in quarter notes, or the lengths of a bar's beats in turn.
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
    picks, steps = pick_steps(places, techniques, onsets, beat)
    allowed = _allowed(picks, picking, pins or {}, len(places))
    strokes: list[Stroke | None] = [None] * len(places)
    moves = [_moves(step, picking, costs) for step in steps]
    to_go = _costs_to_go(moves, allowed)
    state = _NO_STATE
    for index, table, strokes_here, later in zip(picks, moves, allowed, to_go, strict=True):
        best: int | None = None
        chosen = state
        # The table's order settles ties: the first of equals wins.
        for move in table[state]:
            rest = later[move.after]
            if move.stroke in strokes_here and rest is not None:
                points = rest + move.points
                if best is None or points < best:
                    best, chosen = points, move.after
        if best is None:
            raise HandError(
                f"strictly alternate strokes cannot keep the strokes given up to note {index + 1}",
                mend="Free one of them, or choose another policy",
            )
        state = chosen
        strokes[index] = _STATES[state].stroke
    return strokes


def stroke_costs(
    positions: Sequence[Position | tuple[int, int]],
    strokes: OwnStrokes,
    policy: Picking | str = Picking.SWEEP,
    *,
    techniques: Sequence[Technique] | None = None,
    onsets: Sequence[Fraction] | None = None,
    beat: Beat = Fraction(1),
    costs: StrokeCosts = USUAL_COSTS,
) -> list[tuple[StrokeTerm, ...]]:
    """Why any strokes cost what they do: the terms of each note (parameters as above)."""
    places = as_positions(positions)
    strokes = read_strokes(strokes, len(places))
    picking = read_policy(policy)
    if techniques is None and picking is Picking.LEGATO:
        techniques = legato_techniques(places, onsets=onsets)
    picks, steps = pick_steps(places, techniques, onsets, beat)
    terms: list[tuple[StrokeTerm, ...]] = [()] * len(places)
    before: PickState | None = None
    for index, step in zip(picks, steps, strict=True):
        stroke = strokes[index]
        if stroke is None:
            raise HandError(f"note {index + 1} is picked but has no stroke", mend="Give it D or U")
        terms[index] = step_terms(step, before, stroke, picking, costs)
        before = state_after(step, before, stroke, picking)
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
    check_onsets(len(places), onsets)
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


def _allowed(
    picks: Sequence[int], picking: Picking, pins: Mapping[int, Stroke], count: int
) -> list[tuple[Stroke, ...]]:
    """The strokes each picked note may have."""
    picked = set(picks)
    for note, stroke in sorted(pins.items()):
        if not 0 <= note < count:
            raise HandError(
                f"a stroke is given for note {note + 1}, but there are {count} notes",
                mend="Give strokes for notes that are there",
            )
        if note not in picked:
            raise HandError(
                f"note {note + 1} is not picked, yet it is given a stroke",
                mend="Take the stroke away, or pick the note",
            )
        if picking is Picking.DOWN and stroke is Stroke.UP:
            raise HandError(
                f"note {note + 1} is given an upstroke where all strokes are down",
                mend="Choose another policy, or take the upstroke away",
            )
    usual = (Stroke.DOWN,) if picking is Picking.DOWN else _BOTH
    return [(pins[note],) if note in pins else usual for note in picks]


def _costs_to_go(
    moves: Sequence[_Table], allowed: Sequence[tuple[Stroke, ...]]
) -> list[list[int | None]]:
    """For each pick and state, the least cost of all that follows; ``None`` where impossible."""
    to_go: list[list[int | None]] = [[None] * len(_STATES) for _ in moves]
    if not moves:
        return to_go
    to_go[-1] = [0 if state.stroke in allowed[-1] else None for state in _STATES]
    for number in range(len(moves) - 1, 0, -1):
        later, strokes, before = to_go[number], allowed[number], to_go[number - 1]
        for state, table in enumerate(moves[number][:_NO_STATE]):
            if _STATES[state].stroke not in allowed[number - 1]:
                continue
            best: int | None = None
            for move in table:
                rest = later[move.after]
                if (
                    rest is not None
                    and move.stroke in strokes
                    and (best is None or rest + move.points < best)
                ):
                    best = rest + move.points
            before[state] = best
    return to_go


@dataclass(frozen=True, slots=True)
class _StrokeMove:
    """A stroke the policy lets follow: its cost and the number of the state it leads to."""

    stroke: Stroke
    points: int
    after: int


#: By the number of the state before: the moves, the one that wins ties first.
_Table = tuple[tuple[_StrokeMove, ...], ...]


@lru_cache(maxsize=4096)
def _moves(step: PickStep, picking: Picking, costs: StrokeCosts) -> _Table:
    """Every move of a step; on equal cost down wins to begin with, then the other stroke."""
    alternates = picking is Picking.ALTERNATE and step.gap is not Gap.RESTED
    table: list[tuple[_StrokeMove, ...]] = []
    for before in (*_STATES, None):
        order = _BOTH if before is None else (opposite(before.stroke), before.stroke)
        table.append(
            tuple(
                _StrokeMove(
                    stroke,
                    sum(term.points for term in step_terms(step, before, stroke, picking, costs)),
                    _STATES.index(state_after(step, before, stroke, picking)),
                )
                for stroke in order
                if before is None or not alternates or stroke is not before.stroke
            )
        )
    return tuple(table)
