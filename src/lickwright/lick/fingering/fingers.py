"""Which finger stops each note?  The left hand of a line, provably the cheapest.

The hand's state is a finger and a place; :mod:`~lickwright.lick.fingering.weights` says what each
costs and why, :mod:`~lickwright.lick.fingering.paths` finds the least sum (or the least hardest
moment) exactly.  One finger a fret in position is what wins where nothing speaks against it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from lickwright.errors import HandError
from lickwright.lick.fingering.figures import Repeat, find_repeats
from lickwright.lick.fingering.task import (
    HandTask,
    Onset,
    Pin,
    Place,
    read_positions,
    read_task,
    refuse_shared_strings,
)
from lickwright.lick.fingering.weights import IMPOSSIBLE
from lickwright.lick.notes import Technique
from lickwright.neck import Guitar, HandProfile, Position

if TYPE_CHECKING:
    from lickwright.lick.fingering.paths import HandPath
    from lickwright.lick.fingering.trellis import FingeringTrellis

__all__ = ["FingeredNote", "Fingering", "Pin", "assign_fingers", "best_fingerings"]


#: Neighbours of a sweep lie no more frets apart.
_SWEPT_FRETS = 2


@dataclass(frozen=True, slots=True)
class FingeredNote:
    """A note with the finger that stops it.

    Parameters
    ----------
    position : string and fret.
    finger : 1 (index) to 4 (little), 0 for an open string.
    place : fret of the index while it sounds: the hand's position.  On an open string, where the
        hand lies already; ``None`` where no note of the line needs the hand.
    """

    position: Position
    finger: int
    place: int | None


@dataclass(frozen=True, slots=True)
class Fingering:
    """A whole line fingered.

    Parameters
    ----------
    notes : in the order given.
    cost : sum of all terms; 1000 is about one finger a fret off its own.
    repeats : the repetitions that have the fingers of what they repeat, by moment.
    """

    notes: tuple[FingeredNote, ...]
    cost: int
    repeats: tuple[Repeat, ...] = ()

    @property
    def fingers(self) -> tuple[int, ...]:
        return tuple(note.finger for note in self.notes)


def assign_fingers(
    positions: Iterable[Place],
    guitar: Guitar | str | None = None,
    tempo_bpm: float | None = None,
    pins: Mapping[int, int | Pin] | None = None,
    *,
    onsets: Sequence[Onset] | None = None,
    hand: str | HandProfile = "medium",
    objective: str = "sum",
    techniques: Sequence[Technique] | None = None,
    repeats: Sequence[Repeat] | None = None,
    known: Sequence[Sequence[FingeredNote]] = (),
) -> list[FingeredNote]:
    """The cheapest fingering of a line that keeps its fingers where it repeats itself.

    Parameters
    ----------
    positions : ``(string, fret)`` of each note; string 1 is the highest, fret 0 open.
    guitar : an instrument, the name or notes of a tuning, or ``None`` for a standard guitar.
    tempo_bpm : quarter notes a minute; moves grow dear when notes are fast.  ``None`` for a tempo
        that neither hurries nor leaves time.
    pins : index of a note (from 0) -> the finger that it must have, or a :class:`Pin`.
    onsets : start of each note in quarter notes, never falling; equal onsets sound together.
        ``None`` for sixteenths.
    hand : ``small``, ``medium``, ``large``, or a profile.
    objective : ``"sum"`` for the least work in all, ``"minimax"`` for the easiest hardest moment
        and then the least work.
    techniques : how each note starts: a slide is one finger, a hammer-on or pull-off two.  All
        picked where not given.
    repeats : the repetitions to keep, the plainest first; found by
        :func:`~lickwright.lick.fingering.figures.find_repeats` where not given, ``()`` for none.
    known : lines of the same instrument that are fingered already: where this one repeats a figure
        of theirs, it has their fingers.

    Returns
    -------
    One :class:`FingeredNote` for each position.  Of equal costs the lower finger wins, from the
    first note on.

    Raises
    ------
    HandError, NeckError, RhythmError
        With the number of the note, counted from 1, and why it cannot be.

    Examples
    --------
    >>> [note.finger for note in assign_fingers([(3, 14), (2, 13), (1, 12), (1, 17)])]
    [3, 2, 1, 4]
    """
    task = _read(
        positions, guitar, tempo_bpm, pins, onsets, hand, objective, techniques, repeats, known
    )
    return list(_solve(task, 1)[0].notes)


def best_fingerings(
    positions: Iterable[Place],
    guitar: Guitar | str | None = None,
    tempo_bpm: float | None = None,
    pins: Mapping[int, int | Pin] | None = None,
    *,
    count: int = 3,
    onsets: Sequence[Onset] | None = None,
    hand: str | HandProfile = "medium",
    objective: str = "sum",
    techniques: Sequence[Technique] | None = None,
    repeats: Sequence[Repeat] | None = None,
    known: Sequence[Sequence[FingeredNote]] = (),
) -> list[Fingering]:
    """The ``count`` cheapest fingerings, no two with the same fingers, the cheapest first.

    With the objective ``"minimax"`` they are the cheapest among those whose hardest moment is as
    easy as can be.  There may be fewer than ``count``.  Parameters and errors as in
    :func:`assign_fingers`.
    """
    if count < 1:
        raise HandError(f"{count} fingerings were asked for", mend="Ask for 1 or more")
    task = _read(
        positions, guitar, tempo_bpm, pins, onsets, hand, objective, techniques, repeats, known
    )
    return _solve(task, count)


@dataclass(frozen=True, slots=True)
class _Asked:
    """A line to finger: the task, its places and what is to be kept."""

    task: HandTask
    places: tuple[Position, ...]
    objective: str
    repeats: tuple[Repeat, ...]
    #: Fingers of figures that the player knows from other lines.
    learnt: Mapping[int, int]


def _read(
    positions: Iterable[Place],
    guitar: Guitar | str | None,
    tempo_bpm: float | None,
    pins: Mapping[int, int | Pin] | None,
    onsets: Sequence[Onset] | None,
    hand: str | HandProfile,
    objective: str,
    techniques: Sequence[Technique] | None,
    repeats: Sequence[Repeat] | None,
    known: Sequence[Sequence[FingeredNote]],
) -> _Asked:
    positions = tuple(positions)
    task = read_task(len(positions), guitar, tempo_bpm, pins, onsets, hand, objective, techniques)
    places = read_positions(positions, task.guitar, task.pins)
    refuse_shared_strings(task.moments, places)
    moments = [tuple(places[index] for index in moment.notes) for moment in task.moments]
    if repeats is None:
        repeats = line_repeats(task, places)
    learnt: dict[int, int] = {}
    for line in known:
        for index, finger in _learnt(moments, task, line).items():
            learnt.setdefault(index, finger)
    return _Asked(task, places, objective, tuple(repeats), learnt)


def _learnt(
    moments: Sequence[tuple[Position, ...]], task: HandTask, line: Sequence[FingeredNote]
) -> dict[int, int]:
    """Fingers of the notes that repeat a figure of another line, note by note."""
    before = [(note.position,) for note in line]
    count = len(before)
    follows = {
        after: first
        for repeat in find_repeats(
            [*before, *moments], task.guitar, [*(False for _ in before), *_slid(task)]
        )
        for after, first in repeat.pairs()
    }
    learnt: dict[int, int] = {}
    for at, moment in enumerate(task.moments):
        root = count + at
        while root >= count and root in follows:
            root = follows[root]
        if root < count and len(moment.notes) == 1 and line[root].finger:
            learnt[moment.notes[0]] = line[root].finger
    heads = [moments[at][0] for at in range(len(moments))]
    of_moment = [moment.notes[0] for moment in task.moments]
    for way in (1, -1):
        for at in _of_longer_sweeps(heads, [index in learnt for index in of_moment], way):
            del learnt[of_moment[at]]
    return learnt


def _of_longer_sweeps(heads: Sequence[Position], known: Sequence[bool], way: int) -> list[int]:
    """Known moments of a sweep that runs on over a string it does not know: another shape."""

    def sweeps(at: int, on: int) -> bool:
        one, two = heads[at], heads[on]
        return abs(one.string - two.string) == 1 and abs(one.fret - two.fret) <= _SWEPT_FRETS

    found = []
    for at, head in enumerate(heads):
        on = at + way
        if not (0 <= on < len(heads)) or known[on] or not known[at] or not sweeps(at, on):
            continue
        down = heads[on].string - head.string
        while (
            0 <= at < len(heads) and known[at] and heads[at + way].string - heads[at].string == down
        ):
            if not sweeps(at, at + way):
                break
            found.append(at)
            at -= way
    return found


def line_repeats(task: HandTask, places: Sequence[Position]) -> tuple[Repeat, ...]:
    """The repeats of a line with its techniques.

    Parameters
    ----------
    task : the line for one left hand.
    places : of its notes.

    Returns
    -------
    tuple of Repeat
        As :func:`~lickwright.lick.fingering.figures.find_repeats` has them.

    Examples
    --------
    >>> places = [Position(3, 5), Position(2, 5), Position(3, 5), Position(2, 5)]
    >>> task = read_task(4, None, None, None, None, "medium", "sum")
    >>> [repeat.start for repeat in line_repeats(task, places)]
    [2]
    """
    moments = [tuple(places[index] for index in moment.notes) for moment in task.moments]
    return find_repeats(moments, task.guitar, _slid(task))


def _slid(task: HandTask) -> list[bool]:
    """Whether each moment is slid into."""
    ways = task.techniques
    return [
        bool(ways) and any(ways[at] is Technique.SLIDE for at in moment.notes)
        for moment in task.moments
    ]


def _solve(asked: _Asked, count: int) -> list[Fingering]:
    if not any(place.fret for place in asked.places):
        return [Fingering(tuple(FingeredNote(place, 0, None) for place in asked.places), 0)]
    free = {at: finger for at, finger in asked.learnt.items() if at not in asked.task.pins}
    if free:
        pins = {**asked.task.pins, **{at: Pin(finger) for at, finger in free.items()}}
        try:
            found = _searched(replace(asked, task=replace(asked.task, pins=pins)), count)
        except HandError:
            pass  # what the player knows does not fit here: the line is fingered for itself
        else:
            return found
    return _searched(asked, count)


def _searched(asked: _Asked, count: int) -> list[Fingering]:
    from lickwright.lick.fingering.ties import tie, tied_paths
    from lickwright.lick.fingering.trellis import fingering_trellis, refuse_blocked

    task, places = asked.task, asked.places
    lattice = fingering_trellis(task, places)
    if task.pins:
        refuse_blocked(lattice, places, task)
    moments = [moment.notes for moment in task.moments]
    kept = tie(lattice, asked.repeats, moments, task.pins)
    paths = tied_paths(lattice, kept, asked.objective, count)
    if not paths or paths[0].cost >= IMPOSSIBLE:
        refuse_blocked(lattice, places, task)
    repeats = asked.repeats[: kept.count]
    return [_fingering(lattice, places, path, repeats) for path in paths]


def _fingering(
    lattice: FingeringTrellis,
    places: Sequence[Position],
    path: HandPath,
    repeats: tuple[Repeat, ...] = (),
) -> Fingering:
    """The notes of a path; open strings take the place where the hand lies."""
    fingers: list[int] = [0] * len(places)
    hands: list[int | None] = [None] * len(places)
    for column, (notes, state) in enumerate(zip(lattice.columns, path.states, strict=True)):
        if len(notes) == 1:
            fingers[notes[0]] = int(lattice.singles.finger[notes[0], state])
            hands[notes[0]] = int(lattice.singles.place[notes[0], state])
        else:
            for index, held in zip(notes, lattice.held(column), strict=True):
                fingers[index] = int(held.finger[state])
                hands[index] = int(held.place[state])
    lies = next(place for place in hands if place is not None)
    notes_out = []
    for place, finger, hand in zip(places, fingers, hands, strict=True):
        lies = lies if hand is None else hand
        notes_out.append(FingeredNote(place, finger, lies))
    return Fingering(tuple(notes_out), path.cost, repeats)
