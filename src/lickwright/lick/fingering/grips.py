"""How can one hand stop several notes at once?  Every grip of notes that start together.

In a grip no finger is at two frets, no higher finger is behind a lower one, no two fingers are
further apart than the hand opens, and nothing lower sounds on a string that a barre lies across.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from lickwright.errors import HandError
from lickwright.lick.fingering.costs import grip_terms, hand_tables, out_of_reach
from lickwright.lick.fingering.hand_states import Array, Held, hold
from lickwright.lick.fingering.task import HandTask, Pin
from lickwright.lick.fingering.weights import IMPOSSIBLE, OFFSETS
from lickwright.neck import FINGERS, Position

#: Where each note lies, by its index.
Places = Mapping[int, Position]
#: Fingers of the stopped notes, and the fret of the index.
Grip = tuple[tuple[int, ...], int]


@dataclass(frozen=True, slots=True)
class Grips:
    """The states of one grip: per note what its finger does, the cost, the fingers' rank."""

    held: tuple[Held, ...]
    node: Array
    labels: Array


def grips(notes: Sequence[int], task: HandTask, places: Places) -> Grips:
    """Every grip for the stopped ones among notes that start together.

    Parameters
    ----------
    notes : indices into ``places``, open strings among them or not.

    Raises
    ------
    HandError
        When there is none: says which notes and why.
    """
    stopped = [index for index in notes if places[index].fret > 0]
    found = sorted(find_grips(notes, task, places))
    priced = _priced(found, stopped, task, places) if found else None
    if priced is None or priced.node.min() >= IMPOSSIBLE:
        raise _no_grip(notes, stopped, task, places)
    return priced


def find_grips(notes: Sequence[int], task: HandTask, places: Places) -> Iterator[Grip]:
    """Fingers of the stopped notes and the place of the hand, for every grip; reach aside."""
    stopped = [index for index in notes if places[index].fret > 0]
    for place in range(1, task.guitar.last_fret + 1):
        for fingers in _fingers(stopped, place, task, places):
            if not _smothered(notes, dict(zip(stopped, fingers, strict=True)), places):
                yield fingers, place


def _fingers(
    stopped: Sequence[int], place: int, task: HandTask, places: Places
) -> Iterator[tuple[int, ...]]:
    """Fingers for the stopped notes with the index over ``place``, note by note."""

    def go_on(chosen: tuple[int, ...]) -> Iterator[tuple[int, ...]]:
        if len(chosen) == len(stopped):
            yield chosen
            return
        index = stopped[len(chosen)]
        fret = places[index].fret
        pin = task.pins.get(index, Pin())
        if pin.place not in (None, place):
            return
        for finger in FINGERS:
            if (
                pin.finger in (None, finger)
                and (finger, fret - place - finger + 1) in OFFSETS
                and all(
                    _agree(finger, fret, other, places[earlier].fret)
                    for other, earlier in zip(chosen, stopped, strict=False)
                )
            ):
                yield from go_on((*chosen, finger))

    return go_on(())


def _agree(finger: int, fret: int, other: int, other_fret: int) -> bool:
    """Whether two fingers can be at these frets together, reach aside."""
    if finger == other or fret == other_fret:
        return fret == other_fret
    return (finger > other) == (fret > other_fret)


def _smothered(notes: Sequence[int], fingers: Mapping[int, int], places: Places) -> bool:
    """Whether a finger that lies across strings covers a lower note between them."""
    for finger in set(fingers.values()):
        under = [places[index] for index, other in fingers.items() if other == finger]
        highest, lowest = min(p.string for p in under), max(p.string for p in under)
        if any(
            highest < places[index].string < lowest and places[index].fret < under[0].fret
            for index in notes
        ):
            return True
    return False


def _priced(found: Sequence[Grip], stopped: Sequence[int], task: HandTask, places: Places) -> Grips:
    place = np.array([place for _, place in found], np.int64)
    held = tuple(
        hold(
            task.guitar,
            np.array([fingers[k] for fingers, _ in found], np.int64),
            np.array(places[index].string, np.int64),
            np.array(places[index].fret, np.int64),
            place,
        )
        for k, index in enumerate(stopped)
    )
    node = np.minimum(sum(grip_terms(held, hand_tables(task.hand)).values()), IMPOSSIBLE)
    for note in held:
        lost = out_of_reach(note, hand_tables(task.hand), task.guitar.last_fret)
        node = np.where(lost, IMPOSSIBLE, node)
    ranks = {fingers: rank for rank, fingers in enumerate(dict.fromkeys(f for f, _ in found))}
    return Grips(held, node, np.array([ranks[fingers] for fingers, _ in found], np.int64))


def _no_grip(
    notes: Sequence[int], stopped: Sequence[int], task: HandTask, places: Places
) -> HandError:
    """Why no hand stops these notes at once."""
    at = "notes " + ", ".join(str(index + 1) for index in notes)
    unpinned = HandTask(task.guitar, task.hand, task.moments, {})
    if any(index in task.pins for index in stopped):
        try:
            grips(notes, unpinned, places)
        except HandError:
            pass
        else:
            pinned = ", ".join(
                f"finger {task.pins[index].finger} on note {index + 1}"
                if task.pins[index].finger is not None
                else f"position {task.pins[index].place} at note {index + 1}"
                for index in stopped
                if index in task.pins
            )
            return HandError(
                f"{at}: no grip keeps what is pinned ({pinned})",
                mend="Free one of the pins",
            )
    by_fret = sorted(stopped, key=lambda index: places[index].fret)
    low, high = by_fret[0], by_fret[-1]
    scale = max(task.guitar.scale_mm[places[index].string - 1] for index in (low, high))
    apart = scale * (task.guitar.along(places[high]) - task.guitar.along(places[low]))
    reach = task.hand.greatest_reach_mm
    if apart > reach:
        return HandError(
            f"{at}: note {low + 1} (fret {places[low].fret}) and note {high + 1} (fret "
            f"{places[high].fret}) lie {apart:.0f} mm apart; a {task.hand.name} hand reaches "
            f"{reach:.0f} mm",
            mend="Move one of them to another string, or play them one after the other",
        )
    if len(stopped) > len(FINGERS):
        return HandError(
            f"{at} start together: {len(stopped)} stopped notes, and four fingers with every "
            "barre they can lay do not stop them",
            mend="Leave notes out, or play them one after the other",
        )
    return HandError(
        f"{at} start together, and no four fingers stop them in one place",
        mend="Move one of them to another string, or play them one after the other",
    )
