"""Which strokes play a lick of parts, when parts that belong together share theirs?

A part that repeats has the strokes of its model, a part that mirrors has them turned round, and a
part with strokes of the teacher's own keeps those.  All other parts begin with a downstroke or an
upstroke and are played from there with the strokes of least cost; of all these beginnings the line
as a whole takes the cheapest.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from fractions import Fraction
from itertools import product

from lickwright.errors import HandError
from lickwright.lick.notes import Lick, LickNote, PartLink, Stroke, Technique
from lickwright.lick.picking import (
    Escape,
    PickedTime,
    Picking,
    assign_strokes,
    check_strokes,
    legato_techniques,
    mirror_strokes,
    read_escape,
    read_policy,
    stroke_costs,
)
from lickwright.lick.rhythm import Meter

_Strokes = tuple[Stroke | None, ...]

#: More parts than this that each begin either way are not tried in every combination.
MOST_FREE_PARTS = 8


def part_strokes(
    lick: Lick,
    policy: Picking | str = Picking.SWEEP,
    *,
    own: Mapping[int, Sequence[Stroke | None]] | None = None,
    meter: Meter,
    tempo_bpm: float | None = None,
    start: Stroke | None = None,
    escape: Escape | str = Escape.BOTH,
) -> list[Stroke | None] | None:
    """The strokes of a lick of parts, one a note; ``None`` where no part ties them.

    Parameters
    ----------
    lick : with its parts.
    policy : what the picking hand may do.
    own : strokes of the teacher's own, by part, repeated to its end.
    meter : where the beats are.
    tempo_bpm : quarter notes a minute, where known.
    start : the first stroke, where it is not to be found.
    escape : on which stroke the pick leaves the strings.

    Raises
    ------
    HandError
        Where the policy cannot turn strokes round, or too many parts are free.
    """
    own = own or {}
    ties = {
        index: (part.of, part.link)
        for index, part in enumerate(lick.parts)
        if part.link in (PartLink.REPEAT, PartLink.MIRROR) and part.of is not None
    }
    if not ties and not own:
        return None
    picking = read_policy(policy)
    if picking is Picking.DOWN and any(link is PartLink.MIRROR for _, link in ties.values()):
        raise HandError(
            "downstrokes alone cannot be turned round",
            mend="Take 'mirror' out, or let the picking be sweep, alternate or legato",
        )
    time = PickedTime(
        _onsets(lick.notes, meter),
        meter.beats or meter.beat,
        tempo_bpm,
        start,
        read_escape(escape),
        [at for at, note in enumerate(lick.notes) if note.marks.palm_mute],
    )
    choices = [
        _choices(lick, index, picking, own.get(index), time) if index not in ties else [()]
        for index in range(len(lick.parts))
    ]
    if sum(len(choice) > 1 for choice in choices) > MOST_FREE_PARTS:
        raise HandError(
            f"more than {MOST_FREE_PARTS} parts have strokes of their own to be found",
            mend="Let some repeat or mirror, or give their strokes",
        )
    if picking is Picking.ALTERNATE and not own:
        return _alternating(lick, ties, time)
    lines = [_tied(chosen, ties) for chosen in product(*choices)]
    cheapest = min(lines, key=lambda line: _points(lick, line, picking, time))
    _check_mirrors(lick, cheapest, ties, meter)
    return list(cheapest)


def _check_mirrors(
    lick: Lick,
    strokes: Sequence[Stroke | None],
    ties: Mapping[int, tuple[int, PartLink | None]],
    meter: Meter,
) -> None:
    """Refuse a mirror with a stroke that no pick plays."""
    places = [note.position for note in lick.notes]
    beat = meter.beats or meter.beat
    for problem in check_strokes(places, strokes, onsets=_onsets(lick.notes, meter), beat=beat):
        part = lick.notes[problem.note].belongs.part
        of, link = ties.get(part, (0, None)) if part is not None else (0, None)
        if part is not None and link is PartLink.MIRROR:
            raise HandError(
                f"'{lick.parts[part].name}' cannot have the strokes of '{lick.parts[of].name}'"
                f" turned round: {problem.what}",
                mend="Give it other frets or strings, or vary the earlier part instead",
            )


def _alternating(
    lick: Lick, ties: Mapping[int, tuple[int, PartLink | None]], time: PickedTime
) -> list[Stroke | None]:
    """Strictly alternate strokes: the beat wins, a part of odd number takes turns by itself."""
    places = [note.position for note in lick.notes]
    line = assign_strokes(
        places,
        Picking.ALTERNATE,
        onsets=time.onsets,
        beat=time.beat,
        start=time.start,
        escape=time.escape,
    )
    firsts = {note.belongs.part: line[at] for at, note in reversed(list(enumerate(lick.notes)))}
    for index, (of, link) in ties.items():
        if link is PartLink.MIRROR and firsts[index] is firsts[of]:
            raise HandError(
                f"strokes that alternate strictly begin '{lick.parts[index].name}' as"
                f" '{lick.parts[of].name}', so they are not turned round",
                mend="Let the picking be sweep, or give the part a note more or less",
            )
    return line


def _onsets(notes: Sequence[LickNote], meter: Meter) -> list[Fraction]:
    return [note.onset - meter.pickup for note in notes]


def _choices(
    lick: Lick,
    index: int,
    picking: Picking,
    own: Sequence[Stroke | None] | None,
    time: PickedTime,
) -> list[_Strokes]:
    """The strokes of a free part: begun down, and begun up, as the next part is then reached."""
    notes = lick.notes_of(index)
    if own is not None:
        return [tuple(own[at % len(own)] for at in range(len(notes)))]
    line = [*notes, *lick.notes_of(index + 1)]
    at = lick.notes.index(line[0])
    places = [note.position for note in line]
    onsets = (time.onsets or ())[at : at + len(line)]
    techniques = None
    if picking is Picking.LEGATO:
        techniques = legato_techniques(places, onsets=onsets)
    firsts: tuple[Stroke, ...] = (Stroke.DOWN, Stroke.UP)
    if picking is Picking.DOWN:
        firsts = (Stroke.DOWN,)
    elif index == 0 and time.start is not None:
        firsts = (time.start,)
    return [
        tuple(
            assign_strokes(
                places,
                picking,
                techniques=techniques,
                onsets=onsets,
                beat=time.beat,
                tempo_bpm=time.tempo_bpm,
                escape=time.escape,
                muted=[note - at for note in time.muted],
                pins={0: first},
            )[: len(notes)]
        )
        for first in firsts
    ]


def _tied(chosen: Sequence[_Strokes], ties: Mapping[int, tuple[int, PartLink | None]]) -> _Strokes:
    """The whole line, each tied part with the strokes of its model."""
    parts: list[_Strokes] = []
    for index, strokes in enumerate(chosen):
        if index in ties:
            of, link = ties[index]
            model = parts[of]
            strokes = tuple(mirror_strokes(model)) if link is PartLink.MIRROR else model
        parts.append(strokes)
    return tuple(stroke for strokes in parts for stroke in strokes)


def _points(
    lick: Lick, strokes: Sequence[Stroke | None], picking: Picking, time: PickedTime
) -> int:
    techniques = [Technique.PICK if stroke else Technique.HAMMER_ON for stroke in strokes]
    terms = stroke_costs(
        [note.position for note in lick.notes],
        strokes,
        picking,
        techniques=techniques,
        onsets=time.onsets,
        beat=time.beat,
        tempo_bpm=time.tempo_bpm,
        start=time.start,
        escape=time.escape,
        muted=time.muted,
    )
    return sum(term.points for note in terms for term in note)
