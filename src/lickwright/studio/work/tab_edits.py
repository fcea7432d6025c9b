"""An example as tab, with a note elsewhere or a finger pinned: keys for the lesson file."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from lickwright.errors import HandError
from lickwright.lesson.compile import tab_example
from lickwright.lick import LickNote
from lickwright.lick.fingering import Pin
from lickwright.studio.work.preview import ExampleRequest, note_moved, worked_for


def as_tab(request: ExampleRequest) -> dict[str, Any]:
    """The example as keys of one that is given as tab."""
    workshop, worked = worked_for(request)
    return tab_example(worked, workshop.meter(worked.entry), worked.entry.changes)


def with_note_moved(request: ExampleRequest, index: int, string: int, fret: int) -> dict[str, Any]:
    """The example as tab, with one note played elsewhere; its finger is found anew.

    Raises
    ------
    HandError, NeckError
        When the instrument has no such place.
    """
    from lickwright.neck import Position
    from lickwright.theory import pitch_from_midi, spell

    workshop, worked = worked_for(request)
    lick, guitar = worked.score.lick, worked.score.guitar
    if not 0 <= index < len(lick.notes):
        raise HandError(f"there is no note {index + 1}", mend="Choose one of the notes")
    own = lick.notes[index]
    place = Position(string, fret)
    midi = guitar.midi_at(place)
    name = own.pitch.name
    if midi % 12 != name.pc:
        name = spell(midi % 12, workshop.key(worked.entry))
    moved: LickNote = replace(own, position=place, pitch=pitch_from_midi(midi, name), finger=None)
    score = replace(worked.score, lick=note_moved(lick, index, moved))
    keys = tab_example(
        replace(worked, score=score), workshop.meter(worked.entry), worked.entry.changes
    )
    keys["fingers"] = pinned_fingers(worked.entry.fingers, len(lick.notes), {index: None})
    return keys


def pinned_fingers(
    own: tuple[int | Pin | None, ...] | None, count: int, changed: Mapping[int, int | Pin | None]
) -> str:
    """The ``fingers`` key: those pinned before, and the changed ones; a dot for an open choice."""
    pins = dict(enumerate(own or ())) | dict(changed)
    return " ".join(_pin_text(pins.get(at)) for at in range(count))


def _pin_text(pin: int | Pin | None) -> str:
    if isinstance(pin, int):
        return str(pin)
    return "." if pin is None or pin.finger is None else f"{pin.finger}{'!' * pin.here_only}"


def same_pitch(request: ExampleRequest, index: int) -> list[tuple[int, int]]:
    """Every other place, string and fret, that sounds as note ``index`` does."""
    from lickwright.neck import Position

    _, worked = worked_for(request)
    guitar = worked.score.guitar
    own = worked.score.lick.notes[index]
    wanted = guitar.midi_at(own.position)
    places = []
    for string in range(1, guitar.string_count + 1):
        fret = own.position.fret + wanted - guitar.midi_at(Position(string, own.position.fret))
        if fret != own.position.fret and 0 <= fret <= guitar.last_fret:
            places.append((string, fret))
    return places
