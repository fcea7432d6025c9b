"""In which other ways could the lick at hand be carried, and what does each ask of the hand?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from lickwright.changes.carry import Carried
from lickwright.lesson.file import ExampleEntry, PinEntry
from lickwright.neck import Position
from lickwright.studio.work.preview import ExampleRequest, worked_for

#: So many of the best ways are looked at, and at most so many are offered.
ASKED, OFFERED = 10, 6


@dataclass(frozen=True, slots=True)
class AlternativeStep:
    """One chord of a way: where the hand is, and how far it comes to get there."""

    bar: int
    chord: str
    triads: tuple[str, ...]
    frets: tuple[int, int]
    travel_mm: float
    move: str
    why: str


@dataclass(frozen=True, slots=True)
class CarryAlternative:
    """One way to carry the lick.

    Parameters
    ----------
    cost_mm : what ranks it: travel with everything else that was weighed, in mm of travel.
    pins : what settles it, bar by bar, as the lesson file writes it.
    """

    steps: tuple[AlternativeStep, ...]
    travel_mm: float
    cost_mm: float
    pins: Mapping[int, Mapping[str, Any]]


def alternatives_for(request: ExampleRequest) -> list[CarryAlternative]:
    """The best ways for what is pinned now, the one on the page first.

    Only those that their pins bring back note for note: what is offered is what will be had.

    Raises
    ------
    LickwrightError
        Where the example cannot be worked out.
    """
    workshop, worked = worked_for(request)
    found = workshop.ways(request.index, ASKED)
    offered = []
    for at, carried in enumerate(found):
        pins = _pins(carried, worked.entry)
        if at and _line(workshop.ways(request.index, 1, _as_carried(pins))[0]) != _line(carried):
            continue
        offered.append(_way(carried, pins))
        if len(offered) == OFFERED:
            break
    return offered


def _line(carried: Carried) -> tuple[Position, ...]:
    return tuple(note.position for note in carried.lick.notes)


def _way(carried: Carried, pins: Mapping[int, Mapping[str, Any]]) -> CarryAlternative:
    return CarryAlternative(
        tuple(
            AlternativeStep(
                choice.placed.bar,
                str(choice.placed.chord),
                tuple(map(str, choice.triads)),
                _frets(positions),
                choice.travel_mm,
                choice.move.words,
                "; ".join(choice.why[1:]),
            )
            for choice, positions in _chord_by_chord(carried)
        ),
        carried.travel_mm,
        carried.cost / 10.0,
        pins,
    )


def _pins(carried: Carried, entry: ExampleEntry) -> dict[int, dict[str, Any]]:
    """Triads, frets and strings of every bar; a bar of several chords is left to be found."""
    bars = [choice.placed.bar for choice in carried.choices]
    pins: dict[int, dict[str, Any]] = {}
    for choice, positions in _chord_by_chord(carried):
        if bars.count(choice.placed.bar) > 1:
            continue
        low, high = _frets(positions)
        strings = sorted({place.string for place in positions})
        pin: dict[str, Any] = {"frets": f"{low}-{high}", "strings": f"{strings[0]}-{strings[-1]}"}
        if choice.triads and entry.carry == "idea":
            pin = {"triads": list(map(str, choice.triads)), **pin}
        pins[choice.placed.bar] = pin
    return pins


def _as_carried(pins: Mapping[int, Mapping[str, Any]]) -> dict[int, Any]:
    return {bar: PinEntry.model_validate(dict(pin)).pin() for bar, pin in pins.items()}


def _chord_by_chord(carried: Carried) -> list[tuple[Any, Sequence[Position]]]:
    return [
        (
            choice,
            [
                note.position
                for note in carried.lick.notes
                if choice.placed.onset <= note.onset < choice.placed.end
            ],
        )
        for choice in carried.choices
    ]


def _frets(positions: Sequence[Position]) -> tuple[int, int]:
    frets = [place.fret for place in positions if place.fret] or [0]
    return min(frets), max(frets)
