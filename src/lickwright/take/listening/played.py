"""Which line of notes does a recording hold, when nothing is printed?

The likely starts, each with the pitch that fits it and the line best, and when each note ends.
One guitar alone is meant: with a band beside it, the band's notes come along.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lickwright.neck import Guitar, Position
from lickwright.take.listening.decay import ends
from lickwright.take.listening.events import Events, find_events
from lickwright.take.listening.recording import Recording
from lickwright.take.listening.spectrum import LAG, PITCHES, STEP_S, Spectrum, levels, listen

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

_LEAST_BELIEF = 0.0
#: A note is struck again where the attack is this clear and its pitch went on sounding.
_LEAST_AGAIN, _SOUNDING = 2.5, 0.7
_LEAST_STRENGTH = 0.2
#: Two starts nearer than this are one stroke.
_APART_S = 0.040
#: A click has died away after 50 ms; a note has not.
_LASTS_S, _LASTING = 0.050, 0.25
#: What a pitch costs that fits a share ``1 - x`` worse than the best, and a leap beyond a sixth of
#: nine half steps, each half step.  Chosen so that only near ties are settled by the line.
_MISFIT, _LEAP, _FREE_LEAP = 30.0, 0.25, 9
_CANDIDATES = 4


@dataclass(frozen=True, slots=True)
class PlayedNote:
    """One note as it was heard; ``end_s`` is when it was stopped, or the next one started."""

    onset_s: float
    end_s: float
    midi: int
    sure: float


def heard_line(recording: Recording, guitar: Guitar | None = None) -> tuple[PlayedNote, ...]:
    """The line of single notes in a recording of one guitar."""
    guitar = guitar or Guitar()
    sound = listen(recording)
    events = find_events(recording, sound, key_range(guitar))
    starts = _starts(events, sound)
    if not len(starts):
        return ()
    keys = _pitches(events, starts)
    onsets = events.time_s[starts]
    stops = ends(recording, sound.tuning_cents, onsets, keys)
    sure = 1.0 / (1.0 + np.exp(-np.maximum(events.belief[starts], events.again[starts])))
    return tuple(
        PlayedNote(float(onset), float(end), int(key), float(s))
        for onset, end, key, s in zip(onsets, stops, keys, sure, strict=True)
    )


def key_range(guitar: Guitar) -> tuple[int, int]:
    """The lowest and the highest MIDI key of an instrument."""
    keys = [
        guitar.midi_at(Position(string, fret))
        for string in range(1, guitar.string_count + 1)
        for fret in (0, guitar.last_fret)
    ]
    return min(keys), max(keys)


def _starts(events: Events, sound: Spectrum) -> Ints:
    """The events that are notes, in time."""
    rows = np.arange(len(events))
    loudest = np.argmax(events.sounding, axis=1)
    new = (events.belief > _LEAST_BELIEF) & (events.strength > _LEAST_STRENGTH)
    new[new] = _lasts(events.some(np.flatnonzero(new)), sound, (events.best - PITCHES[0])[new])
    struck = (events.again > _LEAST_AGAIN) & (events.sounding[rows, loudest] > _SOUNDING)
    struck[struck] = _lasts(events.some(np.flatnonzero(struck)), sound, loudest[struck])
    chosen: list[int] = []
    for event in np.flatnonzero(new | struck).tolist():
        near = chosen and events.time_s[event] - events.time_s[chosen[-1]] < _APART_S
        if near and events.belief[event] <= events.belief[chosen[-1]]:
            continue
        if near:
            chosen.pop()
        chosen.append(event)
    return np.array(chosen, np.int64)


def _lasts(events: Events, sound: Spectrum, pitch: Ints) -> npt.NDArray[np.bool_]:
    """Whether the pitch of each event still sounds a while after its start."""
    first = np.round(events.time_s / STEP_S).astype(np.int64) + LAG
    later = first + round(_LASTS_S / STEP_S)
    last = sound.steps - 1
    at_start = levels(sound, np.minimum(first, last)).max(axis=1)
    after = levels(sound, np.minimum(later, last))[np.arange(len(later)), pitch]
    after = np.where(later <= last, after, 0.0)
    return np.asarray(after > _LASTING * at_start)


def _pitches(events: Events, starts: Ints) -> Ints:
    """The pitch of each start: what fits, and between near ties what lies near in the line."""
    shares = events.fit[starts] / np.maximum(events.fit[starts].max(axis=1, keepdims=True), 1e-12)
    again = (events.belief[starts] <= _LEAST_BELIEF)[:, None]
    shares = np.where(again, events.sounding[starts], shares)
    likely = np.argsort(-shares, axis=1, kind="stable")[:, :_CANDIDATES]
    cost = _MISFIT * (1.0 - np.take_along_axis(shares, likely, axis=1))
    total = cost[0]
    came = []
    for row in range(1, len(starts)):
        leap = np.abs(likely[row][None, :] - likely[row - 1][:, None])
        step = total[:, None] + _LEAP * np.maximum(leap - _FREE_LEAP, 0)
        came.append(np.argmin(step, axis=0))
        total = step.min(axis=0) + cost[row]
    at = int(np.argmin(total))
    path = [at]
    for back in reversed(came):
        at = int(back[at])
        path.append(at)
    path.reverse()
    return np.asarray(PITCHES[likely[np.arange(len(starts)), path]], np.int64)
