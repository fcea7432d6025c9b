"""Place: where do the triads lie on the neck?"""

from __future__ import annotations

from typing import Any

from nicegui import background_tasks

from lickwright.neck import TUNINGS, tuning_name
from lickwright.studio.rooms.place_acts import browse
from lickwright.studio.rooms.place_neck import put_up
from lickwright.studio.session.tab import Tab
from lickwright.studio.session.tags import button, field, select, tag, tick, words

LABELS = {"degrees": "degrees", "notes": "notes", "fingers": "fingers"}
JOINED = {"run by run": "one after the other", "merged": "merged: one arpeggio"}
HANDS = ("small", "medium", "large")


def draw(tab: Tab) -> None:
    """The room: the way along the neck, what the marks say, the instrument."""
    background_tasks.create(put_up(tab))
    with tag("div", "cols"):
        with tag("section", "part", aria_labelledby="place-where"):
            words("h2", "Along the neck", "label", id="place-where")
            _where(tab)
        with tag("section", "part", aria_labelledby="place-guitar"):
            words("h2", "Instrument and hand", "label", id="place-guitar")
            _instrument(tab)


def _where(tab: Tab) -> None:
    entry = tab.entry
    for reach in tab.preview.reach:
        words("p", reach, "soft")
    if entry.kind == "parts":
        words("p", "Each part has a place of its own: change it in Shape, among the parts.")
    elif entry.kind != "triads":
        words("p", "This example has its places already: change them in Shape, by its notes.")
    else:
        with tag(
            "div",
            "acts",
            data_browse="",
            role="group",
            aria_label="Arrow keys go along the neck and through the shapes",
        ):
            button("← Towards the nut", lambda: browse(tab, "left"))
            button("Up the neck →", lambda: browse(tab, "right"))
            button("↑ Shape before", lambda: browse(tab, "up"))
            button("↓ Shape after", lambda: browse(tab, "down"))
        words("p", "With one of these in focus the arrow keys do the same.", "hint")
        with tag("div", "fields"):
            if len(entry.triads or ()) in {2, 3}:
                select("Joined", entry.joined, JOINED, lambda v: _put_joined(tab, v))
            frets = tab.raw.get("frets", "")
            shown = ", ".join(frets) if isinstance(frets, list) else str(frets)
            field(
                "Frets",
                shown,
                lambda v: _put_frets(tab, v),
                hint="9-14, or one range for each triad: 9-12, 14-17",
            )
            field(
                "Strings",
                str(tab.raw.get("strings", "")),
                lambda v: tab.put_here("strings", v),
                hint="1 is the highest: 1-4",
            )
    select("Marks say", tab.lesson.entry.labels, LABELS, lambda v: tab.put("labels", v))


async def _put_joined(tab: Tab, joined: str) -> None:
    """Merged triads lie in one place: of several ranges of frets the whole stays."""
    changed: dict[str, Any] = {"joined": joined}
    frets = tab.entry.frets
    if joined == "merged" and frets is not None and len(frets) > 1:
        lowest = min(window[0] for window in frets)
        changed["frets"] = f"{lowest}-{max(window[1] for window in frets)}"
    gone = ["fingers", "strokes"]
    if joined != "merged":
        del changed["joined"]
        gone.append("joined")
    await tab.remake(changed, gone)


async def _put_frets(tab: Tab, text: str) -> None:
    ranges = [part.strip() for part in text.split(",") if part.strip()]
    await tab.put_here("frets", ranges if len(ranges) > 1 else "".join(ranges))


def _instrument(tab: Tab) -> None:
    guitar, raw = tab.lesson.guitar, tab.lesson.raw.get("guitar") or {}
    named = tuning_name(guitar.open_strings) or guitar.tuning
    with tag("div", "fields"):
        field(
            "Tuning",
            named,
            lambda v: tab.put("guitar", "tuning", v),
            choices=TUNINGS,
            hint="a name, or its notes from the lowest",
        )
        field(
            "Capo at fret",
            str(guitar.capo),
            lambda v: _put_number(tab, "capo", v),
            inputmode="numeric",
        )
        field(
            "Frets on the neck",
            str(guitar.frets),
            lambda v: _put_number(tab, "frets", v),
            inputmode="numeric",
        )
        field(
            "Scale length",
            str(raw.get("scale_length", "648 mm")),
            lambda v: tab.put("guitar", "scale_length", v),
            hint="648 mm, or 25.5 in",
        )
        select("Left hand's size", tab.lesson.entry.hand, HANDS, lambda v: tab.put("hand", v))
        tick(
            "Left-handed",
            guitar.left_handed,
            lambda on: tab.put("guitar", "left_handed", on or None),
        )


async def _put_number(tab: Tab, key: str, text: str) -> None:
    value: int | str = int(text) if text.strip().isdigit() else text
    await tab.put("guitar", key, value)
