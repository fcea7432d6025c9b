"""Shape: the line itself, its contour, rhythm, strokes and fingers, and every note of it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from lickwright.drawing import printed_symbol
from lickwright.lick import Stroke
from lickwright.lick.fingering import Pin
from lickwright.neck import FINGER_NAMES
from lickwright.studio.rooms import shape_acts, shape_parts
from lickwright.studio.session.tab import Tab
from lickwright.studio.session.tags import button, field, select, tag, words, writing
from lickwright.studio.work.line_alternatives import Alternatives, alternatives
from lickwright.studio.work.preview import ExampleRequest

CONTOURS = (
    "up down",
    "up",
    "down",
    "up-down",
    "down up",
    "up in threes, down",
    "up broken, down",
    "up from nearest, down",
    "up-down turn, down-up",
)
RHYTHMS = (
    "16ths",
    "8ths",
    "8th triplets",
    "quintuplets",
    "sextuplets",
    "quarters",
    "e s s",
    "q e e",
    "e e e e e q.",
    "3(e e e)",
    "s s e",
)
PICKING = {"sweep": "sweep", "alternate": "alternate", "down": "down", "legato": "legato"}
STROKES = {"D": "down", "U": "up"}


@dataclass(slots=True)
class ShapeState:
    """Other ways to play the line, and the example that they were worked out for."""

    alternatives: Alternatives | None = None
    alternatives_of: ExampleRequest | None = None


def draw(tab: Tab) -> None:
    """The room: the note at hand, the line, other ways to play it."""
    with tag("section", "part", aria_labelledby="shape-note"):
        words("h2", "The note at hand", "label", id="shape-note")
        _note(tab)
    with tag("section", "part", aria_labelledby="shape-line"):
        words("h2", "The line", "label", id="shape-line")
        _line(tab)
    if tab.entry.kind in {"triads", "parts"}:
        with tag("section", "part", aria_labelledby="shape-parts"):
            words("h2", "Parts", "label", id="shape-parts")
            shape_parts.draw(tab)
    with tag("section", "part", aria_labelledby="shape-other"):
        words("h2", "Other ways to play it", "label", id="shape-other")
        _others(tab)


def _note(tab: Tab) -> None:
    notes = tab.preview.notes
    with tag("div", "acts"):
        button("← Note before", lambda: _step(tab, -1), "slim")
        button("Note after →", lambda: _step(tab, 1), "slim")
        if tab.note is None or tab.note >= len(notes):
            words(
                "p",
                "Click a note of the page, or step to one. On the page itself: arrow keys,"
                " 1 to 4 for a finger, d and u for a stroke, s for another string.",
                "hint",
            )
            return
        note = notes[tab.note]
        where = "open" if note.fret == 0 else f"fret {note.fret}"
        said = [
            f"Note {tab.note + 1}: {printed_symbol(note.pitch)}",
            f"string {note.string}",
            where,
        ]
        if note.degree:
            said.append(f"degree {printed_symbol(note.degree)}")
        if note.finger is not None:
            said.append(FINGER_NAMES[note.finger])
        words("strong", ", ".join(said), aria_live="polite")
    with tag("div", "note-panel"):
        _pins(tab)
        with tag("fieldset"):
            words("legend", "Move it")
            with tag("div", "acts"):
                button("Fret down", lambda: shape_acts.change_note(tab, "lower"), "slim")
                button("Fret up", lambda: shape_acts.change_note(tab, "higher"), "slim")
                button("Other string", lambda: shape_acts.change_note(tab, "string"), "slim")


def _pins(tab: Tab) -> None:
    assert tab.note is not None, "drawn for a chosen note"
    note = tab.preview.notes[tab.note]
    pin = dict(enumerate(tab.entry.fingers or ())).get(tab.note)
    pinned = pin.finger if isinstance(pin, Pin) else pin
    with tag("fieldset"):
        words("legend", "Pin a finger")
        with tag("div", "acts"):
            for which in (1, 2, 3, 4):
                button(
                    str(which),
                    partial(shape_acts.finger, tab, which),
                    "slim",
                    aria_pressed=str(pinned == which).lower(),
                    aria_label=f"{which}, {FINGER_NAMES[which]}",
                    data_key=f"finger-{which}",
                )
            button(
                "Free",
                lambda: shape_acts.finger(tab, None),
                "slim",
                aria_pressed=str(pinned is None).lower(),
            )
            if pinned is not None:
                button(
                    "Here only",
                    lambda: shape_acts.here_only(tab),
                    "slim",
                    aria_pressed=str(isinstance(pin, Pin)).lower(),
                    aria_label="Here only, not where the figure comes again",
                )
    with tag("fieldset"):
        words("legend", "Stroke")
        with tag("div", "acts"):
            for letter, name in STROKES.items():
                button(
                    name.capitalize(),
                    partial(shape_acts.stroke, tab, Stroke(letter)),
                    "slim",
                    aria_pressed=str(note.stroke == letter).lower(),
                    data_key=f"stroke-{letter}",
                )


async def _step(tab: Tab, by: int) -> None:
    count = len(tab.preview.notes)
    if count:
        at = (0 if by > 0 else count - 1) if tab.note is None else tab.note + by
        await tab.choose_note(max(0, min(count - 1, at)))


def _line(tab: Tab) -> None:
    raw, kind = tab.raw, tab.entry.kind
    with tag("div", "fields"):
        if kind in {"triads", "parts"}:
            field(
                "Contour",
                str(raw.get("contour", "")),
                lambda v: tab.put_here("contour", v),
                choices=CONTOURS,
                hint="which way each triad runs; usual: up down",
            )
        if kind != "lick":
            field(
                "Rhythm",
                str(raw.get("rhythm", "")),
                lambda v: tab.put_here("rhythm", v),
                choices=RHYTHMS,
                hint="16ths, 8th triplets, or value by value: q e e",
            )
        if kind == "triads":
            field(
                "Bars",
                str(raw.get("bars", "")),
                lambda v: _put_bars(tab, v),
                hint="how many the line fills",
                inputmode="numeric",
            )
        select("Picking", tab.entry.picking, PICKING, lambda v: tab.put_here("picking", v))
        if kind != "lick":
            field(
                "Strokes",
                str(raw.get("strokes", "")),
                lambda v: tab.put_here("strokes", v),
                hint="D down, U up, repeated; empty: worked out",
            )
            fingers = raw.get("fingers", "")
            shown = " ".join(map(str, fingers)) if isinstance(fingers, list) else str(fingers)
            field(
                "Fingers",
                shown,
                lambda v: tab.put_here("fingers", v),
                hint="one a note, . where it is open; empty: worked out",
            )
            field(
                "Said to imply",
                str(raw.get("implies", "")),
                lambda v: tab.put_here("implies", v),
                hint="a chord; it is checked",
            )
    if kind == "tab":
        writing(
            "Tab",
            str(raw.get("tab", "")),
            lambda v: tab.put_here("tab", v, quiet=True),
            rows=8,
            style="font-family:monospace",
            spellcheck="false",
        )
    else:
        with tag("div", "acts", style="margin-top:0.8rem"):
            button("Write it out as tab", lambda: shape_acts.write_out(tab), "slim")
            words("span", "So that every note is your own. Moving a note does the same.", "hint")


async def _put_bars(tab: Tab, text: str) -> None:
    await tab.put_here("bars", int(text) if text.strip().isdigit() else text)


def _others(tab: Tab) -> None:
    state = tab.state(ShapeState)
    if state.alternatives is None or state.alternatives_of != tab.request():
        with tag("div", "acts"):
            button("Work out other ways", lambda: _work_out(tab))
            words("span", "Other fingers, other strokes, and what both hands have to do.", "hint")
        return
    _show_others(tab, state.alternatives)


async def _work_out(tab: Tab) -> None:
    request, state = tab.request(), tab.state(ShapeState)
    state.alternatives = await tab.open_lesson.workers.others.do(alternatives, request)
    state.alternatives_of = request
    tab.draw_room()


def _show_others(tab: Tab, found: Alternatives) -> None:
    with tag("div", "cols"):
        with tag("div"):
            _choices(tab, "Fingers", "fingers", found.fingers)
            _choices(tab, "Strokes", "strokes", found.strokes)
        with tag("div"):
            words("h3", "In the hands")
            for line in found.hands:
                words("p", line, "soft")


def _choices(tab: Tab, title: str, key: str, rows: tuple[tuple[str, str], ...]) -> None:
    """What could stand under ``key`` instead: rows of what it is and its text."""
    words("h3", title)
    roll = tag("div", "scroll", tabindex="0", role="group", aria_label=title)
    with roll, tag("table", "rows"), tag("tbody"):
        for what, text in rows:
            with tag("tr"):
                words("th", what, scope="row")
                words("td", text)
                if tab.entry.kind == "lick":
                    continue
                with tag("td"):
                    button(
                        "Take",
                        partial(tab.put_here, key, text),
                        "slim",
                        aria_label=f"Take {title.lower()}: {what}",
                        data_key=f"take-{key}-{what}",
                    )
