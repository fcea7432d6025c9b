"""How far must a left hand travel to play a line, at the least?"""

from __future__ import annotations

from collections.abc import Sequence

from lickwright.changes.lines import HandPlaces
from lickwright.neck import Guitar, HandProfile, Position, hand_profile


def least_travel_mm(
    positions: Sequence[Position], guitar: Guitar | None = None, hand: str | HandProfile = "medium"
) -> float:
    """Millimetres that the index finger moves along the neck, at the least, through a line.

    At every note the hand lies where its comfortable reach takes the note in; of all ways to lie
    so, the one that moves least is measured (exactly, by dynamic programming).
    """
    places = HandPlaces(guitar or Guitar(), hand_profile(hand))
    tenths = places.tenths
    spent = dict.fromkeys(range(1, len(tenths)), 0)
    for position in positions:
        if position.fret == 0:
            continue  # an open string is played from anywhere
        spent = {
            fret: min(cost + abs(tenths[before] - tenths[fret]) for before, cost in spent.items())
            for fret in places.holding([position])
        }
    return min(spent.values()) / 10
