"""What was chosen for each chord, and why, in words a teacher can weigh."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from lickwright.changes.carry.filling import Filling
from lickwright.changes.carry.moves import HandMove, MoveKind, PlayedChord, move_between
from lickwright.changes.carry.resolving import Resolution, resolutions
from lickwright.changes.carry.task import CarryTask, CarryWay
from lickwright.changes.lines import FURTHEST_STEP, TURNED, Candidate
from lickwright.changes.progression import BarBeat, PlacedChord, bar_and_beat
from lickwright.lick.phrase import guide_tones
from lickwright.theory import NoteName, Triad, degree_between
from lickwright.theory.hearing import Reading

_STEPS = ("the same note", "a half step", "a whole step", "a minor third", "a major third")


@dataclass(frozen=True, slots=True)
class OutsideNote:
    """A note that is no tone of the chord over which it sounds; its degree is over the root."""

    name: NoteName
    degree: str
    at: BarBeat


@dataclass(frozen=True, slots=True)
class Choice:
    """What was chosen for one chord.

    Parameters
    ----------
    placed : the chord in its time.
    triads : those that are played, as the notes' voices count them; empty where they make none.
    reading : how the notes sound over the chord's bass, on the chord's own root if they can.
    place : how many readings come before it; 0 is heard first.
    holds : ``"yes"``, ``"nearly"`` or ``"no"``: whether the notes bear the chord out.
    hand : frets of the index finger, in turn.
    travel_mm : how far the hand comes to get here and moves under the chord.
    step : semitones from the note before to the first of this chord, ``None`` for the first chord.
    common : notes of this chord's line that the line before has too.
    terms : named costs in tenths of a mm of hand travel, those of the join among them.
    why : in words.
    move : how the line comes from the one before, by a player's name.
    outside : the notes that are no tones of the chord, in order.
    resolves : which notes of the line before move to which guide tones of this chord.
    """

    placed: PlacedChord
    triads: tuple[Triad, ...]
    reading: Reading
    place: int
    holds: str
    hand: tuple[int, ...]
    travel_mm: float
    step: int | None
    common: tuple[NoteName, ...]
    terms: tuple[tuple[str, int], ...]
    why: tuple[str, ...]
    move: HandMove
    outside: tuple[OutsideNote, ...]
    resolves: tuple[Resolution, ...] = ()

    @property
    def cost(self) -> int:
        return sum(cost for _, cost in self.terms)

    def __str__(self) -> str:
        return "; ".join(self.why)


def choices_of(
    task: CarryTask, fillings: Sequence[Filling], chosen: Sequence[Candidate]
) -> tuple[Choice, ...]:
    """The choices of a whole way."""
    choices = []
    made = [note.position for note in task.lick.notes]
    before: Candidate | None = None
    played: PlayedChord | None = None
    for placed, filling, candidate in zip(task.changes.chords, fillings, chosen, strict=True):
        places = dict(zip(filling.sources, candidate.positions, strict=True))
        now = PlayedChord(placed, candidate.triads, places)
        move = move_between(played, now, made)
        outside = tuple(_outside(task, placed, filling, candidate))
        found: tuple[Resolution, ...] = ()
        if before is not None and played is not None:
            found = resolutions(before, played.placed.chord, candidate, placed.chord)
        choice = _choice(task, placed, candidate, before, move, outside)
        why = (*choice.why, *map(str, found), *_outside_in_words(outside))
        choices.append(replace(choice, resolves=found, why=why))
        before, played = candidate, now
    return tuple(choices)


def _outside(
    task: CarryTask, placed: PlacedChord, filling: Filling, candidate: Candidate
) -> Iterator[OutsideNote]:
    """The notes of a line that the chord does not hold, where they stand."""
    held = placed.chord.mask | 1 << placed.chord.bass_note.pc
    for note, name in zip(filling.notes, candidate.names, strict=True):
        if task.lick.notes[note.source].marks.dead or held >> name.pc & 1:
            continue
        degree = degree_between(placed.chord.root, name)
        yield OutsideNote(name, degree, bar_and_beat(task.changes, note.onset))


def _choice(
    task: CarryTask,
    placed: PlacedChord,
    candidate: Candidate,
    before: Candidate | None,
    move: HandMove,
    outside: tuple[OutsideNote, ...],
) -> Choice:
    joins = task.joins
    tenths = sum(
        abs(joins.hand_tenths[a] - joins.hand_tenths[b]) for a, b in pairwise(candidate.hand)
    )
    terms = dict(candidate.terms)
    step = None
    common: tuple[NoteName, ...] = ()
    if before is not None:
        leave, enter = before.exit, candidate.entry
        tenths += abs(joins.hand_tenths[leave.hand] - joins.hand_tenths[enter.hand])
        step = joins.midi(enter) - joins.midi(leave)
        had = {name.pc for name in before.names}
        common = tuple(name for name in dict.fromkeys(candidate.names) if name.pc in had)
        for name, cost in (joins.terms(leave, enter) or {}).items():
            terms[name] = terms.get(name, 0) + cost
    clarity = candidate.clarity
    return Choice(
        placed,
        candidate.triads,
        clarity.reading,
        clarity.place,
        clarity.holds,
        tuple(hand for hand, _ in _runs(candidate.hand)),
        tenths / 10,
        step,
        common,
        tuple(terms.items()),
        (
            _heard(placed, candidate),
            *_named(task, move),
            _moves(candidate, before, tenths / 10),
            *_turned(candidate),
            *_joined(step, common, candidate.turn),
            *_led(placed, candidate),
            *_stroked(candidate),
        ),
        move,
        outside,
    )


def _named(task: CarryTask, move: HandMove) -> list[str]:
    """The move's name, where it is more than that of a line moved as was asked."""
    is_told = move.kind in (MoveKind.STAYS, MoveKind.BACK) or task.way is CarryWay.GRIP
    return [move.words] if is_told or task.lick.parts else []


def _outside_in_words(outside: Sequence[OutsideNote]) -> list[str]:
    """Which notes lie outside the chord, each with its first place."""
    first: dict[NoteName, OutsideNote] = {}
    counts: dict[NoteName, int] = {}
    for note in outside:
        first.setdefault(note.name, note)
        counts[note.name] = counts.get(note.name, 0) + 1
    said = []
    for name, note in first.items():
        again = "" if counts[name] == 1 else f", {counts[name]} times"
        said.append(
            f"{name} ({note.degree}, from {note.at}{again})"
            if again
            else f"{name} ({note.degree}, {note.at})"
        )
    return [f"not of the chord: {', '.join(said)}"] if said else []


def _runs(values: Sequence[int]) -> list[tuple[int, int]]:
    """Each value with its length, equal neighbours taken together."""
    runs: list[tuple[int, int]] = []
    for value in values:
        if runs and runs[-1][0] == value:
            runs[-1] = value, runs[-1][1] + 1
        else:
            runs.append((value, 1))
    return runs


def _heard(placed: PlacedChord, candidate: Candidate) -> str:
    clarity = candidate.clarity
    who = " and ".join(map(str, candidate.triads)) or "the line"
    over = placed.chord.bass_note
    if clarity.holds == "yes":
        first = "heard first" if clarity.place == 0 else f"reading {clarity.place + 1}"
        return f"{who} over {over} {_says(candidate)} {placed.chord} ({first})"
    return f"{who} over {over}: {clarity.what}"


def _says(candidate: Candidate) -> str:
    return "imply" if len(candidate.triads) > 1 else "implies"


def _moves(candidate: Candidate, before: Candidate | None, travel_mm: float) -> str:
    runs = [hand for hand, _ in _runs(candidate.hand)]
    places = f"fret {' then '.join(map(str, runs))}"
    if len(runs) > 2:
        places = f"fret {runs[0]}, then between {min(runs)} and {max(runs)}"
    if before is None:
        return f"the hand starts at {places}"
    if travel_mm == 0:
        return f"the hand stays at {places}"
    return f"the hand moves {travel_mm:.0f} mm, to {places}"


def _turned(candidate: Candidate) -> list[str]:
    named = (name for name, _ in candidate.terms)
    return ["the lick is turned round: a fall for every rise"] if TURNED in named else []


def _led(placed: PlacedChord, candidate: Candidate) -> list[str]:
    """Whether the chord begins on one of its guide tones."""
    first = candidate.names[0].pc
    found = [degree for degree, name in guide_tones(placed.chord) if name.pc == first]
    return [f"it begins on {candidate.names[0]}, a guide tone ({found[0]})"] if found else []


def _joined(step: int | None, common: Sequence[NoteName], turn: int) -> list[str]:
    if step is None:
        return []
    size = _STEPS[abs(step)] if abs(step) < len(_STEPS) else f"{abs(step)} semitones"
    way = "" if step == 0 else " up" if step > 0 else " down"
    answered = ", and answers the leap the other way" if turn * step < 0 else ""
    said = [f"the line goes on by {size}{way}{answered if abs(step) > FURTHEST_STEP else ''}"]
    if common:
        said.append(f"common tones: {' '.join(map(str, common))}")
    return said


def _stroked(candidate: Candidate) -> list[str]:
    changed, count = candidate.picked.changed, len(candidate.picked.strokes)
    if changed == 0:
        return ["the strokes of the lick are kept"]
    return [f"{changed} of {count} strokes {'is' if changed == 1 else 'are'} turned round"]
