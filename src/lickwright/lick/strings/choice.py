"""Which strings and frets for these pitches?  Strings, frets and fingers chosen together.

The same shortest path as in :mod:`~lickwright.lick.fingering.fingers`, over every place of every
pitch, with three more costs: an open string, a string skipped between two notes, and the height on
the neck.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from lickwright.errors import HandError, NeckError
from lickwright.lick.fingering import IMPOSSIBLE, FingeredNote, HandTask, Onset, Pin, read_task
from lickwright.neck import Guitar, HandProfile, Position, Span, fret_window, string_window
from lickwright.theory import Pitch, parse_pitch


def choose_strings(
    pitches: Sequence[int | str | Pitch],
    guitar: Guitar | str | None = None,
    tempo_bpm: float | None = None,
    pins: Mapping[int, int | Pin] | None = None,
    *,
    onsets: Sequence[Onset] | None = None,
    hand: str | HandProfile = "medium",
    objective: str = "sum",
    frets: Span | None = None,
    strings: Span | None = None,
) -> list[FingeredNote]:
    """The cheapest strings, frets and fingers for a line of pitches.

    Parameters
    ----------
    pitches : sounding pitches: MIDI keys, ``"E4"`` or :class:`~lickwright.theory.pitch.Pitch`.
    pins : index of a note (from 0) -> its finger, or a
        :class:`~lickwright.lick.fingering.fingers.Pin` with a string, a finger or a place of the
        hand.
    frets, strings : windows to stay within, such as ``"9-14"`` and ``"1-5"``.
    guitar, tempo_bpm, onsets, hand, objective : as in
        :func:`~lickwright.lick.fingering.fingers.assign_fingers`.

    Returns
    -------
    list of FingeredNote
        One for each pitch, in order.

    Raises
    ------
    HandError, NeckError, TheoryError, RhythmError
        With the number of the note, counted from 1, and why it cannot be.

    Examples
    --------
    >>> line = choose_strings(["C4", "E4", "G4", "C5"], frets="7-10")
    >>> [(note.position.string, note.position.fret, note.finger) for note in line]
    [(4, 10, 3), (3, 9, 2), (2, 8, 1), (1, 8, 1)]
    """
    task = read_task(len(pitches), guitar, tempo_bpm, pins, onsets, hand, objective)
    keys = [_midi(pitch) for pitch in pitches]
    windows = fret_window(frets, task.guitar), string_window(strings, task.guitar)
    places = [_places(index, key, task, windows[0], windows[1]) for index, key in enumerate(keys)]
    return _searched(task, places, objective) if keys else []


def _midi(pitch: int | str | Pitch) -> int:
    if isinstance(pitch, str):
        pitch = parse_pitch(pitch)
    return pitch.midi if isinstance(pitch, Pitch) else pitch


def _places(
    index: int, key: int, task: HandTask, frets: tuple[int, int], strings: tuple[int, int]
) -> list[Position]:
    """Where a pitch lies within the windows and its pin, lowest fret first."""
    guitar = task.guitar
    opens = {s: guitar.midi_at(Position(s, 0)) for s in range(1, guitar.string_count + 1)}
    on_neck = [
        Position(string, key - low)
        for string, low in opens.items()
        if 0 <= key - low <= guitar.last_fret
    ]
    if not on_neck:
        beyond = "below its lowest" if key < min(opens.values()) else "above its highest"
        raise NeckError(
            f"note {index + 1}: MIDI key {key} is not on this instrument; it is {beyond} note",
            mend="Move the note by an octave, or choose another tuning",
        )
    pin = task.pins.get(index, Pin())
    inside = [
        place
        for place in on_neck
        if frets[0] <= place.fret <= frets[1] and strings[0] <= place.string <= strings[1]
    ]
    found = [
        place
        for place in inside
        if pin.string in (None, place.string)
        and (pin.finger is None or (pin.finger == 0) == (place.fret == 0))
    ]
    if not found:
        where = ", ".join(str(place) for place in inside or on_neck)
        asked = "pinned" if inside else "within the window of frets and strings"
        raise NeckError(
            f"note {index + 1} cannot be played as {asked}"
            if inside
            else f"note {index + 1} does not lie {asked}",
            mend=f"It lies on {where}",
        )
    return sorted(found, key=lambda place: place.fret)


def _searched(
    task: HandTask, places: Sequence[Sequence[Position]], objective: str
) -> list[FingeredNote]:
    from lickwright.lick.fingering import blocked_at, cheapest, gentlest
    from lickwright.lick.strings.trellis import string_trellis

    columns, trellis = string_trellis(task, places)
    path = cheapest(trellis) if objective == "sum" else gentlest(trellis)[1]
    if path.cost >= IMPOSSIBLE:
        blocked = blocked_at(trellis) or 0
        first = task.moments[blocked].notes[0] + 1
        raise HandError(
            f"note {first} cannot follow the notes before it as pinned",
            mend="Free one of the pins",
        )
    notes: list[FingeredNote] = []
    for column, state in zip(columns, path.states, strict=True):
        notes.extend(
            FingeredNote(
                Position(int(held.string[state]), int(held.fret[state])),
                int(held.finger[state]),
                int(held.place[state]),
            )
            for held in column.held
        )
    return notes
