"""How far must a left hand travel to play a line, at the least?"""

from __future__ import annotations

from collections.abc import Sequence

from lickwright.changes.hand_places import HandPlaces
from lickwright.neck.instrument import Guitar, Position
from lickwright.neck.reach import HandProfile, hand_profile


def least_travel_mm(
    positions: Sequence[Position], guitar: Guitar | None = None, hand: str | HandProfile = "medium"
) -> float:
    """Millimetres that the index finger moves along the neck, at the least, through a line.

    The line is cut where it leaves the hand's comfortable reach; the hand stands still within a
    part and takes the places that make the whole way shortest.
    """
    places = HandPlaces(guitar or Guitar(), hand_profile(hand))
    spent: dict[int, int] = {}
    for frame in places.frames(positions):
        spent = {
            fret: min(
                (
                    cost + abs(places.tenths[before] - places.tenths[fret])
                    for before, cost in spent.items()
                ),
                default=0,
            )
            for fret in places.holding(frame)
        }
    return min(spent.values(), default=0) / 10
