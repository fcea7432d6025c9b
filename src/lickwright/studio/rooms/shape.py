"""Shape: the line itself, its contour, rhythm, strokes and fingers, and every note of it."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING

from lickwright.drawing import printed_symbol
from lickwright.lick import Stroke
from lickwright.neck import FINGER_NAMES
from lickwright.studio.rooms import shaping
from lickwright.studio.session.tags import button, field, select, tag, words, writing
from lickwright.studio.work.slow import Alternatives, alternatives

if TYPE_CHECKING:
    from lickwright.studio.session.tab import Visit

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


def draw(visit: Visit) -> None:
    """The room: the note at hand, the line, other ways to play it."""
    with tag("section", "part", aria_labelledby="shape-note"):
        words("h2", "The note at hand", "label", id="shape-note")
        _note(visit)
    with tag("section", "part", aria_labelledby="shape-line"):
        words("h2", "The line", "label", id="shape-line")
        _line(visit)
    with tag("section", "part", aria_labelledby="shape-other"):
        words("h2", "Other ways to play it", "label", id="shape-other")
        _others(visit)


def _note(visit: Visit) -> None:
    notes = visit.proof.notes
    with tag("div", "acts"):
        button("← Note before", lambda: _step(visit, -1), "slim")
        button("Note after →", lambda: _step(visit, 1), "slim")
        if visit.note is None or visit.note >= len(notes):
            words(
                "p",
                "Click a note of the page, or step to one. On the page itself: arrow keys,"
                " 1 to 4 for a finger, d and u for a stroke, s for another string.",
                "hint",
            )
            return
        note = notes[visit.note]
        where = "open" if note.fret == 0 else f"fret {note.fret}"
        said = [
            f"Note {visit.note + 1}: {printed_symbol(note.pitch)}",
            f"string {note.string}",
            where,
        ]
        if note.degree:
            said.append(f"degree {printed_symbol(note.degree)}")
        if note.finger is not None:
            said.append(FINGER_NAMES[note.finger])
        words("strong", ", ".join(said), aria_live="polite")
    with tag("div", "note-panel"):
        _pins(visit)
        with tag("fieldset"):
            words("legend", "Move it")
            with tag("div", "acts"):
                button("Fret down", lambda: shaping.deed(visit, "lower"), "slim")
                button("Fret up", lambda: shaping.deed(visit, "higher"), "slim")
                button("Other string", lambda: shaping.deed(visit, "string"), "slim")


def _pins(visit: Visit) -> None:
    assert visit.note is not None, "drawn for a chosen note"
    note = visit.proof.notes[visit.note]
    pinned = dict(enumerate(visit.entry.fingers or ())).get(visit.note)
    with tag("fieldset"):
        words("legend", "Pin a finger")
        with tag("div", "acts"):
            for which in (1, 2, 3, 4):
                button(
                    str(which),
                    partial(shaping.finger, visit, which),
                    "slim",
                    aria_pressed=str(pinned == which).lower(),
                    aria_label=f"{which}, {FINGER_NAMES[which]}",
                    data_key=f"finger-{which}",
                )
            button(
                "Free",
                lambda: shaping.finger(visit, None),
                "slim",
                aria_pressed=str(pinned is None).lower(),
            )
    with tag("fieldset"):
        words("legend", "Stroke")
        with tag("div", "acts"):
            for letter, name in STROKES.items():
                button(
                    name.capitalize(),
                    partial(shaping.stroke, visit, Stroke(letter)),
                    "slim",
                    aria_pressed=str(note.stroke == letter).lower(),
                    data_key=f"stroke-{letter}",
                )


async def _step(visit: Visit, by: int) -> None:
    count = len(visit.proof.notes)
    if count:
        at = (0 if by > 0 else count - 1) if visit.note is None else visit.note + by
        await visit.choose_note(max(0, min(count - 1, at)))


def _line(visit: Visit) -> None:
    raw, kind = visit.raw, visit.entry.kind
    with tag("div", "fields"):
        if kind == "triads":
            field(
                "Contour",
                str(raw.get("contour", "")),
                lambda v: visit.put_here("contour", v),
                choices=CONTOURS,
                hint="which way each triad runs; usual: up down",
            )
        if kind != "lick":
            field(
                "Rhythm",
                str(raw.get("rhythm", "")),
                lambda v: visit.put_here("rhythm", v),
                choices=RHYTHMS,
                hint="16ths, 8th triplets, or value by value: q e e",
            )
        if kind == "triads":
            field(
                "Bars",
                str(raw.get("bars", "")),
                lambda v: _put_bars(visit, v),
                hint="how many the line fills",
                inputmode="numeric",
            )
        select("Picking", visit.entry.picking, PICKING, lambda v: visit.put_here("picking", v))
        if kind != "lick":
            field(
                "Strokes",
                str(raw.get("strokes", "")),
                lambda v: visit.put_here("strokes", v),
                hint="D down, U up, repeated; empty: worked out",
            )
            fingers = raw.get("fingers", "")
            shown = " ".join(map(str, fingers)) if isinstance(fingers, list) else str(fingers)
            field(
                "Fingers",
                shown,
                lambda v: visit.put_here("fingers", v),
                hint="one a note, . where it is open; empty: worked out",
            )
            field(
                "Said to imply",
                str(raw.get("implies", "")),
                lambda v: visit.put_here("implies", v),
                hint="a chord; it is checked",
            )
    if kind == "tab":
        writing(
            "Tab",
            str(raw.get("tab", "")),
            lambda v: visit.put_here("tab", v, quiet=True),
            rows=8,
            style="font-family:monospace",
            spellcheck="false",
        )
    else:
        with tag("div", "acts", style="margin-top:0.8rem"):
            button("Write it out as tab", lambda: shaping.write_out(visit), "slim")
            words("span", "So that every note is your own. Moving a note does the same.", "hint")


async def _put_bars(visit: Visit, text: str) -> None:
    await visit.put_here("bars", int(text) if text.strip().isdigit() else text)


def _others(visit: Visit) -> None:
    known = visit.notes_of.get("others")
    if visit.notes_of.get("others-of") != visit.order() or known is None:
        with tag("div", "acts"):
            button("Work out other ways", lambda: _work_out(visit))
            words("span", "Other fingers, other strokes, and what both hands have to do.", "hint")
        return
    _show_others(visit, known)


async def _work_out(visit: Visit) -> None:
    order = visit.order()
    found = await visit.desk.workers.errands.do(alternatives, order)
    visit.notes_of["others"], visit.notes_of["others-of"] = found, order
    visit.draw_room()


def _show_others(visit: Visit, found: Alternatives) -> None:
    with tag("div", "cols"):
        with tag("div"):
            _choices(visit, "Fingers", "fingers", found.fingers)
            _choices(visit, "Strokes", "strokes", found.strokes)
        with tag("div"):
            words("h3", "In the hands")
            for line in found.hands:
                words("p", line, "soft")


def _choices(visit: Visit, title: str, key: str, rows: tuple[tuple[str, str], ...]) -> None:
    """What could stand under ``key`` instead: rows of what it is and its text."""
    words("h3", title)
    roll = tag("div", "scroll", tabindex="0", role="group", aria_label=title)
    with roll, tag("table", "rows"), tag("tbody"):
        for what, text in rows:
            with tag("tr"):
                words("th", what, scope="row")
                words("td", text)
                if visit.entry.kind == "lick":
                    continue
                with tag("td"):
                    button(
                        "Take",
                        partial(visit.put_here, key, text),
                        "slim",
                        aria_label=f"Take {title.lower()}: {what}",
                        data_key=f"take-{key}-{what}",
                    )
