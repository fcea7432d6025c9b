"""How does a lick of several parts come about, and what may a part do with an earlier one?

Each part has its own shapes, contour and rhythm, and they are played one after the other.  A part
may be linked to an earlier part, its *model*:

``repeat``
    The same notes in the same rhythm with the same strokes.
``mirror``
    The contour turned round (a rise for a fall) and every stroke turned round (down for up), in
    the model's rhythm and with as many notes; the triads may be others.  So within a shape the
    line must cross the strings the other way round, move for move, and every stroke so turned
    round must be one that a pick can play: where they do not, the mirror is refused.
``answer``
    The model's rhythm and number of notes, the contour turned round unless another is given, and
    a last note that comes home: the root, fifth or third of the chord that sounds, whichever lies
    nearest to the note before it among the shape's tones.  Its strokes are its own.
``vary``
    The model with whatever is given anew in place of its own.  Its strokes are its own.

How long a part lasts: *as written*, its notes in their rhythm and the rests that follow them there;
or a given time.  What fills the time after the last note: the note is *held*, or there is *rest*,
or the shapes go *round* again until the time is over (and are cut there).  The last part of a lick
that lasts as written holds its last note to the bar line, as every composed line does.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from fractions import Fraction

from lickwright.errors import ContourError, RhythmError
from lickwright.lick.notes import Lick, LickNote, Part, PartLink, Tuplet
from lickwright.lick.phrase.composing import AnyShape, Voices, line_notes, places_of
from lickwright.lick.phrase.contour import Contour, PathNote, trace
from lickwright.lick.phrase.part_places import string_moves, turns_round
from lickwright.lick.rhythm import (
    COMMON_TIME,
    Ending,
    LaidOut,
    Meter,
    Rhythm,
    attacks_within,
    lay_out,
    written_end,
)
from lickwright.neck import Guitar


class PartFilling(StrEnum):
    """What fills a part's time after its last note."""

    HELD = "held"
    REST = "rest"
    ROUND = "round"


@dataclass(frozen=True, slots=True)
class PartPlan:
    """One part before it is in time; what its link takes from the model is filled in already.

    Parameters
    ----------
    name : of the part.
    shapes : in the order in which the hand plays them.
    voices : which triads each shape plays, as :func:`~lickwright.lick.phrase.composing.compose` has
    them.
    contour, rhythm : of the part; of a mirror the contour is turned round already.
    lasts : quarter notes, ``None`` for as long as it is written.
    filling : what comes after its last note.
    link, of : what it does with which earlier part, by index.
    """

    name: str
    shapes: tuple[AnyShape, ...]
    voices: tuple[Voices, ...]
    contour: Contour
    rhythm: Rhythm
    lasts: Fraction | None = None
    filling: PartFilling = PartFilling.HELD
    link: PartLink | None = None
    of: int | None = None


#: Pitch classes that a part, by index, may come home to at a moment, the dearest first.
Home = Callable[[int, Fraction], Sequence[int]]


def join_parts(
    plans: Sequence[PartPlan],
    guitar: Guitar | None = None,
    *,
    meter: Meter = COMMON_TIME,
    home: Home | None = None,
) -> Lick:
    """The parts one after the other as one lick; fingers and strokes still open.

    Parameters
    ----------
    plans : at least one; a link goes to an earlier one.
    guitar : the instrument; standard where not given.
    meter : where the bar lines fall.
    home : what a part that answers may end on; asked with its index and the onset of its last note.

    Returns
    -------
    Lick
        Every note knows its part (:attr:`~lickwright.lick.notes.Belonging.part`).

    Raises
    ------
    ContourError, RhythmError, NeckError
        Naming the part: where it does not fit its time, or cannot do what its link asks.
    """
    guitar = guitar or Guitar()
    notes: list[LickNote] = []
    tuplets: list[Tuplet] = []
    parts: list[Part] = []
    made: list[list[PathNote]] = []
    now = Fraction(0)
    for index, plan in enumerate(plans):
        model = made[plan.of] if plan.of is not None else None
        seen = meter.seen_from(now)
        path = _path(plan, seen, model)
        if plan.link is PartLink.ANSWER and home is not None:
            onset = lay_out(plan.rhythm, len(path), meter=seen).spans[-1][0]
            path[-1] = _home_note(plan, path, home(index, now + onset), guitar)
        if plan.link is PartLink.MIRROR and model is not None:
            _check_mirror(plan, path, model, plans[plan.of or 0].name)
        laid, length = _timed(plan, len(path), seen, is_last=index == len(plans) - 1)
        own = tuple(
            replace(note, onset=now + note.onset, belongs=replace(note.belongs, part=index))
            for note in line_notes(path, laid, plan.shapes, plan.voices, guitar)
        )
        made.append(path)
        notes += own
        tuplets += [replace(tuplet, onset=now + tuplet.onset) for tuplet in laid.tuplets]
        parts.append(Part(plan.name, now, length, plan.link, plan.of))
        now += length
    return Lick(tuple(notes), meter.bar_end(now), tuple(tuplets), tuple(parts))


def _path(plan: PartPlan, meter: Meter, model: Sequence[PathNote] | None) -> list[PathNote]:
    """The places of a part in order."""
    places = [places_of(shape) for shape in plan.shapes]
    once = trace(plan.contour, places)
    count = len(once)
    if plan.link is PartLink.ANSWER and model is not None:
        count = len(model)
    elif plan.lasts is not None and plan.filling is PartFilling.ROUND:
        count = attacks_within(plan.rhythm, plan.lasts, meter=meter)
        if not count:
            raise RhythmError(
                f"no note of '{plan.name}' starts within its time",
                mend="Choose a rhythm that begins with a note, or let the part last longer",
            )
    return trace(plan.contour, places, rounds=-(-count // len(once)) + 1)[:count]


def _timed(plan: PartPlan, count: int, meter: Meter, *, is_last: bool) -> tuple[LaidOut, Fraction]:
    """The notes of a part in time from its own beginning, and how long the part lasts."""
    if plan.lasts is None:
        end = written_end(plan.rhythm, count, meter=meter)
        laid = lay_out(plan.rhythm, count, meter=meter)
        if is_last and sum(laid.spans[-1]) == end and plan.filling is not PartFilling.REST:
            laid = lay_out(plan.rhythm, count, meter=meter, ending=Ending.BAR)
            end = sum(laid.spans[-1], Fraction(0))
        return laid, meter.bar_end(end) if is_last else end
    room = attacks_within(plan.rhythm, plan.lasts, meter=meter)
    if count > room:
        raise RhythmError(
            f"'{plan.name}' has {count} notes, but its time holds {room} of them",
            mend="Let it last longer, take quicker values, or leave 'lasts' out",
        )
    laid = lay_out(plan.rhythm, count, meter=meter, limit=plan.lasts)
    if plan.filling is PartFilling.HELD:
        onset, _ = laid.spans[-1]
        laid = replace(laid, spans=(*laid.spans[:-1], (onset, plan.lasts - onset)))
    crossing = [t for t in laid.tuplets if t.onset + t.length > plan.lasts]
    if crossing:
        raise RhythmError(
            f"a tuplet of '{plan.name}' is not over when the part is",
            mend="Let the part last longer, or choose a rhythm that fills its time",
        )
    return laid, plan.lasts


def _home_note(
    plan: PartPlan, path: Sequence[PathNote], home: Sequence[int], guitar: Guitar
) -> PathNote:
    """The place nearest in pitch to the note before the last that sounds a tone of home."""
    if len(path) < 2:
        raise ContourError(
            f"'{plan.name}' has one note, which answers nothing", mend="Give it more notes"
        )
    before = path[-2].position
    from_midi = guitar.midi_at(before)
    tones = [
        PathNote(position, index)
        for index, shape in enumerate(plan.shapes)
        for position in places_of(shape)
        if guitar.midi_at(position) % 12 in home and position != before
    ]
    if not tones:
        raise ContourError(
            f"'{plan.name}' has no root, fifth or third of its chord to come home to",
            mend="Choose triads that hold one of them, or vary the earlier part instead",
        )
    return min(
        tones,
        key=lambda note: (
            abs(guitar.midi_at(note.position) - from_midi),
            home.index(guitar.midi_at(note.position) % 12),
            abs(note.position.string - before.string),
            note.position,
        ),
    )


def _check_mirror(
    plan: PartPlan, path: Sequence[PathNote], model: Sequence[PathNote], of: str
) -> None:
    """Refuse a mirror whose strokes cannot be those of its model turned round."""
    if len(path) != len(model):
        raise ContourError(
            f"'{plan.name}' has {len(path)} notes and cannot mirror the {len(model)} of '{of}'",
            mend="Choose frets and strings where both shapes have as many notes, or vary it",
        )
    if not turns_round(string_moves(path), string_moves(model)):
        raise ContourError(
            f"'{plan.name}' does not mirror '{of}': it does not cross the strings the other way"
            " round",
            mend="Choose frets and strings where its shape fits, or vary it instead",
        )
