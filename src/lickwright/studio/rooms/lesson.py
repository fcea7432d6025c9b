"""Lesson: the order of the examples, the words, the build."""

from __future__ import annotations

import base64
from functools import partial
from typing import TYPE_CHECKING, Any
from urllib.parse import quote

from nicegui import background_tasks, ui

from lickwright.engrave.sheet import markdown_html
from lickwright.errors import LickwrightError
from lickwright.studio.rooms.lessons import KEYS
from lickwright.studio.session.open_lesson import PAGE
from lickwright.studio.session.tags import (
    button,
    field,
    markup,
    select,
    set_words,
    tag,
    tick,
    words,
    writing,
)
from lickwright.studio.work.building import BuildResult, build_lesson
from lickwright.studio.work.disk import at_disk
from lickwright.studio.work.slow import sheet_pages
from lickwright.studio.work.workers import Newest

if TYPE_CHECKING:
    from lickwright.studio.session.tab import Visit

BACKINGS = ("chords", "drone", "straight", "shuffle", "half-time", "vamp", "none")
PAPERS = {"a4": "A4", "letter": "US Letter"}
SHEET = "lesson.pdf"


def draw(visit: Visit) -> None:
    """The room: the title page, the order, the words, the build."""
    with tag("section", "part", aria_labelledby="lesson-build"):
        words("h2", "Build", "label", id="lesson-build")
        _build(visit)
    with tag("section", "part", aria_labelledby="lesson-order"):
        words("h2", "Examples in order", "label", id="lesson-order")
        _order(visit)
    with tag("section", "part", aria_labelledby="lesson-words"):
        words("h2", "Words", "label", id="lesson-words")
        _words(visit)
    with tag("section", "part", aria_labelledby="lesson-sheet"):
        words("h2", "The sheet as it would print", "label", id="lesson-sheet")
        _sheet(visit)
    with tag("section", "part", aria_labelledby="lesson-head"):
        words("h2", "The whole lesson", "label", id="lesson-head")
        _head(visit)
    with tag("section", "part", aria_labelledby="lesson-text"):
        words("h2", "The file itself", "label", id="lesson-text")
        _text(visit)


# --- order ----------------------------------------------------------------------------------------


def _order(visit: Visit) -> None:
    examples = visit.lesson.examples
    with tag("ol", "order"):
        for at, example in enumerate(examples):
            with tag("li"):
                with tag("div", "what"):
                    field(
                        f"Name of example {at + 1}",
                        example.name,
                        partial(_rename, visit, at),
                        maxlength=80,
                    )
                name = example.name
                with tag("div", "acts"):
                    for text, to in (("Earlier", at - 1), ("Later", at + 1)):
                        button(
                            text,
                            partial(_move, visit, at, to),
                            "slim",
                            disabled=not 0 <= to < len(examples),
                            aria_label=f"{text}: {name}",
                            data_key=f"{text}-{name}",
                        )
                    button(
                        "Duplicate",
                        partial(_copy, visit, at),
                        "slim",
                        aria_label=f"Duplicate {name}",
                        data_key=f"copy-{name}",
                    )
                    button(
                        "Take out",
                        partial(_take_out, visit, at),
                        "slim",
                        disabled=len(examples) == 1,
                        aria_label=f"Take out {name}",
                        data_key=f"out-{name}",
                    )


async def _rename(visit: Visit, at: int, name: str) -> None:
    await visit.edit(lambda d: d.rename_example(at, name))


async def _copy(visit: Visit, at: int) -> None:
    await visit.edit(lambda d: d.duplicate_example(at))


async def _take_out(visit: Visit, at: int) -> None:
    await visit.edit(lambda d: d.remove_example(at))


async def _move(visit: Visit, at: int, to: int) -> None:
    await visit.edit(lambda d: d.move_example(at, to))


# --- words ----------------------------------------------------------------------------------------


def _words(visit: Visit) -> None:
    entry = visit.lesson.entry
    _prose(visit, "Opening", entry.text, ("text",))
    for at, example in enumerate(visit.lesson.examples):
        with tag("details", style="margin-top:0.8rem"):
            words("summary", f"{at + 1} {example.name}: before and after the music", "act slim")
            _prose(visit, f"Before {example.name}", example.text, ("examples", at, "text"))
            _prose(visit, f"How to play {example.name}", example.notes, ("examples", at, "notes"))
    _prose(visit, "Closing", entry.closing, ("closing",))


def _prose(visit: Visit, label: str, value: str, keys: tuple[Any, ...]) -> None:
    with tag("div", "cols", style="margin-top:0.8rem"):
        shown: list[ui.html] = []

        async def write(text: str) -> None:
            shown[0].set_content(markdown_html(text, top_heading=3))
            await visit.put(*keys, text, quiet=True)
            if visit.notes_of.get("sheet-open"):
                await _look(visit)

        writing(label, value, write, rows=6)
        with tag("div", "field long"):
            words("span", "As it reads", "hint")
            shown.append(
                markup(
                    markdown_html(value, top_heading=3),
                    "preview words",
                    aria_label=f"{label}, as it reads",
                    role="group",
                )
            )


# --- the sheet ------------------------------------------------------------------------------------


def _sheet(visit: Visit) -> None:
    tick("Keep it in view", bool(visit.notes_of.get("sheet-open")), partial(_open_sheet, visit))
    visit.notes_of["sheet-box"] = tag("div", "sheets")
    _fill_sheet(visit)
    if visit.notes_of.get("sheet-open") and visit.notes_of.get("sheet-of") != visit.desk.text:
        background_tasks.create(_look(visit))


async def _open_sheet(visit: Visit, on: bool) -> None:
    visit.notes_of["sheet-open"] = on
    visit.draw_room()


async def _look(visit: Visit) -> None:
    """Set the sheet anew; of several in a row only the last is shown."""
    order = visit.order()
    newest: Newest = visit.notes_of.setdefault("sheets", Newest(visit.desk.workers.errands))
    try:
        pages = await newest.do(sheet_pages, order)
    except LickwrightError as error:
        visit.tell(str(error))
        return
    if pages is None:
        return
    visit.notes_of["sheet"], visit.notes_of["sheet-of"] = pages, order.text
    _fill_sheet(visit)


def _fill_sheet(visit: Visit) -> None:
    box: ui.element = visit.notes_of["sheet-box"]
    box.clear()
    if not visit.notes_of.get("sheet-open"):
        return
    pages: list[bytes] = visit.notes_of.get("sheet", [])
    with box:
        for at, page in enumerate(pages, 1):
            picture = base64.b64encode(page).decode()
            tag("img", src=f"data:image/png;base64,{picture}", alt=f"Page {at} of {len(pages)}")
        if not pages:
            words("p", "Setting the sheet.", "soft")


# --- the head -------------------------------------------------------------------------------------


def _head(visit: Visit) -> None:
    entry, raw = visit.lesson.entry, visit.lesson.raw
    with tag("div", "fields"):
        field("Title", entry.lesson, lambda v: visit.put("lesson", v), maxlength=120)
        field(
            "Number",
            "" if entry.number is None else str(entry.number),
            lambda v: visit.put("number", _number(v)),
            inputmode="numeric",
        )
        field("Teacher", entry.teacher, lambda v: visit.put("teacher", v), maxlength=120)
        field("Key", str(raw.get("key", "")), lambda v: visit.put("key", v), choices=KEYS)
        field(
            "Time",
            str(raw.get("time", "4/4")),
            lambda v: visit.put("time", v),
            choices=("4/4", "3/4", "6/8", "5/4", "7/8", "12/8"),
        )
        field(
            "Slow tempo",
            f"{entry.tempo.slow:g}",
            lambda v: _tempo(visit, "slow", v),
            inputmode="decimal",
        )
        field(
            "Full tempo",
            f"{entry.tempo.target:g}",
            lambda v: _tempo(visit, "target", v),
            inputmode="decimal",
        )
        select("Backing", entry.backing, BACKINGS, lambda v: visit.put("backing", v))
        select("Paper", entry.paper, PAPERS, lambda v: visit.put("paper", v))


def _number(text: str) -> int | str:
    return int(text) if text.strip().isdigit() else text


async def _tempo(visit: Visit, which: str, text: str) -> None:
    try:
        value: float | str = float(text)
    except ValueError:
        value = text
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    await visit.put("tempo", which, value)


# --- the build ------------------------------------------------------------------------------------


def _build(visit: Visit) -> None:
    desk = visit.desk
    with tag("div", "acts"):
        button("Build the lesson", lambda: _run(visit), "main", disabled=desk.progress is not None)
        said = words("span", "", "state", role="status", id="build-state")
    bar = tag("progress", "progress", aria_label="Build", max="1", value="0")
    bar.set_visibility(desk.progress is not None)
    visit.notes_of["build-shown"] = (said, bar)
    _show_progress(visit)
    built: BuildResult | None = visit.notes_of.get("built")
    if built is not None:
        with tag("ul", "faults"):
            for line in built.said:
                with tag("li", "error" if built.failed else "warning"):
                    words("strong", "To mend" if built.failed else "Mind")
                    words("span", line)
    if desk.is_built:
        name = quote(desk.name)
        with tag("p", "acts", style="margin-top:0.8rem"):
            words(
                "a",
                "Look and listen",
                "act",
                href=f"/built/{name}/{PAGE}",
                target="_blank",
                data_key="look",
            )
            words(
                "a",
                "The printed sheet",
                "act",
                href=f"/built/{name}/{SHEET}",
                target="_blank",
                data_key="sheet",
            )
            words("a", "Download everything", "act", href=f"/download/{name}", data_key="download")


def _show_progress(visit: Visit) -> None:
    said, bar = visit.notes_of["build-shown"]
    progress = visit.desk.progress
    if progress is None:
        return
    done, total, name = progress
    set_words(said, f"{done} of {total}{': ' + name if name else ''}")
    bar.props["value"] = str(done / max(1, total))
    bar.update()


async def _run(visit: Visit) -> None:
    desk = visit.desk
    if desk.progress is not None:
        return
    desk.progress = (0, len(visit.lesson.examples) + 2, "")
    visit.notes_of.pop("built", None)
    visit.draw_room()

    def told(done: int, total: int, name: str) -> None:
        desk.progress = (done, total, name)
        _show_progress(visit)

    try:
        out = await at_disk(lambda: desk.folder.build_place(desk.name))
        visit.notes_of["built"] = await build_lesson(desk.text, desk.document.path, out, told)
        await desk.look()
    except LickwrightError as error:
        visit.tell(str(error))
    finally:
        desk.progress = None
    visit.draw_room()
    said, _ = visit.notes_of["build-shown"]
    built: BuildResult | None = visit.notes_of.get("built")
    if built is not None:
        set_words(
            said,
            "Something is to be mended first."
            if built.failed
            else f"Built: {len(built.files)} files.",
        )


# --- the file -------------------------------------------------------------------------------------


def _text(visit: Visit) -> None:
    typed = {"text": visit.desk.text}
    with tag("details"):
        words("summary", "Show and edit its text", "act slim")
        writing(
            "Lesson file (YAML)",
            visit.desk.text,
            lambda v: typed.update(text=v),
            rows=18,
            style="font-family:monospace",
            spellcheck="false",
        )
        with tag("div", "acts", style="margin-top:0.6rem"):
            button("Use this text", lambda: visit.edit(lambda d: d.replace_text(typed["text"])))
            words("span", "Comments stay where they are.", "hint")
