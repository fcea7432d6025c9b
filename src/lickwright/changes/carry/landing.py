"""How does a carried line land under its last chord?

The landing note is a stretch of its own at the end of the way: the last chord is cut where the line
lands, and from there one note is played, on any place of the neck that sounds what was asked for.
So it is chosen with all that comes before it, and joined to it as one chord's line is to another's.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from fractions import Fraction

from lickwright.changes.carry.filling import FilledNote, Filling, fill_chords
from lickwright.changes.carry.task import CarryTask
from lickwright.changes.lines import Candidate, HandPlaces, PickedLine, RunEnd, clarity_of
from lickwright.changes.progression import Changes, PlacedChord
from lickwright.errors import NeckError
from lickwright.lick import Stroke, Technique
from lickwright.lick.phrase import (
    Landing,
    landing_beat,
    landing_length,
    landing_tones,
)
from lickwright.lick.rhythm import Meter
from lickwright.neck import Position
from lickwright.theory import NoteName, Triad, spell, spell_root


def landed_changes(changes: Changes, landing: Landing) -> Changes:
    """The changes with their last chord cut in two where the line lands.

    Where it lands as that chord begins, they stay as they are.

    Raises
    ------
    ContourError
        When the last bar has no such beat, or its last chord begins later.
    """
    last = changes.chords[-1]
    moment = landing_moment(changes, landing)
    if moment == last.onset:
        return changes
    before = replace(last, length=moment - last.onset)
    bar = changes.bars[-1].number
    after = replace(last, onset=moment, length=last.end - moment, bar=bar)
    return replace(changes, chords=(*changes.chords[:-1], before, after))


def landing_moment(changes: Changes, landing: Landing) -> Fraction:
    """When the line lands: on a beat of the last bar, under its last chord.

    A line lands on the beat on which that chord begins only where it is told so.
    """
    bar, last = changes.bars[-1], changes.chords[-1]
    meter = Meter.of(bar.beats, bar.unit)
    start = max(bar.onset, last.onset)
    stop = bar.onset + bar.length
    moment = landing_beat(landing, meter, start - bar.onset, bar.length) + bar.onset
    return min(moment, stop)


def landed_fillings(task: CarryTask) -> tuple[Filling, ...]:
    """The filling of every stretch of the changes, the landing note alone in the last."""
    assert task.landing is not None, "asked only of lines that land"
    fillings = fill_chords(task.lick, task.changes, task.filled)
    bar, last = task.changes.bars[-1], task.changes.chords[-1]
    meter = Meter.of(bar.beats, bar.unit)
    held = landing_length(task.landing, meter, last.onset, bar.onset + bar.length)
    source = fillings[-2].notes[-1].source if len(fillings) > 1 else 0
    note = FilledNote(source, last.onset, held)
    return (*fillings[:-1], Filling((note,), ()))


def landing_candidates(task: CarryTask, placed: PlacedChord) -> list[Candidate]:
    """Every place that sounds a tone on which the line may land.

    Raises
    ------
    NeckError
        Where the windows of frets and strings hold none.
    """
    assert task.landing is not None, "asked only of lines that land"
    guitar = task.guitar
    mask = landing_tones(task.landing, placed.chord)
    frets, strings = task.windows(placed.bar)
    low, high = frets or (0, guitar.last_fret)
    first, last = strings or (1, guitar.string_count)
    bounds = task.wish_in(placed.bar).bounds(placed.chord)
    found = [
        one
        for string in range(first, last + 1)
        for fret in range(low, high + 1)
        for place in [Position(string, fret)]
        for midi in [guitar.midi_at(place)]
        if mask >> midi % 12 & 1 and bounds.lowest <= midi <= bounds.highest
        for one in _ways(task, placed, place)
    ]
    if not found:
        raise NeckError(
            f"bar {placed.bar}: there is no {task.landing.tone} of {placed.chord} to land on here",
            mend="Widen the frets or the strings, or land on another tone",
        )
    return found


def _ways(task: CarryTask, placed: PlacedChord, place: Position) -> Iterator[Candidate]:
    midi = task.guitar.midi_at(place)
    clarity = clarity_of(1 << midi % 12, placed.chord, placed.key)
    places = HandPlaces(task.guitar, task.hand)
    filling = Filling((FilledNote(0, placed.onset, placed.length),), ())
    home = task.home(placed, filling)
    register = home.terms((place,), (midi,), 0, places.tenths, task.costs)
    kept = ("register", "high on a low string")
    for hand in places.holding([place]):
        for stroke in Stroke:
            yield Candidate(
                positions=(place,),
                triads=(),
                voices=(None,),
                names=(_name(placed, midi % 12),),
                hand=(hand,),
                picked=PickedLine((stroke,), (Technique.PICK,), 0, RunEnd.PLAIN, RunEnd.FREE, 0),
                clarity=clarity,
                terms=tuple((name, register[name]) for name in kept),
            )


def _name(placed: PlacedChord, pc: int) -> NoteName:
    """How the landing note is spelled: as the chord has it, or its key."""
    names = {name.pc: name for name in placed.chord.notes}
    if pc in names:
        return names[pc]
    return spell_root(pc) if placed.key is None else spell(pc, placed.key)


def voiced(candidate: Candidate, triads: Sequence[Triad]) -> Candidate:
    """The landing note as the triads before it hold it; without a voice where none does."""
    (name,) = candidate.names
    held = tuple(
        voice for voice, triad in enumerate(triads) if any(n.pc == name.pc for n in triad.notes)
    )
    return replace(candidate, voices=(held[0] if held else None,))


def landing_in_words(task: CarryTask, placed: PlacedChord, landed: Candidate, rise: int) -> str:
    """Where the line lands, as a player says it."""
    (name,) = landed.names
    degree = next(
        (
            d
            for d, n in zip(placed.chord.kind.degrees, placed.chord.tones, strict=True)
            if n.pc == name.pc
        ),
        "",
    )
    bar = task.changes.bars[-1]
    beats = Meter.of(bar.beats, bar.unit).beat_starts
    on = placed.onset - bar.onset
    where = f"beat {beats.index(on) + 1}" if on in beats else f"{on} quarter notes into the bar"
    way = "the same note" if rise == 0 else f"{abs(rise)} semitones {'up' if rise > 0 else 'down'}"
    return f"it lands on {name}{f', the {degree}' if degree else ''}, on {where} ({way})"
