"""Which tempo did the player keep, and which start is which note at that tempo?

The two questions answer each other: starts that are matched to notes draw the tempo line, and the
line says where the next round looks for each note.  A player who stops and goes on does not bend
the line: the pause is taken out of it and told apart.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from lickwright.take.judging.align import SAME_PITCH, find_tempo, place
from lickwright.take.judging.tempo_line import TempoLine, fit_tempo
from lickwright.take.listening import Events
from lickwright.take.report import Pause

Floats = npt.NDArray[np.float64]
Ints = npt.NDArray[np.int64]

_ROUNDS = 3
#: How far from its place a note is looked for: a share of the distance to its neighbours, bounded.
_REACH, _LEAST_REACH_S, _WIDEST_REACH_S = 0.75, 0.045, 0.20
#: A pause is a step longer or shorter than written by all of these.
_PAUSE_S, _PAUSE_QUARTERS, _PAUSE_SHARE = 0.3, 0.75, 0.2
_BESIDE_PAUSE = 2  # notes that must have been found on both sides of it


@dataclass(frozen=True, slots=True)
class Followed:
    """A line of notes, followed through a take.

    Parameters
    ----------
    chosen : ``(notes,)``: the event of each note, or -1.
    expected_s : ``(notes,)``: when each note was due.
    line : the tempo, with the pauses taken out.
    pauses : ``index`` counts the notes given.
    """

    chosen: Ints
    expected_s: Floats
    line: TempoLine
    pauses: tuple[Pause, ...]


def follow(events: Events, keys: Ints, quarters: Floats, tempo_bpm: float | None) -> Followed:
    """Follow a line of notes through a take.

    Parameters
    ----------
    keys, quarters : MIDI key and onset in quarter notes of each note.
    tempo_bpm : about the tempo, or ``None`` where it is not known.
    """
    path = find_tempo(events, keys, quarters, tempo_bpm)
    chosen = path.events
    pauses = _pauses(events, quarters, chosen, path.tempo_bpm)
    stopped = np.zeros(len(keys))
    for pause in pauses:
        stopped[pause.index :] += pause.seconds
    for _ in range(_ROUNDS):
        found = np.flatnonzero(chosen >= 0)
        right = found[events.share_of(keys[found], chosen[found]) > SAME_PITCH]
        drawn = right if len(right) >= 3 else found
        played = events.time_s[chosen[drawn]] - stopped[drawn]
        line = fit_tempo(quarters[drawn], played, path.tempo_bpm)
        expected = line.at(quarters) + stopped
        chosen = place(events, keys, expected, _reach(expected))
    # There is at least one round.
    return Followed(chosen, expected, line, pauses)  # type: ignore[possibly-undefined]


def _reach(expected_s: Floats) -> Floats:
    """How far from its place each note is looked for, in seconds."""
    steps = np.diff(expected_s, prepend=-np.inf, append=np.inf)
    nearest = np.minimum(steps[:-1], steps[1:])
    return np.clip(_REACH * nearest, _LEAST_REACH_S, _WIDEST_REACH_S)


def _pauses(events: Events, quarters: Floats, chosen: Ints, tempo_bpm: float) -> tuple[Pause, ...]:
    """Where the way from one note to the next took much longer or shorter than written."""
    found = np.flatnonzero(chosen >= 0)
    pauses = []
    for count in range(_BESIDE_PAUSE, len(found) - _BESIDE_PAUSE + 1):
        before, after = found[count - 1], found[count]
        written = (quarters[after] - quarters[before]) * 60.0 / tempo_bpm
        more = events.time_s[chosen[after]] - events.time_s[chosen[before]] - written
        least = max(_PAUSE_S, _PAUSE_QUARTERS * 60.0 / tempo_bpm, _PAUSE_SHARE * written)
        if abs(more) > least:
            pauses.append(Pause(int(after), float(more)))
    return tuple(pauses)
