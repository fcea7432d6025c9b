"""What a page needs to follow a sound: when each note is played, and where it stands.

The playhead runs over the tab, where no two notes of a line stand above one another, and over the
neck diagram of the moment.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, NamedTuple

from lickwright.engrave.page import Engraving
from lickwright.neck import Position
from lickwright.score import Score, played_time


class Run(NamedTuple):
    """A stretch of a sound in which the music runs through once at one tempo; in seconds.

    Parameters
    ----------
    music_s, end_s : its first and last bar line.
    quarter_s : a quarter note.
    share : of a swung pair that its first note takes; 0.5 where notes are even.
    """

    music_s: float
    end_s: float
    quarter_s: float
    share: float = 0.5


@dataclass(frozen=True, slots=True)
class NeckTimes:
    """When a neck diagram is played from, and where its positions stand in it, in its px.

    Parameters
    ----------
    spans : from when to when, in quarter notes.
    """

    spans: tuple[tuple[float, float], ...]
    places: Mapping[Position, tuple[float, float]]


def follow_data(score: Score, engraving: Engraving, necks: Sequence[NeckTimes]) -> str:
    """All of it as JSON.

    ``bars`` holds number, onset and end of each bar, ``notes`` onset, end, system (from 0), place
    across it (0 to 1) and position (``"string/fret"``) of each note in order, times in quarter
    notes; ``necks`` the spans and places of each diagram; ``swung`` the length of a swung pair and
    where such pairs begin.
    """
    heads = {
        head.note: (at, head.x_mm / system.width_mm)
        for at, system in enumerate(engraving.systems)
        for head in system.heads
        if head.tablature and head.part == 0
    }
    notes = []
    for index, note in enumerate(score.lick.notes):
        system, x = heads[index]
        place = _name(note.position)
        notes.append([_short(note.onset), _short(note.end), system, round(x, 4), place])
    data: dict[str, Any] = {
        "bars": [[bar.number, _short(bar.onset), _short(bar.end)] for bar in score.bars],
        "notes": notes,
        "necks": [
            {
                "spans": [list(map(_short, span)) for span in neck.spans],
                "places": {
                    _name(place): [round(x, 1), round(y, 1)]
                    for place, (x, y) in neck.places.items()
                },
            }
            for neck in necks
        ],
    }
    times = played_time(score, score.slow_bpm)
    if times.of_line:
        data["swung"] = [_short(times.pair), list(map(_short, times.of_line))]
    return json.dumps(data, separators=(",", ":"))


def _name(place: Position) -> str:
    return f"{place.string}/{place.fret}"


def _short(moment: Fraction | float) -> float:
    return round(float(moment), 4)
