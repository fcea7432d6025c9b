"""In which positions can a line be played at the same pitch, and what do hands say to each?

Every way of :func:`~lickwright.neck.shapes.other_places.elsewhere` with its reach in mm and the
strokes of least cost, ranked by both: :data:`POSITION_COSTS`, in mm of stretch (common practice, no
source). The strokes that the notes come with stay wherever a pick can play them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from lickwright.lick.notes import LickNote, Stroke, Technique
from lickwright.lick.picking import (
    Picking,
    Sweep,
    assign_strokes,
    check_strokes,
    legato_techniques,
    read_policy,
    stroke_costs,
    stroke_report,
)
from lickwright.lick.rhythm import COMMON_TIME, Meter
from lickwright.neck import Guitar, HandProfile, Position, Span, hand_profile
from lickwright.neck.shapes import elsewhere, frame_mm

#: What makes a position worse, each in mm of stretch.
POSITION_COSTS: dict[str, float] = {
    "open string": 20.0,
    "fret above the 17th": 2.0,
    "mm beyond a comfortable reach": 1.0,
    "point of the strokes": 0.5,
    "mm of frame": 0.1,
}


@dataclass(frozen=True, slots=True)
class InPosition:
    """A line in one position.

    Parameters
    ----------
    positions : one place a note.
    reach_mm : from the lowest stopped place to the highest.
    strokes : the picking hand's; ``None`` for a note that is slurred.
    sweeps : each sweep, in order.
    same_strokes : whether they are the strokes that the notes came with.
    here : whether it is where the notes lie already.
    cost : rank in mm; the lower, the better.
    """

    positions: tuple[Position, ...]
    reach_mm: float
    strokes: tuple[Stroke | None, ...]
    sweeps: tuple[Sweep, ...]
    same_strokes: bool
    here: bool
    cost: float

    @property
    def frets(self) -> tuple[int, int]:
        """Lowest and highest fret."""
        frets = [place.fret for place in self.positions]
        return min(frets), max(frets)


def in_positions(
    notes: Sequence[LickNote],
    guitar: Guitar | None = None,
    frets: Span | None = None,
    strings: Span | None = None,
    *,
    hand: str | HandProfile = "medium",
    policy: Picking | str = Picking.SWEEP,
    meter: Meter = COMMON_TIME,
) -> list[InPosition]:
    """Every position of a line, the best first.

    A hammer-on or pull-off stays where both notes still lie on one string, and is picked elsewhere.

    Parameters
    ----------
    notes : of a lick or a part of one.
    guitar : the instrument; standard where not given.
    frets, strings, hand : as in :func:`~lickwright.neck.shapes.other_places.elsewhere`.
    policy : what the picking hand may do.
    meter : where the beats are.

    Raises
    ------
    NeckError, HandError
        When there are no notes, or the instrument does not have what is asked for.
    """
    guitar = guitar or Guitar()
    profile = hand_profile(hand)
    here = tuple(note.position for note in notes)
    own = tuple(note.stroke for note in notes)
    came = [note.technique for note in notes]
    onsets = [note.onset - meter.pickup for note in notes]
    beat = meter.beats or meter.beat
    found = []
    for places in elsewhere(here, guitar, frets, strings, hand=profile):
        techniques = _techniques(notes, places, read_policy(policy), onsets)
        strokes: Sequence[Stroke | None] = own
        wrong = check_strokes(places, own, came, onsets=onsets, beat=beat, policy=policy)
        if techniques != came or wrong:
            strokes = assign_strokes(
                places, policy, techniques=techniques, onsets=onsets, beat=beat, guitar=guitar
            )
        terms = stroke_costs(
            places, strokes, policy, techniques=techniques, onsets=onsets, beat=beat
        )
        low, high = frame_mm(places, guitar)
        highest = max(place.fret for place in places) + guitar.capo
        amounts = {
            "open string": len({place for place in places if place.fret == 0}),
            "fret above the 17th": max(0, highest - 17),
            "mm beyond a comfortable reach": max(0.0, high - low - profile.comfortable_reach_mm),
            "point of the strokes": sum(term.points for note in terms for term in note),
            "mm of frame": high - low,
        }
        cost = sum(POSITION_COSTS[name] * amount for name, amount in amounts.items())
        found.append(
            InPosition(
                places,
                high - low,
                tuple(strokes),
                stroke_report(places, strokes, onsets=onsets).sweeps,
                tuple(strokes) == own,
                places == here,
                round(cost, 3),
            )
        )
    return sorted(found, key=lambda one: (one.cost, one.positions))


def _techniques(
    notes: Sequence[LickNote],
    places: Sequence[Position],
    picking: Picking,
    onsets: Sequence[Fraction],
) -> list[Technique]:
    """How each note starts in another position."""
    if picking is Picking.LEGATO:
        return legato_techniques(places, onsets=onsets)
    return [
        note.technique if at and places[at].string == places[at - 1].string else Technique.PICK
        for at, note in enumerate(notes)
    ]
