"""What a hand does to the places of the triads: keys along the neck, a triad let go somewhere."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from lickwright.errors import LickwrightError
from lickwright.studio.session.tab import Tab
from lickwright.studio.work.dragged_neck import DraggedNeck
from lickwright.studio.work.placings import Placing, by_place, placings, standing
from lickwright.studio.work.preview import ExampleRequest


@dataclass(slots=True)
class PlaceState:
    """What Place remembers of one tab.

    Parameters
    ----------
    placings, placings_of : where else the triads can lie, and the triads, contour, instrument and
        hand for which that was worked out.
    neck, neck_of : the example and its neck that are drawn, and the request that was last made.
    """

    placings: list[Placing] = field(default_factory=list)
    placings_of: tuple[object, ...] | None = None
    neck: tuple[int, DraggedNeck] | None = None
    neck_of: ExampleRequest | None = None


async def browse(tab: Tab, way: str) -> None:
    """Left and right go along the neck, up and down through the shapes of a place."""
    if tab.entry.kind != "triads":
        return
    try:
        places = by_place(await known(tab))
    except LickwrightError as error:
        tab.tell(f"{error.what}. {error.mend}")
        return
    if not places:
        return
    now = standing(places, tab.raw)
    if now is None:
        lowest = min((note.fret for note in tab.preview.notes if note.fret), default=0)
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
    await take(tab, places[at][which])


async def known(tab: Tab) -> list[Placing]:
    """The placings of the example at hand, asked of the worker once for the same triads and neck.

    Raises
    ------
    LickwrightError
        Where the example as it is cannot be worked out.
    """
    entry = tab.entry
    key = (entry.triads, entry.joined, entry.contour, tab.lesson.guitar, tab.lesson.hand)
    state = tab.state(PlaceState)
    if state.placings_of != key:
        state.placings = await tab.open_lesson.workers.others.do(placings, tab.request())
        state.placings_of = key
    return state.placings


async def drop(tab: Tab, example: int, key: str) -> None:
    """A triad was dragged to a placing and let go there."""
    if tab.example == example and tab.entry.kind == "triads":
        for placing in await known(tab):
            if placing.key == key:
                await take(tab, placing)
                return
    # The lesson was changed while the hand was on its way.
    tab.tell("The triads changed meanwhile. Drag again.")


async def take(tab: Tab, placing: Placing) -> None:
    """Write a place into the lesson file."""
    frets: Any = list(placing.frets) if len(placing.frets) > 1 else placing.frets[0]
    await tab.remake({"frets": frets, "strings": placing.strings}, ("fingers",))
