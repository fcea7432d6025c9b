"""Which finger stops each note?  The left hand of a line, provably the cheapest.

The hand's state is a finger and a place; :mod:`~lickwright.lick.fingering_weights` says what each
costs and why, :mod:`~lickwright.lick.fingering_paths` finds the least sum (or the least hardest
moment) exactly.  One finger a fret in position is what wins where nothing speaks against it.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from lickwright.errors import HandError
from lickwright.lick.fingering_task import (
    HandTask,
    Onset,
    Pin,
    Place,
    read_positions,
    read_task,
    refuse_shared_strings,
)
from lickwright.lick.fingering_weights import IMPOSSIBLE
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import HandProfile

if TYPE_CHECKING:
    from lickwright.lick.fingering_paths import Path
    from lickwright.lick.fingering_trellis import FingeringTrellis

__all__ = ["FingeredNote", "Fingering", "Pin", "assign_fingers", "best_fingerings"]


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
    """

    notes: tuple[FingeredNote, ...]
    cost: int

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
) -> list[FingeredNote]:
    """The cheapest fingering of a line.

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
    return list(_solve(positions, guitar, tempo_bpm, pins, onsets, hand, objective, 1)[0].notes)


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
) -> list[Fingering]:
    """The ``count`` cheapest fingerings, no two with the same fingers, the cheapest first.

    With the objective ``"minimax"`` they are the cheapest among those whose hardest moment is as
    easy as can be.  There may be fewer than ``count``.  Parameters and errors as in
    :func:`assign_fingers`.
    """
    if count < 1:
        raise HandError(f"{count} fingerings were asked for", mend="Ask for 1 or more")
    return _solve(positions, guitar, tempo_bpm, pins, onsets, hand, objective, count)


def _solve(
    positions: Iterable[Place],
    guitar: Guitar | str | None,
    tempo_bpm: float | None,
    pins: Mapping[int, int | Pin] | None,
    onsets: Sequence[Onset] | None,
    hand: str | HandProfile,
    objective: str,
    count: int,
) -> list[Fingering]:
    positions = tuple(positions)
    task = read_task(len(positions), guitar, tempo_bpm, pins, onsets, hand, objective)
    places = read_positions(positions, task.guitar, task.pins)
    refuse_shared_strings(task.moments, places)
    if not any(place.fret for place in places):
        return [Fingering(tuple(FingeredNote(place, 0, None) for place in places), 0)]
    return _searched(task, places, objective, count)


def _searched(
    task: HandTask, places: Sequence[Position], objective: str, count: int
) -> list[Fingering]:
    from lickwright.lick.fingering_paths import (
        cheapest,
        cheapest_labels,
        gentlest,
        no_harder_than,
    )
    from lickwright.lick.fingering_trellis import fingering_trellis, refuse_blocked

    lattice = fingering_trellis(task, places)
    trellis = lattice.trellis
    if objective == "minimax":
        worst, _ = gentlest(trellis)
        if worst < IMPOSSIBLE:
            trellis = no_harder_than(trellis, worst)
    paths = [cheapest(trellis)] if count == 1 else cheapest_labels(trellis, count)
    if not paths or paths[0].cost >= IMPOSSIBLE:
        refuse_blocked(lattice, places, task)
    return [_fingering(lattice, places, path) for path in paths]


def _fingering(lattice: FingeringTrellis, places: Sequence[Position], path: Path) -> Fingering:
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
    return Fingering(tuple(notes_out), path.cost)
