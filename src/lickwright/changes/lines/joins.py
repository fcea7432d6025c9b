"""What does it cost to go from the end of one chord's line to the start of the next one's?

Three things meet at the bar line: the left hand moves, the line takes a step, and the pick goes
on.  A line that ends with a quarter note or more of time leaves the pick free.

Every cost is a named term of :class:`CarryCosts` in tenths of a millimetre of hand travel, so
that all of them can be compared with the one that can be measured.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from enum import IntEnum
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING

from lickwright.changes.paths import FORBIDDEN
from lickwright.lick import Stroke
from lickwright.lick.picking import Motion, Picking, StrokeCosts, motion

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class CarryCosts:
    """The terms, in tenths of a mm of hand travel (common practice, no source).

    Parameters
    ----------
    travel : a millimetre of hand travel, between two chords, or under one beyond what the lick
        itself takes.
    leap : a semitone beyond a whole step from the last note of a chord to the first of the next.
    far_leap : each semitone beyond a major third there, on top of that.
    unanswered : such a leap that the line does not answer by going the other way.
    same_note : the very note again at a join between chords; a common tone, but no new one.
    wide_string_change : a string jumped over at a join, for the left hand's sake.
    stroke : a point of :class:`~lickwright.lick.picking.strokes.StrokeCosts`.
    no_guide : the first note under a chord is none of its guide tones.
    register : a semitone between the line's mean pitch and that of the lick.
    far_off : each semitone beyond a fourth between these two, on top of that.
    high_on_low : each fret above the 17th at which a note lies on a string from the fifth on.
    place : a mm between the line's mean place along the neck and the lick's.
    unclear : a point of strength that the reading lacks of 100.
    lesser_reading : each reading that comes before the one on the chord's root.
    nearly : the notes bear the chord out nearly, as :mod:`lickwright.theory.hearing.claim` judges
    it.
    contradicted : they do not bear it out.
    shape : a mm of :data:`~lickwright.neck.shapes.search.SHAPE_COSTS`.
    other_quality : a triad of another quality than the lick's has in its place.
    other_triads : other triads on the very chord that the lick was made on.
    not_itself : another line than the lick on the very chord that it was made on.
    new_strokes : every stroke is another than in the lick; fewer cost less in proportion.
    new_figure : every piece of a merged lick is another figure to the left hand than in the lick;
        fewer cost less in proportion.
    unasked : a line that stays, or comes back, where a lick was to be moved: it comes first only
        where what was asked says the chord less well, or lies far away.
    turned : the lick turned round, where the teacher lets it answer so.
    bent : the line rises where the lick falls, or the other way; tried only where a chord leaves
        nothing else.
    """

    travel: int = 10
    leap: int = 120
    far_leap: int = 500
    unanswered: int = 300
    same_note: int = 100
    wide_string_change: int = 40
    stroke: int = 3
    no_guide: int = 150
    register: int = 50
    far_off: int = 100
    high_on_low: int = 40
    place: int = 2
    unclear: int = 12
    lesser_reading: int = 150
    nearly: int = 1_500
    contradicted: int = 8_000
    shape: int = 5
    other_quality: int = 60
    other_triads: int = 400
    not_itself: int = 600
    new_strokes: int = 1_500
    bent: int = 20_000
    new_figure: int = 2_600
    unasked: int = 1_500
    turned: int = 300


#: A join wider than this is a leap that asks for an answer: a major third (common practice).
FURTHEST_STEP = 4
#: No join is wider, in semitones.
_WIDEST = 127


def leap_cost(step: int, costs: CarryCosts) -> int:
    """What it costs to come to the next chord by so many semitones."""
    return max(step - 2, 0) * costs.leap + max(step - FURTHEST_STEP, 0) * costs.far_leap


def leap_costs(step: NDArray[np.int64], costs: CarryCosts) -> NDArray[np.int64]:
    """As :func:`leap_cost`, for many."""
    import numpy as np

    beyond: NDArray[np.int64] = np.maximum(step - FURTHEST_STEP, 0) * costs.far_leap
    return np.maximum(step - 2, 0) * costs.leap + beyond


class RunEnd(IntEnum):
    """What the picked notes at an end of a line do, as far as their strokes are equal."""

    PLAIN = 0
    REPEATS = 1  # two equal strokes on one string
    SWEEPS = 2
    FREE = 3  # the pick is free: a rest lies between, or nothing is picked
    WHOLE = 4  # all strokes of the line are equal: what comes before it reaches through


@dataclass(frozen=True, slots=True)
class End:
    """How the line of one chord begins or ends.

    Parameters
    ----------
    hand : fret of the index finger.
    string, fret : of the note.
    stroke : of the note, ``None`` where it is not picked.
    run : what the picked notes around it do.
    turn : 1 where the line rises from the note on, -1 where it falls, 0 where neither is known or
        the line ends here.
    """

    hand: int
    string: int
    fret: int
    stroke: Stroke | None
    run: RunEnd
    turn: int = 0

    @property
    def code(self) -> int:
        """The end packed in one number, as layers hold it."""
        return (
            (self.hand << _HAND_BIT | self.string << _STRING_BIT | self.fret << _FRET_BIT)
            | turn_code(self.turn)
            | pick_code(self.stroke, self.run)
        )


_RUN_BITS = 3
_FRET_BIT, _STRING_BIT, _HAND_BIT, _TURN_BIT = 5, 11, 15, 21
_STROKE_CODES: tuple[Stroke | None, ...] = (None, Stroke.DOWN, Stroke.UP)


def pick_code(stroke: Stroke | None, run: RunEnd) -> int:
    """The pick's share of :attr:`End.code`: its lowest five bits."""
    return _STROKE_CODES.index(stroke) << _RUN_BITS | run


def turn_code(turn: int) -> int:
    """The share of :attr:`End.code` that says where the line goes from its first note.

    Parameters
    ----------
    turn : 1, 0 or -1, as of :class:`End`.

    Returns
    -------
    int
        In bits that no other share has.

    Examples
    --------
    >>> turn_code(0), turn_code(1) != turn_code(-1)
    (0, True)
    """
    return turn % 3 << _TURN_BIT


def place_codes(
    hand: NDArray[np.int64], string: NDArray[np.int64], fret: NDArray[np.int64]
) -> NDArray[np.int64]:
    """The left hand's share of :attr:`End.code`, for many ends at once."""
    return hand << _HAND_BIT | string << _STRING_BIT | fret << _FRET_BIT


def run_ends(strings: Sequence[int], strokes: Sequence[Stroke | None]) -> tuple[RunEnd, RunEnd]:
    """What the first and the last picked notes of a line do."""
    if not strokes:
        return RunEnd.FREE, RunEnd.FREE
    if strokes[0] is not None and len(set(strokes)) == 1:
        return RunEnd.WHOLE, RunEnd.WHOLE
    line = list(zip(strings, strokes, strict=True))
    return _first_move(line), _first_move(line[::-1])


def _first_move(line: Sequence[tuple[int, Stroke | None]]) -> RunEnd:
    """What the equal strokes at the start of a line (or, turned round, at its end) do."""
    if line[0][1] is None:
        return RunEnd.FREE
    for (string, stroke), (next_string, next_stroke) in pairwise(line):
        if next_stroke is not stroke:
            break
        return RunEnd.REPEATS if next_string == string else RunEnd.SWEEPS
    return RunEnd.PLAIN


#: String, stroke and run at an end: all that the pick's way over a join depends on.
PickEnd = tuple[int, Stroke | None, RunEnd]


@lru_cache(maxsize=8192)
def stroke_join_points(
    leave: PickEnd, enter: PickEnd, picking: Picking, points: StrokeCosts
) -> int | None:
    """Points of the pick's way over a join, ``None`` where no pick can go it in this style."""
    (string, stroke, run), (next_string, next_stroke, next_run) = leave, enter
    if stroke is None or next_stroke is None or RunEnd.FREE in (run, next_run):
        return 0
    if picking is Picking.DOWN:
        return 0
    what = motion(string, stroke, next_string, next_stroke)
    if what is Motion.ALTERNATE:
        return 0
    if picking is Picking.ALTERNATE and stroke is next_stroke:
        return None
    if stroke is next_stroke and RunEnd.WHOLE in (run, next_run):
        return None  # whether it is sound would hang on the line beyond
    if what is Motion.SWEEP:
        # A second note on one string has no place inside a sweep.
        return None if RunEnd.REPEATS in (run, next_run) else points.sweep_start
    if what is Motion.REPEAT:
        return None if RunEnd.SWEEPS in (run, next_run) else points.recover
    if what in (Motion.AGAINST, Motion.ACROSS):
        return None
    skipped = abs(next_string - string) - 1
    turned = points.turn if run is RunEnd.SWEEPS else 0
    crossed = points.outside if what is Motion.OUTSIDE else points.inside
    return crossed + points.skip * skipped + turned


@dataclass(frozen=True, slots=True)
class Joins:
    """Prices every join of a line on one instrument.

    Parameters
    ----------
    open_midi : MIDI key of each open string with its capo, string 1 first.
    hand_tenths : where the index finger stands at each fret, in tenths of a mm from the nut.
    picking : the style the strokes are meant in.
    """

    open_midi: tuple[int, ...]
    hand_tenths: tuple[int, ...]
    picking: Picking
    costs: CarryCosts
    points: StrokeCosts

    def terms(self, leave: End, enter: End) -> dict[str, int] | None:
        """The named costs of one join; ``None`` where the pick cannot go it."""
        pick = stroke_join_points(_pick_end(leave), _pick_end(enter), self.picking, self.points)
        if pick is None:
            return None
        tenths = abs(self.hand_tenths[leave.hand] - self.hand_tenths[enter.hand])
        rise = self.midi(enter) - self.midi(leave)
        step = abs(rise)
        goes_on = step > FURTHEST_STEP and enter.turn * rise > 0
        return {
            "travel": tenths * self.costs.travel // 10,
            "leap": leap_cost(step, self.costs),
            "leap not answered": self.costs.unanswered if goes_on else 0,
            "same note": self.costs.same_note if step == 0 else 0,
            "wide string change": max(abs(leave.string - enter.string) - 1, 0)
            * self.costs.wide_string_change,
            "strokes": pick * self.costs.stroke,
        }

    def midi(self, end: End) -> int:
        return self.open_midi[end.string - 1] + end.fret

    def matrix(self, leaves: NDArray[np.int64], enters: NDArray[np.int64]) -> NDArray[np.int64]:
        """Every exit code priced against every entry code: the sums of :meth:`terms`."""
        import numpy as np

        costs = self.costs
        tenths = np.asarray(self.hand_tenths, dtype=np.int64)
        open_midi = np.asarray(self.open_midi, dtype=np.int64)

        def parts(codes: NDArray[np.int64]) -> tuple[NDArray[np.int64], ...]:
            string, fret = codes >> _STRING_BIT & 15, codes >> _FRET_BIT & 63
            return tenths[codes >> _HAND_BIT & 63], open_midi[string - 1] + fret, string

        hand, midi, string = parts(leaves)
        next_hand, next_midi, next_string = parts(enters)
        price = np.abs(hand[:, None] - next_hand[None, :]) * costs.travel // 10
        cross = np.abs(string[:, None] - next_string[None, :])
        price += np.maximum(cross - 1, 0) * costs.wide_string_change
        # What a rise costs, by its semitones and by where the line goes from there: a table.
        rises = np.arange(-_WIDEST, _WIDEST + 1)
        steps = leap_costs(np.abs(rises), costs) + (rises == 0) * costs.same_note
        turn = enters >> _TURN_BIT & 3
        turn = np.where(turn == 2, -1, turn)
        far = np.abs(rises) > FURTHEST_STEP
        table_of = np.stack(
            [steps + (far & (np.sign(rises) * way > 0)) * costs.unanswered for way in (-1, 0, 1)]
        )
        price += table_of[turn[None, :] + 1, next_midi[None, :] - midi[:, None] + _WIDEST]
        # The pick's way depends on little: price it once for each kind of end.
        kinds, row = np.unique(_pick_kind(leaves), return_inverse=True)
        next_kinds, column = np.unique(_pick_kind(enters), return_inverse=True)
        table = np.empty((len(kinds), len(next_kinds)), dtype=np.int64)
        for i, leave in enumerate(kinds.tolist()):
            for j, enter in enumerate(next_kinds.tolist()):
                found = stroke_join_points(
                    _kind_end(leave), _kind_end(enter), self.picking, self.points
                )
                table[i, j] = FORBIDDEN if found is None else found * costs.stroke
        total: NDArray[np.int64] = price + table[row[:, None], column[None, :]]
        return total


def _pick_end(end: End) -> PickEnd:
    return end.string, end.stroke, end.run


def _pick_kind(codes: NDArray[np.int64]) -> NDArray[np.int64]:
    """The parts of end codes that the pick's way depends on, packed."""
    return (codes >> _STRING_BIT & 15) << _FRET_BIT | codes & 31


def _kind_end(kind: int) -> PickEnd:
    return kind >> _FRET_BIT, _STROKE_CODES[kind >> _RUN_BITS & 3], RunEnd(kind & 7)
