"""What is asked of the left hand?  Notes in time, what the teacher pinned, whose hand.

Everything a caller can get wrong is refused here, with the number of the note, counted from 1.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations, pairwise

from lickwright.errors import HandError, NeckError, RhythmError
from lickwright.lick.notes import Technique
from lickwright.neck import Guitar, HandProfile, Position, hand_profile, read_guitar

Place = Position | tuple[int, int]
Onset = Fraction | float

#: Where no onsets are given, every note is a sixteenth.
USUAL_VALUE = Fraction(1, 4)
OBJECTIVES = ("sum", "minimax")


@dataclass(frozen=True, slots=True)
class Pin:
    """What the teacher has settled for one note; ``None`` leaves it open.

    Parameters
    ----------
    finger : 1-4, or 0 for an open string.
    place : fret of the index while the note sounds: the position, as players count it.
    string : string of the note; read where strings are chosen too.
    here_only : leaves the other repetitions of the note's figure as they are.
    """

    finger: int | None = None
    place: int | None = None
    string: int | None = None
    here_only: bool = False


@dataclass(frozen=True, slots=True)
class Moment:
    """Notes that start together.

    Parameters
    ----------
    notes : their indices, from 0.
    seconds : time since the moment before; ``None`` for the first, or without a tempo.
    """

    notes: tuple[int, ...]
    seconds: float | None


@dataclass(frozen=True, slots=True)
class HandTask:
    """One line for one left hand; without techniques every note is picked."""

    guitar: Guitar
    hand: HandProfile
    moments: tuple[Moment, ...]
    pins: Mapping[int, Pin]
    techniques: tuple[Technique, ...] = ()


def read_task(
    count: int,
    guitar: Guitar | str | None,
    tempo_bpm: float | None,
    pins: Mapping[int, int | Pin] | None,
    onsets: Sequence[Onset] | None,
    hand: str | HandProfile,
    objective: str,
    techniques: Sequence[Technique] | None = None,
) -> HandTask:
    """Check everything but the notes themselves.

    Raises
    ------
    HandError, NeckError, RhythmError
        With the number of the note, counted from 1.
    """
    if objective not in OBJECTIVES:
        raise HandError(
            f"there is no objective '{objective}'", mend=f"Use {' or '.join(OBJECTIVES)}"
        )
    if tempo_bpm is not None and not tempo_bpm > 0:
        raise RhythmError(f"a tempo of {tempo_bpm} bpm", mend="Give a tempo above 0")
    if techniques is not None and len(techniques) != count:
        raise HandError(
            f"{len(techniques)} techniques for {count} notes", mend="Give one for each note"
        )
    return HandTask(
        read_guitar(guitar),
        hand_profile(hand),
        _moments(count, tempo_bpm, onsets),
        {index: _pin(index, pin, count) for index, pin in sorted((pins or {}).items())},
        tuple(techniques or ()),
    )


def read_positions(
    positions: Iterable[Place], guitar: Guitar, pins: Mapping[int, Pin]
) -> tuple[Position, ...]:
    """The places of a line, each on the instrument and none against its pin."""
    places = tuple(
        place if isinstance(place, Position) else Position(*place) for place in positions
    )
    for index, place in enumerate(places):
        if not guitar.has(place):
            raise NeckError(
                f"note {index + 1}: there is no {place} on this instrument",
                mend=f"It has strings 1 to {guitar.string_count} and frets 0 to {guitar.last_fret}",
            )
    for index, pin in pins.items():
        if index < len(places):
            _check_pin(index, pin, places[index])
    return places


def refuse_shared_strings(moments: Iterable[Moment], places: Sequence[Position]) -> None:
    """Refuse two notes at once on one string."""
    for moment in moments:
        for a, b in combinations(moment.notes, 2):
            if places[a].string == places[b].string:
                raise HandError(
                    f"notes {a + 1} and {b + 1} start together on string {places[a].string}",
                    mend="Move one of them to another string or in time",
                )


def _moments(
    count: int, tempo_bpm: float | None, onsets: Sequence[Onset] | None
) -> tuple[Moment, ...]:
    if onsets is None:
        seconds = None if tempo_bpm is None else float(USUAL_VALUE) * 60.0 / tempo_bpm
        return tuple(Moment((index,), seconds if index else None) for index in range(count))
    if len(onsets) != count:
        raise RhythmError(
            f"{len(onsets)} onsets for {count} notes", mend="Give one onset for each note"
        )
    for index, (before, after) in enumerate(pairwise(onsets), 2):
        if after < before:
            raise RhythmError(
                f"note {index} starts before note {index - 1}",
                mend="Give the notes in the order in which they sound",
            )
    moments: list[Moment] = []
    starts = [index for index in range(count) if index == 0 or onsets[index] != onsets[index - 1]]
    for start, end in zip(starts, [*starts[1:], count], strict=True):
        seconds = None
        if moments and tempo_bpm is not None:
            since = onsets[start] - onsets[moments[-1].notes[0]]
            seconds = float(since) * 60.0 / tempo_bpm
        moments.append(Moment(tuple(range(start, end)), seconds))
    return tuple(moments)


def _pin(index: int, pin: int | Pin, count: int) -> Pin:
    if not 0 <= index < count:
        raise HandError(
            f"a finger is pinned to note {index + 1} of {count}",
            mend="Pin notes of the line only",
        )
    pin = Pin(finger=pin) if isinstance(pin, int) else pin
    if pin.finger is not None and pin.finger not in range(5):
        raise HandError(
            f"note {index + 1}: there is no finger {pin.finger}",
            mend="Fingers are 1 (index) to 4 (little), 0 for an open string",
        )
    return pin


def _check_pin(index: int, pin: Pin, place: Position) -> None:
    if pin.string is not None and pin.string != place.string:
        raise HandError(
            f"note {index + 1}: pinned to string {pin.string} but written on string {place.string}",
            mend="Pin the string it is written on, or none",
        )
    if pin.finger is None:
        return
    if pin.finger == 0 and place.fret > 0:
        raise HandError(
            f"note {index + 1}: pinned as an open string but written at fret {place.fret}",
            mend="Pin a finger 1 to 4",
        )
    if pin.finger > 0 and place.fret == 0:
        raise HandError(
            f"note {index + 1}: finger {pin.finger} is pinned to an open string",
            mend="Pin 0, or leave the note free",
        )
