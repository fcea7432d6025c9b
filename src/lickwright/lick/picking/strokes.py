"""Which pick strokes play a line best?

A policy says what the picking hand may do; within it the strokes of least cost are found exactly,
by dynamic programming over (stroke, what led to it).  Every cost is a named term of
:class:`StrokeCosts`, an integer with its reason, so that :func:`stroke_costs` can say where the
cost of any strokes lies.

Policies
--------
``sweep``      economy: sweep through neighbouring strings, alternate elsewhere; every repetition of
               a figure has the same strokes.
``alternate``  strictly down and up as the hand swings with the beat, over rests and longer notes.
``down``       downstrokes only, each a stroke of its own.
``legato``     hammer-ons and pull-offs along a string; each string's first note is picked.

Laws
----
*Mirror*: exchange the strings (``s`` becomes ``n + 1 - s``) and pin the first stroke to the other
direction, and the best strokes are the same with down and up exchanged.  (Without that pin the
*cost* is the same; equal-cost strokes start with a downstroke by custom, and with onsets the hand
swings with the beat, which no mirror can keep.)
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING

from lickwright.errors import HandError
from lickwright.lick.notes import Stroke, Technique
from lickwright.lick.picking.costs import (
    USUAL_COSTS,
    PickedTime,
    PickState,
    PickStep,
    StrokeCosts,
    StrokeTerm,
    pick_steps,
    state_after,
    step_terms,
)
from lickwright.lick.picking.motions import (
    Beat,
    Escape,
    Gap,
    Picking,
    as_positions,
    opposite,
    read_escape,
    read_policy,
)
from lickwright.lick.picking.repeats import (
    StrokeTie,
    StrokeTriple,
    playable_strokes,
    stroke_ties,
    tied_points,
    tied_strokes,
    ties_within,
    unbound,
)
from lickwright.lick.picking.slurs import legato_techniques
from lickwright.lick.picking.text import OwnStrokes, read_strokes
from lickwright.neck import Guitar, Position

if TYPE_CHECKING:
    from lickwright.lick.fingering import Repeat

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
    tempo_bpm: float | None = None,
    start: Stroke | None = None,
    escape: Escape | str = Escape.BOTH,
    muted: Collection[int] = (),
    pins: Mapping[int, Stroke] | None = None,
    costs: StrokeCosts = USUAL_COSTS,
    guitar: Guitar | None = None,
    repeats: Sequence[Repeat] | None = None,
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
    tempo_bpm : quarter notes a minute; with onsets, string changes are dearer the faster they are.
        ``None`` for sixteenths at 120.
    start : the stroke on which the line begins, where it is not to be found; the whole swing is
        turned with it.
    escape : on which stroke the player's pick leaves the strings: ``both``, ``down`` or ``up``.
    muted : indexes of palm-muted notes.
    pins : strokes that are settled, by note index from 0; a pin binds every repetition of its
        figure that has none of its own.
    costs : the terms.
    guitar : for the intervals between strings, by which a figure is known that moves; standard
        where not given.
    repeats : the repetitions that have the same strokes; found by
        :func:`~lickwright.lick.fingering.figures.find_repeats` where not given, ``()`` for none.

    Raises
    ------
    HandError
        For notes that are none, or pins that the policy cannot keep.
    RhythmError
        For a tempo of 0 or less.

    Examples
    --------
    >>> "".join(assign_strokes([(4, 10), (4, 14), (3, 10), (2, 10), (1, 12)]))
    'UDDDD'
    """
    places = as_positions(positions)
    picking = read_policy(policy)
    if techniques is None and picking is Picking.LEGATO:
        techniques = legato_techniques(places, onsets=onsets)
    start = None if start is None else read_strokes([start], 1)[0]
    time = PickedTime(onsets, beat, tempo_bpm, start, read_escape(escape), muted)
    picks, steps = pick_steps(places, techniques, time)
    if picking is Picking.ALTERNATE and start is None and not pins:
        time, steps = _leaving(time, steps, places, techniques)
    pins = dict(pins or {})
    if start is not None and picks:
        pins.setdefault(picks[0], start if picks[0] == 0 or onsets is None else _swung(steps[0]))
    allowed = _allowed(picks, picking, pins, len(places))
    tables = [_moves(step, picking, costs) for step in steps]
    found: Sequence[Stroke] | None = None
    if picking in (Picking.SWEEP, Picking.LEGATO) and len(picks) > 1:
        if repeats is None:
            repeats = _repeats(places, guitar)
        ties = stroke_ties(repeats, places, picks)
        if ties:
            found = _tied(tables, allowed, ties, costs)
    if found is None:
        found = _cheapest(tables, allowed, picks)
    strokes: list[Stroke | None] = [None] * len(places)
    for index, stroke in zip(picks, found, strict=True):
        strokes[index] = stroke
    return strokes


def stroke_costs(
    positions: Sequence[Position | tuple[int, int]],
    strokes: OwnStrokes,
    policy: Picking | str = Picking.SWEEP,
    *,
    techniques: Sequence[Technique] | None = None,
    onsets: Sequence[Fraction] | None = None,
    beat: Beat = Fraction(1),
    tempo_bpm: float | None = None,
    start: Stroke | None = None,
    escape: Escape | str = Escape.BOTH,
    muted: Collection[int] = (),
    costs: StrokeCosts = USUAL_COSTS,
) -> list[tuple[StrokeTerm, ...]]:
    """Why any strokes cost what they do (parameters as above).

    Returns
    -------
    The terms of each note.

    Raises
    ------
    HandError
        For a picked note without a stroke.
    """
    places = as_positions(positions)
    strokes = read_strokes(strokes, len(places))
    picking = read_policy(policy)
    if techniques is None and picking is Picking.LEGATO:
        techniques = legato_techniques(places, onsets=onsets)
    start = None if start is None else read_strokes([start], 1)[0]
    time = PickedTime(onsets, beat, tempo_bpm, start, read_escape(escape), muted)
    picks, steps = pick_steps(places, techniques, time)
    terms: list[tuple[StrokeTerm, ...]] = [()] * len(places)
    before: PickState | None = None
    for index, step in zip(picks, steps, strict=True):
        stroke = strokes[index]
        if stroke is None:
            raise HandError(f"note {index + 1} is picked but has no stroke", mend="Give it D or U")
        terms[index] = step_terms(step, before, stroke, picking, costs)
        before = state_after(step, before, stroke, picking)
    return terms


def _leaving(
    time: PickedTime,
    steps: list[PickStep],
    places: Sequence[Position],
    techniques: Sequence[Technique] | None,
) -> tuple[PickedTime, list[PickStep]]:
    """The swing turned round where a pick that leaves on one stroke is then less often trapped."""
    first = steps[0].swing if steps else None
    if first is None or time.escape is Escape.BOTH:
        return time, steps
    other = replace(time, start=opposite(first.stroke))
    _, turned = pick_steps(places, techniques, other)
    return (other, turned) if _trapped(turned) < _trapped(steps) else (time, steps)


def _trapped(steps: Sequence[PickStep]) -> int:
    """How often the pick changes strings after a stroke on which it does not leave them."""
    return sum(
        step.towards_treble != 0 and not step.escape.leaves(hand.stroke)
        for before, step in pairwise(steps)
        if (hand := before.swing) is not None
    )


def _swung(step: PickStep) -> Stroke:
    assert step.swing is not None, "there are onsets"
    return step.swing.stroke


def _repeats(places: Sequence[Position], guitar: Guitar | None) -> tuple[Repeat, ...]:
    """Where the line repeats itself; not looked for on strings that the instrument has not."""
    from lickwright.lick.fingering import find_repeats  # numpy, which strokes alone do not need

    guitar = guitar or Guitar()
    if max(place.string for place in places) > guitar.string_count:
        return ()
    return find_repeats([(place,) for place in places], guitar, longest=True)


def _cheapest(
    tables: Sequence[_Table], allowed: Sequence[tuple[Stroke, ...]], picks: Sequence[int]
) -> list[Stroke]:
    """The cheapest strokes where no figure is kept."""
    to_go = _costs_to_go(tables, allowed)
    state = _NO_STATE
    found: list[Stroke] = []
    for index, table, strokes_here, later in zip(picks, tables, allowed, to_go, strict=True):
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
        found.append(_STATES[state].stroke)
    return found


def _tied(
    tables: Sequence[_Table],
    allowed: Sequence[tuple[Stroke, ...]],
    ties: Sequence[StrokeTie],
    costs: StrokeCosts,
) -> list[Stroke] | None:
    """The cheapest strokes that keep figures as far as a pick can."""
    known: dict[tuple[int, int, int], StrokeTriple] = {}
    triples = []
    for pick, table in enumerate(tables):  # the tables live on: their ids tell them apart
        key = (min(pick, 2), id(tables[max(pick - 1, 0)]), id(table))
        if key not in known:
            known[key] = _triple(tables, pick)
        triples.append(known[key])
    free = [tuple(_BOTH.index(stroke) for stroke in strokes) for strokes in allowed]
    settled = [strokes[0] if len(strokes) == 1 else None for strokes in free]

    def solve(kept: Sequence[StrokeTie]) -> list[int] | None:
        return tied_strokes(triples, free, kept)

    def broken(strokes: Sequence[int] | None) -> set[int]:
        if strokes is None:
            return set(range(len(triples)))
        points = tied_points(triples, strokes)
        return {pick for pick, cost in enumerate(points) if cost >= costs.broken}

    kept = ties_within(len(tables), unbound(ties, settled))
    found = playable_strokes(kept, solve, broken)
    return None if found is None else [_BOTH[stroke] for stroke in found]


def _triple(tables: Sequence[_Table], pick: int) -> StrokeTriple:
    """The cost of a stroke after the two before it."""
    rows = []
    for first in _BOTH:
        row = []
        for second in _BOTH:
            state = _NO_STATE
            if pick > 0:
                before = _STATES.index(PickState(first, False)) if pick > 1 else _NO_STATE
                state = next(m.after for m in tables[pick - 1][before] if m.stroke is second)
            costs = {move.stroke: move.points for move in tables[pick][state]}
            row.append((costs[Stroke.DOWN], costs[Stroke.UP]))
        rows.append((row[0], row[1]))
    return rows[0], rows[1]


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
    alternates = (
        picking is Picking.ALTERNATE and step.gap is not Gap.RESTED and not step.swings_back
    )
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
