"""Place: where do the triads lie on the neck?"""

from __future__ import annotations

from typing import TYPE_CHECKING

from nicegui import background_tasks

from lickwright.neck import TUNINGS, tuning_name
from lickwright.studio.rooms import place_neck as board
from lickwright.studio.rooms import placing
from lickwright.studio.session.tags import button, field, select, tag, tick, words

if TYPE_CHECKING:
    from lickwright.studio.session.tab import Visit

LABELS = {"degrees": "degrees", "notes": "notes", "fingers": "fingers"}
HANDS = ("small", "medium", "large")


def draw(visit: Visit) -> None:
    """The room: the way along the neck, what the marks say, the instrument."""
    background_tasks.create(board.put_up(visit))
    with tag("div", "cols"):
        with tag("section", "part", aria_labelledby="place-where"):
            words("h2", "Along the neck", "label", id="place-where")
            _where(visit)
        with tag("section", "part", aria_labelledby="place-guitar"):
            words("h2", "Instrument and hand", "label", id="place-guitar")
            _instrument(visit)


def _where(visit: Visit) -> None:
    entry = visit.entry
    for reach in visit.proof.reach:
        words("p", reach, "soft")
    if entry.kind != "triads":
        words("p", "This example has its places already: change them in Shape, by its notes.")
    else:
        with tag(
            "div",
            "acts",
            data_browse="",
            role="group",
            aria_label="Arrow keys go along the neck and through the shapes",
        ):
            button("← Towards the nut", lambda: placing.browse(visit, "left"))
            button("Up the neck →", lambda: placing.browse(visit, "right"))
            button("↑ Shape before", lambda: placing.browse(visit, "up"))
            button("↓ Shape after", lambda: placing.browse(visit, "down"))
        words("p", "With one of these in focus the arrow keys do the same.", "hint")
        with tag("div", "fields"):
            frets = visit.raw.get("frets", "")
            shown = ", ".join(frets) if isinstance(frets, list) else str(frets)
            field(
                "Frets",
                shown,
                lambda v: _put_frets(visit, v),
                hint="9-14, or one range for each triad: 9-12, 14-17",
            )
            field(
                "Strings",
                str(visit.raw.get("strings", "")),
                lambda v: visit.put_here("strings", v),
                hint="1 is the highest: 1-4",
            )
    select("Marks say", visit.lesson.entry.labels, LABELS, lambda v: visit.put("labels", v))


async def _put_frets(visit: Visit, text: str) -> None:
    ranges = [part.strip() for part in text.split(",") if part.strip()]
    await visit.put_here("frets", ranges if len(ranges) > 1 else "".join(ranges))


def _instrument(visit: Visit) -> None:
    guitar, raw = visit.lesson.guitar, visit.lesson.raw.get("guitar") or {}
    named = tuning_name(guitar.open_strings) or guitar.tuning
    with tag("div", "fields"):
        field(
            "Tuning",
            named,
            lambda v: visit.put("guitar", "tuning", v),
            choices=TUNINGS,
            hint="a name, or its notes from the lowest",
        )
        field(
            "Capo at fret",
            str(guitar.capo),
            lambda v: _put_number(visit, "capo", v),
            inputmode="numeric",
        )
        field(
            "Frets on the neck",
            str(guitar.frets),
            lambda v: _put_number(visit, "frets", v),
            inputmode="numeric",
        )
        field(
            "Scale length",
            str(raw.get("scale_length", "648 mm")),
            lambda v: visit.put("guitar", "scale_length", v),
            hint="648 mm, or 25.5 in",
        )
        select("Left hand's size", visit.lesson.entry.hand, HANDS, lambda v: visit.put("hand", v))
        tick(
            "Left-handed",
            guitar.left_handed,
            lambda on: visit.put("guitar", "left_handed", on or None),
        )


async def _put_number(visit: Visit, key: str, text: str) -> None:
    value: int | str = int(text) if text.strip().isdigit() else text
    await visit.put("guitar", key, value)
