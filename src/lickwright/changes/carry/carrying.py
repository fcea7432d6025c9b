"""Carry a lick through a progression: same hands, new harmony.

Four ways to carry:

``exact``     the same notes, moved by the interval between the roots, on any strings;
``grip``      the same grip on the same strings, moved along the neck;
``diatonic``  the same steps of the scale that rules over each chord;
``idea``      for each chord other triads that imply it; contour, rhythm and strokes stay.

In every way a line may stay under a new chord that it bears out, and the lick may come back as it
was made (:mod:`~lickwright.changes.carry.staying`).

Every chord has a pool of candidates over the whole neck
(:mod:`~lickwright.changes.idea.candidates`, :mod:`~lickwright.changes.carry.moving`); one shortest
path through all pools (:mod:`~lickwright.changes.paths`) chooses the line whose hand travel, joins,
strokes, register and clarity together cost least.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from lickwright.changes.carry.filling import Filling, carried_parts, cut_parts, fill_chords
from lickwright.changes.carry.landing import (
    landed_changes,
    landed_fillings,
    landing_in_words,
    voiced,
)
from lickwright.changes.carry.pools import pools_for
from lickwright.changes.carry.reasons import Choice, choices_of
from lickwright.changes.carry.task import CarryPin, CarryTask, CarryWay, read_way, shares_strokes
from lickwright.changes.carry.wishes import NO_WISH, CarryWish
from lickwright.changes.lines import Candidate, CarryCosts, Pool
from lickwright.changes.paths import ways_in_order
from lickwright.changes.progression import Changes, bar_and_beat, held_on
from lickwright.errors import HandError
from lickwright.lick import Lick, LickNote
from lickwright.lick.fingering import assign_fingers
from lickwright.lick.hands import fingered_notes
from lickwright.lick.phrase import Landing, PartFilling, parse_landing
from lickwright.lick.picking import Picking, read_policy
from lickwright.neck import Guitar, HandProfile, Position, Span, hand_profile
from lickwright.theory import Chord, Key, Triad, parse_chord, pitch_from_midi


@dataclass(frozen=True, slots=True)
class Carried:
    """A lick over changes.

    Parameters
    ----------
    lick : the whole line, with voices, strokes and fingers.
    choices : for each chord what was chosen and why; a chord that ``%`` holds on is one.
    cost : of the whole way, in tenths of a mm of hand travel.
    cut : parts of the lick that a chord ends too early, each as a sentence says it.
    """

    lick: Lick
    choices: tuple[Choice, ...]
    cost: int
    cut: tuple[str, ...] = ()

    @property
    def travel_mm(self) -> float:
        """How far the left hand travels in all."""
        return sum(choice.travel_mm for choice in self.choices)


_USUAL_COSTS = CarryCosts()


def carry(
    lick: Lick,
    changes: Changes,
    way: CarryWay | str = CarryWay.IDEA,
    *,
    triads: Sequence[Triad] = (),
    source: Chord | str | None = None,
    source_key: Key | None = None,
    guitar: Guitar | None = None,
    hand: str | HandProfile = "medium",
    tempo_bpm: float | None = None,
    picking: Picking | str = Picking.SWEEP,
    frets: Span | None = None,
    strings: Span | None = None,
    pins: Mapping[int, CarryPin] | None = None,
    costs: CarryCosts = _USUAL_COSTS,
    filled: PartFilling | str = PartFilling.ROUND,
    wish: CarryWish = NO_WISH,
    landing: Landing | str | None = None,
) -> Carried:
    """The best way to carry a lick through changes.

    Parameters
    ----------
    lick : a line with its strokes; its rhythm starts again on every chord
        (:mod:`~lickwright.changes.carry.filling`).
    changes : the chords; one that ``%`` holds on is one long chord.
    way : ``"exact"``, ``"grip"``, ``"diatonic"`` or ``"idea"``.
    triads : those the lick is made of, by voice; needed to carry it by idea.
    source : the chord that the lick was made on; needed to move it exactly or diatonically.  By
        idea, the lick's own triads come first where that chord comes back.
    source_key : the key it was made in; that of the changes where not given.
    guitar, hand, tempo_bpm : whose instrument and left hand, and quarter notes a minute.
    picking : the style of strokes that are worked out anew where the lick's own do not fit.
    frets, strings : where on the neck; everywhere where not given.
    pins : what is settled, by the number of the bar as it is played.
    costs : what the best way weighs.
    filled : what fills the time of a chord after the last whole lick: ``"round"``, the lick again
        as far as it goes; ``"held"``, its last note; ``"rest"``.
    wish : what else is asked of the whole line.
    landing : where the line lands under its last chord, such as ``"guide tone on 3"``.

    Raises
    ------
    TheoryError, NeckError, HandError, RhythmError
        With the bar, where a chord leaves no way to play the lick.
    """
    return carry_ways(
        lick,
        changes,
        way,
        k=1,
        triads=triads,
        source=source,
        source_key=source_key,
        guitar=guitar,
        hand=hand,
        tempo_bpm=tempo_bpm,
        picking=picking,
        frets=frets,
        strings=strings,
        pins=pins,
        costs=costs,
        filled=filled,
        wish=wish,
        landing=landing,
    )[0]


def carry_ways(
    lick: Lick,
    changes: Changes,
    way: CarryWay | str = CarryWay.IDEA,
    *,
    k: int = 3,
    triads: Sequence[Triad] = (),
    source: Chord | str | None = None,
    source_key: Key | None = None,
    guitar: Guitar | None = None,
    hand: str | HandProfile = "medium",
    tempo_bpm: float | None = None,
    picking: Picking | str = Picking.SWEEP,
    frets: Span | None = None,
    strings: Span | None = None,
    pins: Mapping[int, CarryPin] | None = None,
    costs: CarryCosts = _USUAL_COSTS,
    filled: PartFilling | str = PartFilling.ROUND,
    wish: CarryWish = NO_WISH,
    landing: Landing | str | None = None,
) -> list[Carried]:
    """The ``k`` best ways, the best first; parameters and errors as in :func:`carry`."""
    if k < 1:
        raise HandError(f"{k} ways were asked for", mend="Ask for 1 or more")
    landing = parse_landing(landing) if isinstance(landing, str) else landing
    whole = held_on(changes)
    task = CarryTask(
        lick,
        whole if landing is None else landed_changes(whole, landing),
        read_way(way),
        tuple(triads),
        parse_chord(source) if isinstance(source, str) else source,
        source_key or changes.key,
        guitar or Guitar(),
        hand_profile(hand),
        read_policy(picking),
        frets,
        strings,
        dict(pins or {}),
        costs,
        PartFilling(filled),
        shares_strokes(lick),
        wish,
        landing,
        landing is not None and landed_changes(whole, landing) != whole,
    )
    if landing is None:
        fillings = fill_chords(lick, task.changes, task.filled)
    else:
        fillings = landed_fillings(task)
    found = list(islice(_distinct_lines(task, pools_for(task, fillings, k)), k))
    if not found and task.keeps_strokes:
        task = replace(task, keeps_strokes=False)
        found = list(islice(_distinct_lines(task, pools_for(task, fillings, k)), k))
    if not found:
        raise HandError(
            "no strokes carry this lick from chord to chord in that picking style",
            mend="Choose another style of picking",
        )
    return [_carried(task, fillings, chosen, cost, tempo_bpm) for chosen, cost in found]


def _distinct_lines(
    task: CarryTask, pools: Sequence[Pool]
) -> Iterator[tuple[list[Candidate], int]]:
    """Candidates of every way whose notes lie elsewhere than those of all ways before it."""
    seen: set[tuple[tuple[Position, ...], ...]] = set()
    for way in ways_in_order([pool.layer for pool in pools], task.joins.matrix):
        chosen = [pool.candidate(pick) for pool, pick in zip(pools, way.picks, strict=True)]
        line = tuple(candidate.positions for candidate in chosen)
        if line not in seen:
            seen.add(line)
            yield chosen, way.cost


def _carried(
    task: CarryTask,
    fillings: Sequence[Filling],
    chosen: Sequence[Candidate],
    cost: int,
    tempo_bpm: float | None,
) -> Carried:
    if task.landing is not None:
        chosen = [*chosen[:-1], voiced(chosen[-1], chosen[-2].triads if len(chosen) > 1 else ())]
    notes = [
        note
        for filling, candidate in zip(fillings, chosen, strict=True)
        for note in _notes(task, filling, candidate)
    ]
    fingered = assign_fingers(
        [note.position for note in notes],
        task.guitar,
        tempo_bpm,
        onsets=[note.onset for note in notes],
        hand=task.hand,
        techniques=[note.technique for note in notes],
        known=[fingered_notes(task.lick)],
    )
    line = Lick(
        tuple(replace(n, finger=f.finger) for n, f in zip(notes, fingered, strict=True)),
        task.changes.length,
        tuple(tuplet for filling in fillings for tuplet in filling.tuplets),
        carried_parts(task.lick, fillings, task.changes.length),
    )
    choices = choices_of(task, fillings, chosen)
    if task.landing is not None:
        choices = _with_landing(task, choices, chosen)
    return Carried(_in_parts(line), choices, cost, tuple(_cut_in_words(task, fillings)))


def _with_landing(
    task: CarryTask, choices: tuple[Choice, ...], chosen: Sequence[Candidate]
) -> tuple[Choice, ...]:
    """The choices of the chords as they are written: the landing counts to its chord."""
    *before, landed = choices
    said = landing_in_words(task, landed.placed, chosen[-1], landed.step or 0)
    if not task.landing_cuts:
        return (*before, replace(landed, why=(said,)))
    last = before[-1]
    terms = dict(last.terms)
    for name, cost in landed.terms:
        terms[name] = terms.get(name, 0) + cost
    whole = replace(
        last,
        placed=replace(last.placed, length=last.placed.length + landed.placed.length),
        travel_mm=last.travel_mm + landed.travel_mm,
        terms=tuple(terms.items()),
        why=(*last.why, said),
        outside=(*last.outside, *landed.outside),
    )
    return (*before[:-1], whole)


def _in_parts(line: Lick) -> Lick:
    """The line with every note told its part."""
    if not line.parts:
        return line
    part_of = [
        max(index for index, part in enumerate(line.parts) if part.onset <= note.onset)
        for note in line.notes
    ]
    notes = (
        replace(note, belongs=replace(note.belongs, part=part))
        for note, part in zip(line.notes, part_of, strict=True)
    )
    return replace(line, notes=tuple(notes))


def _cut_in_words(task: CarryTask, fillings: Sequence[Filling]) -> Iterator[str]:
    cuts = cut_parts(task.lick, fillings)
    for moment in dict.fromkeys(cut.moment for cut in cuts):
        here = [cut for cut in cuts if cut.moment == moment]
        where = str(bar_and_beat(task.changes, moment))
        if moment >= task.changes.length:
            where = f"at the end of bar {task.changes.bars[-1].number}"
        said = [f"'{cut.name}' is {'cut off' if cut.begun else 'left out'}" for cut in here]
        yield f"{where}: the chord is over, and {' and '.join(said)}"


def _notes(task: CarryTask, filling: Filling, candidate: Candidate) -> list[LickNote]:
    reading = candidate.clarity.reading
    degrees = {n.pc: d for n, d in zip(reading.notes, reading.degrees, strict=True)}
    notes = []
    for index, filled in enumerate(filling.notes):
        own = task.lick.notes[filled.source]
        position = candidate.positions[index]
        midi = task.guitar.midi_at(position)
        members = candidate.members[index] if candidate.members else ()
        notes.append(
            replace(
                own,
                position=position,
                pitch=pitch_from_midi(midi, candidate.names[index]),
                onset=filled.onset,
                duration=filled.duration,
                finger=None,
                stroke=candidate.picked.strokes[index],
                technique=candidate.picked.techniques[index],
                voice=candidate.voices[index],
                degree=degrees.get(midi % 12),
                belongs=replace(own.belongs, triads=members),
            )
        )
    return notes
