"""Where else can the triads of an example lie?  Places along the neck, and shapes in each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from lickwright.errors import LickwrightError
from lickwright.neck.shape import Shape
from lickwright.studio.proof import Order, worked_from

if TYPE_CHECKING:
    from lickwright.studio.visit import Visit

#: So many of the smoothest joins are asked for; a neck has tens of thousands.
ASKED = 1500
SHAPES_A_PLACE = 6


@dataclass(frozen=True, slots=True)
class Placing:
    """One way to lay the triads: the windows that the lesson file gets, and what it asks.

    Parameters
    ----------
    frets : a range for each triad, as the lesson file writes it.
    strings : the range of both.
    reach_mm : of each shape, from its first finger to its last.
    """

    frets: tuple[str, ...]
    strings: str
    lowest: int
    reach_mm: tuple[float, ...]
    travel_mm: float
    why: str


def placings(order: Order) -> list[list[Placing]]:
    """Every place along the neck, from the nut up; in each, its shapes, the smoothest first."""
    from lickwright.neck.shapes import find_joined_shapes, find_shapes

    shop, worked = worked_from(order)
    guitar, hand = worked.score.guitar, shop.lesson.entry.hand
    triads = worked.entry.triads or ()
    if len(triads) == 2:
        found = [
            _placing((pair.first, pair.second), guitar, pair.travel_mm, "; ".join(pair.reasons))
            for pair in find_joined_shapes(*triads, guitar, hand=hand, limit=ASKED)
        ]
    elif len(triads) == 1:
        found = [
            _placing((shape,), guitar, 0.0, "")
            for shape in find_shapes(triads[0], guitar, hand=hand)
        ]
    else:
        return []
    places: dict[int, list[Placing]] = {}
    seen = set()
    for placing in found:
        at = (placing.frets, placing.strings)
        shapes = places.setdefault(placing.lowest, [])
        if at not in seen and len(shapes) < SHAPES_A_PLACE:
            seen.add(at)
            shapes.append(placing)
    return [places[lowest] for lowest in sorted(places)]


def _placing(shapes: tuple[Shape, ...], guitar: Any, travel_mm: float, why: str) -> Placing:
    strings = [place.string for shape in shapes for place in shape.positions]
    frames = [shape.frame_mm(guitar) for shape in shapes]
    return Placing(
        tuple(f"{shape.lowest_fret}-{shape.highest_fret}" for shape in shapes),
        f"{min(strings)}-{max(strings)}",
        min(shape.lowest_fret for shape in shapes),
        tuple(high - low for low, high in frames),
        travel_mm,
        why,
    )


def standing(places: list[list[Placing]], raw: Mapping[str, Any]) -> tuple[int, int] | None:
    """Which of the places an example names, ``None`` where it is none of them."""
    frets = raw.get("frets")
    own = tuple(frets) if isinstance(frets, list) else (frets,)
    for at, shapes in enumerate(places):
        for which, placing in enumerate(shapes):
            if placing.frets == own and placing.strings == str(raw.get("strings")):
                return at, which
    return None


async def browse(visit: Visit, way: str) -> None:
    """Left and right go along the neck, up and down through the shapes of a place."""
    if visit.entry.kind != "triads":
        return
    try:
        places = await known(visit)
    except LickwrightError as error:
        visit.tell(f"{error.what}. {error.mend}")
        return
    if not places:
        return
    now = standing(places, visit.raw)
    if now is None:
        lowest = min((note.fret for note in visit.proof.notes if note.fret), default=0)
        now = (min(range(len(places)), key=lambda at: abs(places[at][0].lowest - lowest)), -1)
        step = 0 if way in {"left", "right"} else 1
    else:
        step = 1
    at, which = now
    if way in {"left", "right"}:
        at = max(0, min(len(places) - 1, at + (step if way == "right" else -step)))
        which = 0
    else:
        which = (which + (1 if way == "down" else -1)) % len(places[at])
    await take(visit, places[at][which])


async def known(visit: Visit) -> list[list[Placing]]:
    """The places of the example at hand, asked of the worker once for the same triads and neck."""
    entry = visit.lesson.entry
    key = (visit.entry.triads, visit.lesson.guitar, entry.hand)
    if visit.notes_of.get("places-of") != key:
        visit.notes_of["places"] = await visit.desk.workers.errands.do(placings, visit.order())
        visit.notes_of["places-of"] = key
    places: list[list[Placing]] = visit.notes_of["places"]
    return places


async def take(visit: Visit, placing: Placing) -> None:
    """Write a place into the lesson file."""
    frets: Any = list(placing.frets) if len(placing.frets) > 1 else placing.frets[0]
    await visit.remake({"frets": frets, "strings": placing.strings}, ("fingers",))
