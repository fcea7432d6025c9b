"""Can a picking hand play these strokes, and what do they ask of it?

The strokes may be the teacher's own: they are kept as they are, and what is wrong is said note by
note.  Rules (common practice, no source): a sweep is one motion through neighbouring strings in
the stroke's direction, a note a string.  Repeated downstrokes on one string are their own style
and no sweep; a note that is not picked between two strokes, a quarter note of time, or a note after
which the hand swings back for the same stroke, gives it room to come back.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from lickwright.lick.notes import Stroke, Technique
from lickwright.lick.picking.motions import (
    Beat,
    Gap,
    Motion,
    Picking,
    as_positions,
    as_techniques,
    motion,
    on_beat,
    opposite,
    picked_pairs,
    read_policy,
)
from lickwright.lick.picking.swing import hand_swing
from lickwright.lick.picking.text import OwnStrokes, read_strokes
from lickwright.neck import Position

_STROKE_NAME = {Stroke.DOWN: "downstroke", Stroke.UP: "upstroke"}
_A_STROKE = {Stroke.DOWN: "a downstroke", Stroke.UP: "an upstroke"}
_TOWARDS = {Stroke.DOWN: "the treble strings", Stroke.UP: "the bass strings"}


@dataclass(frozen=True, slots=True)
class StrokeProblem:
    """One thing a picking hand cannot do; ``note`` is an index from 0."""

    note: int
    what: str
    mend: str

    def __str__(self) -> str:
        return f"{self.what}. {self.mend}."


@dataclass(frozen=True, slots=True)
class Sweep:
    """A run of two or more notes in one motion; indexes from 0, ``last`` included."""

    first: int
    last: int
    stroke: Stroke

    @property
    def notes(self) -> int:
        return self.last - self.first + 1


@dataclass(frozen=True, slots=True)
class StrokeReport:
    """What the strokes of a line ask of the picking hand.

    Parameters
    ----------
    picked : notes that are picked.
    inside, outside : string changes by alternate strokes, of each kind.
    skipped : string changes that jump over one string or more.
    sweeps : each sweep, in order.
    turns : notes on which a sweep is turned round.
    down_on_beat, up_on_beat : notes on a beat, by their stroke (empty without onsets).
    """

    picked: int
    inside: tuple[int, ...]
    outside: tuple[int, ...]
    skipped: tuple[int, ...]
    sweeps: tuple[Sweep, ...]
    turns: tuple[int, ...]
    down_on_beat: tuple[int, ...]
    up_on_beat: tuple[int, ...]


def check_strokes(
    positions: Sequence[Position | tuple[int, int]],
    strokes: OwnStrokes,
    techniques: Sequence[Technique] | None = None,
    *,
    onsets: Sequence[Fraction] | None = None,
    beat: Beat = Fraction(1),
    policy: Picking | str = Picking.SWEEP,
) -> list[StrokeProblem]:
    """What is wrong with some strokes, by note; an empty list when nothing is.

    Parameters
    ----------
    positions : notes in order, as positions or ``(string, fret)``; string 1 is the highest.
    strokes : a pattern in text, or one stroke a note with ``None`` where it is not picked.
    techniques : how each note starts; where not given, a note is picked if it has a stroke.
    onsets : quarter notes from a bar line, to know where the hand has time.
    beat : length of a beat in quarter notes, or the lengths of a bar's beats in turn.
    policy : the style they are meant in.  Under ``down`` each stroke stands alone, so that no
        sweep is meant and an upstroke is wrong; under ``alternate`` equal strokes are wrong.

    Raises
    ------
    HandError
        When the lengths differ or a note is no string and fret.
    """
    places = as_positions(positions)
    strokes = read_strokes(strokes, len(places))
    problems: list[StrokeProblem] = []
    if techniques is not None:
        ways = as_techniques(len(places), techniques)
        problems += _technique_problems(places, strokes, ways)
    lifted = _lifted(onsets, beat)
    moves = [move for move in _moves(places, strokes, onsets) if move.note not in lifted]
    picking = read_policy(policy)
    if picking is Picking.DOWN:
        problems += _upstrokes(strokes)
    elif picking is Picking.ALTERNATE:
        problems += _equal_strokes(strokes, moves)
    else:
        problems += _sweep_problems(places, strokes, moves)
    return sorted(problems, key=lambda problem: problem.note)


def stroke_report(
    positions: Sequence[Position | tuple[int, int]],
    strokes: OwnStrokes,
    *,
    onsets: Sequence[Fraction] | None = None,
    beat: Beat = Fraction(1),
) -> StrokeReport:
    """Count what the picking hand does: string changes, sweeps, turns, phase (as above)."""
    places = as_positions(positions)
    strokes = read_strokes(strokes, len(places))
    moves = _moves(places, strokes, onsets)
    sweeps: list[Sweep] = []
    turns: list[int] = []
    for move in moves:
        before, note = move.before, move.note
        stroke = strokes[note]
        open_sweep = bool(sweeps) and sweeps[-1].last == before
        if move.motion is Motion.SWEEP and stroke is not None:
            first = sweeps.pop().first if open_sweep else before
            sweeps.append(Sweep(first, note, stroke))
        elif open_sweep and stroke is not strokes[before]:
            turns.append(note)
    beats = [
        index
        for index, stroke in enumerate(strokes)
        if stroke is not None and onsets is not None and on_beat(onsets[index], beat)
    ]
    return StrokeReport(
        picked=sum(stroke is not None for stroke in strokes),
        inside=tuple(move.note for move in moves if move.motion is Motion.INSIDE),
        outside=tuple(move.note for move in moves if move.motion is Motion.OUTSIDE),
        skipped=tuple(
            move.note
            for move in moves
            if abs(places[move.before].string - places[move.note].string) > 1
        ),
        sweeps=tuple(sweeps),
        turns=tuple(turns),
        down_on_beat=tuple(index for index in beats if strokes[index] is Stroke.DOWN),
        up_on_beat=tuple(index for index in beats if strokes[index] is Stroke.UP),
    )


@dataclass(frozen=True, slots=True)
class _CheckedMove:
    """Two picked notes of which the second follows at once."""

    before: int
    note: int
    motion: Motion


def _moves(
    places: Sequence[Position],
    strokes: Sequence[Stroke | None],
    onsets: Sequence[Fraction] | None,
) -> list[_CheckedMove]:
    sounded = [Technique.PICK if stroke else Technique.HAMMER_ON for stroke in strokes]
    pairs = picked_pairs(sounded, onsets)
    moves: list[_CheckedMove] = []
    for (before, _), (note, gap) in pairwise(pairs):
        first, second = strokes[before], strokes[note]
        if gap is Gap.JOINED and first is not None and second is not None:
            what = motion(places[before].string, first, places[note].string, second)
            moves.append(_CheckedMove(before, note, what))
    return moves


def _lifted(onsets: Sequence[Fraction] | None, beat: Beat) -> set[int]:
    """Notes before which the hand swings back in the air, so that they are no sweep."""
    if onsets is None:
        return set()
    hand = hand_swing(onsets, beat)
    return {at for at in range(1, len(hand)) if hand[at].stroke is hand[at - 1].stroke}


def _upstrokes(strokes: Sequence[Stroke | None]) -> list[StrokeProblem]:
    return [
        StrokeProblem(
            note, f"Note {note + 1} is an upstroke in a line of downstrokes", "Play it down"
        )
        for note, stroke in enumerate(strokes)
        if stroke is Stroke.UP
    ]


def _equal_strokes(
    strokes: Sequence[Stroke | None], moves: Sequence[_CheckedMove]
) -> list[StrokeProblem]:
    return [
        StrokeProblem(
            move.note,
            f"Note {move.note + 1} repeats the {_STROKE_NAME[stroke]} of the note before it where"
            " strokes alternate strictly",
            f"Play it with {_A_STROKE[opposite(stroke)]}",
        )
        for move in moves
        if (stroke := strokes[move.note]) is not None and stroke is strokes[move.before]
    ]


def _sweep_problems(
    places: Sequence[Position],
    strokes: Sequence[Stroke | None],
    moves: Sequence[_CheckedMove],
) -> list[StrokeProblem]:
    problems: list[StrokeProblem] = []
    for at, move in enumerate(moves):
        before, note, what = move.before, move.note, move.motion
        stroke = strokes[note]
        if stroke is None:
            continue
        name, other = _STROKE_NAME[stroke], _A_STROKE[opposite(stroke)]
        here, there = places[before].string, places[note].string
        if what is Motion.AGAINST:
            problems.append(
                StrokeProblem(
                    note,
                    f"Note {note + 1} sweeps against its direction: {_A_STROKE[stroke]} moves"
                    f" towards {_TOWARDS[stroke]}, but the line goes from string {here} to {there}",
                    f"Play it with {other}",
                )
            )
        elif what is Motion.ACROSS:
            problems.append(
                StrokeProblem(
                    note,
                    f"Note {note + 1} sweeps across a skipped string: from string {here} to"
                    f" {there} in one {name}",
                    f"Play it with {other}, or on the next string",
                )
            )
        elif what is Motion.REPEAT and _beside_a_sweep(moves, at):
            problems.append(
                StrokeProblem(
                    note,
                    f"Note {note + 1} is a second note on string {there} inside a sweep of {name}s",
                    f"Play one of the two with {other}, or hammer on or pull off",
                )
            )
    return problems


def _beside_a_sweep(moves: Sequence[_CheckedMove], at: int) -> bool:
    """Whether the run of equal strokes around a repeat also sweeps."""
    for step in (-1, 1):
        place = at + step
        while 0 <= place < len(moves):
            earlier, later = min(place, place - step), max(place, place - step)
            joined = moves[earlier].note == moves[later].before
            if joined and moves[place].motion is Motion.SWEEP:
                return True
            if not joined or moves[place].motion is not Motion.REPEAT:
                break
            place += step
    return False


def _technique_problems(
    places: Sequence[Position],
    strokes: Sequence[Stroke | None],
    ways: Sequence[Technique],
) -> list[StrokeProblem]:
    problems: list[StrokeProblem] = []
    for note, (place, stroke, way) in enumerate(zip(places, strokes, ways, strict=True)):
        number = note + 1
        if way is Technique.PICK:
            if stroke is None:
                problems.append(
                    StrokeProblem(
                        note, f"Note {number} is picked but has no stroke", "Give it D or U"
                    )
                )
            continue
        if stroke is not None:
            problems.append(
                StrokeProblem(
                    note,
                    f"Note {number} is a {way.value} and is given {_A_STROKE[stroke]}",
                    "Write - in its place, or pick the note",
                )
            )
        before = places[note - 1] if note else None
        if before is None or before.string != place.string:
            problems.append(
                StrokeProblem(
                    note,
                    f"Note {number} is a {way.value}, but no note on string {place.string} comes"
                    " just before it",
                    "Pick the note",
                )
            )
        elif (way is Technique.HAMMER_ON and place.fret <= before.fret) or (
            way is Technique.PULL_OFF and place.fret >= before.fret
        ):
            side = "higher" if way is Technique.HAMMER_ON else "lower"
            problems.append(
                StrokeProblem(
                    note,
                    f"Note {number} is a {way.value} from fret {before.fret} to fret {place.fret}",
                    f"A {way.value} goes to a {side} fret of its string",
                )
            )
    return problems
