"""Where can a bass go under a shape that stays? Bass lines, ranked by the journey they make.

The fingers repeat the same notes; the bass alone moves, and every move makes them another chord.
A journey is a line of basses, all different, that an ear can follow.  It costs little when

* every chord is heard surely, carries its tensions, and stays in the key where one is given;
* the bass walks by step or moves by a fourth or fifth as roots do, less so by a third;
* each chord is of another kind than the one before: the same kind again is no news;
* it ends at rest: surely heard, with its root in the bass.

Common practice, no source; the prices are in :data:`JOURNEY_COSTS`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import islice

from lickwright.changes.paths import FORBIDDEN, Layer, ways_in_order
from lickwright.errors import TheoryError
from lickwright.theory import Key, NoteName, parse_note_name
from lickwright.theory.finding import over_every_bass
from lickwright.theory.hearing import Notes, Reading

#: Points; only their proportions matter.
JOURNEY_COSTS: dict[str, int] = {
    "strength lacking, of 100": 1,
    "clash": 12,
    "note outside the key": 25,
    "no common name": 200,
    "bass by a third": 6,
    "bass by a tritone": 20,
    "same kind of chord again": 15,
    "end without its root in the bass": 20,
}
LONGEST = 12


@dataclass(frozen=True, slots=True)
class Stop:
    """A bass and what the notes are over it."""

    bass: NoteName
    reading: Reading


@dataclass(frozen=True, slots=True)
class Journey:
    """A bass line under unchanged notes.

    Parameters
    ----------
    stops : in order.
    cost : points of :data:`JOURNEY_COSTS`; the lower, the easier to follow.
    why : in words, one sentence a stop.
    """

    stops: tuple[Stop, ...]
    cost: int
    why: tuple[str, ...]

    def __str__(self) -> str:
        return " | ".join(stop.reading.symbol or f"(over {stop.bass})" for stop in self.stops)


def bass_journeys(
    notes: Notes,
    stops: int = 3,
    key: Key | str | None = None,
    start: NoteName | str | None = None,
    end: NoteName | str | None = None,
    count: int = 5,
) -> list[Journey]:
    """The bass lines that make the best journeys under some notes, the best first.

    Parameters
    ----------
    notes : what the shape plays: triads, or notes (see
        :func:`lickwright.theory.hearing.implied.implied_chords`).
    stops : how many different basses, 2 to 12.
    key : spells; basses and notes outside it cost.
    start, end : basses that are settled; the same for both makes a round that comes home.
    count : how many journeys.

    Raises
    ------
    TheoryError
        For notes, a key or a bass that cannot be read, or too few or too many stops.
    """
    import numpy as np

    if not 2 <= stops <= LONGEST:
        raise TheoryError(f"a journey of {stops} stops", mend=f"Ask for 2 to {LONGEST}")
    if count < 1:
        raise TheoryError(f"{count} journeys were asked for", mend="Ask for 1 or more")
    rows = [Stop(bass, readings[0]) for bass, readings in over_every_bass(notes, key).items()]
    ends = {0: _read_bass(start), stops - 1: _read_bass(end)}
    layers = []
    members: list[list[int]] = []
    for place in range(stops):
        settled = ends.get(place)
        own = [i for i, stop in enumerate(rows) if settled in (None, stop.bass.pc)]
        members.append(own)
        costs = [stop_cost(rows[i], last=place == stops - 1) for i in own]
        codes = np.asarray(own, dtype=np.int64)
        layers.append(Layer(np.asarray(costs, dtype=np.int64), codes, codes))
    table = np.asarray([[move_cost(a, b) for b in rows] for a in rows], dtype=np.int64)
    ways = ways_in_order(layers, lambda leave, enter: table[leave][:, enter])
    journeys = (
        _journey([rows[members[place][pick]] for place, pick in enumerate(way.picks)], way.cost)
        for way in ways
    )
    is_round = ends[0] is not None and ends[0] == ends[stops - 1]
    if is_round and stops == 2:
        raise TheoryError("a round of 2 stops goes nowhere", mend="Ask for 3 stops or more")
    different = stops - 1 if is_round else stops
    return list(islice((j for j in journeys if _all_different(j.stops[:different])), count))


def stop_cost(stop: Stop, *, last: bool) -> int:
    """What it costs to stand on a bass."""
    costs, reading = JOURNEY_COSTS, stop.reading
    if not reading.named:
        return costs["no common name"]
    total = round(100 * (1 - reading.strength)) * costs["strength lacking, of 100"]
    total += len(reading.clashes) * costs["clash"]
    if reading.diatonic is False:
        total += costs["note outside the key"]
    if last and reading.root.pc != stop.bass.pc:
        total += costs["end without its root in the bass"]
    return total


def move_cost(before: Stop, after: Stop) -> int:
    """What it costs to go from one bass to another; ``FORBIDDEN`` for no move at all."""
    costs = JOURNEY_COSTS
    semitones = (after.bass.pc - before.bass.pc) % 12
    if semitones == 0:
        return FORBIDDEN
    total = 0
    if semitones in (3, 4, 8, 9):
        total += costs["bass by a third"]
    if semitones == 6:
        total += costs["bass by a tritone"]
    if _kind(before) == _kind(after):
        total += costs["same kind of chord again"]
    return total


def _kind(stop: Stop) -> tuple[str, ...]:
    """What makes a chord's kind to an ear: its third and its seventh."""
    return stop.reading.guide_tones if stop.reading.named else ("?",)


def _all_different(stops: Sequence[Stop]) -> bool:
    return len({stop.bass.pc for stop in stops}) == len(stops)


def _read_bass(bass: NoteName | str | None) -> int | None:
    if bass is None:
        return None
    return (parse_note_name(bass) if isinstance(bass, str) else bass).pc


def _journey(stops: Sequence[Stop], cost: int) -> Journey:
    why = []
    for index, stop in enumerate(stops):
        reading = stop.reading
        degrees = {note.pc: d for note, d in zip(reading.notes, reading.degrees, strict=True)}
        played = " ".join(d for pc, d in degrees.items() if pc != stop.bass.pc)
        move = ""
        if index:
            move = f", {_move_in_words(stops[index - 1].bass.pc, stop.bass.pc)}"
        name = reading.symbol or "no common name"
        why.append(f"over {stop.bass}{move}: {name}, the notes are {played}")
    return Journey(tuple(stops), cost, tuple(why))


_MOVES = (
    "staying",
    "a half step up",
    "a whole step up",
    "a minor third up",
    "a major third up",
    "a fourth up",
    "a tritone away",
    "a fourth down",
    "a major third down",
    "a minor third down",
    "a whole step down",
    "a half step down",
)


def _move_in_words(before: int, after: int) -> str:
    return _MOVES[(after - before) % 12]
