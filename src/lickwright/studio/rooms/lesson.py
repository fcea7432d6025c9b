"""Lesson: the order of the examples, the words, the build."""

from __future__ import annotations

import base64
import dataclasses
from functools import partial
from typing import Any
from urllib.parse import quote

from nicegui import background_tasks, ui

from lickwright.engrave.sheet import markdown_html
from lickwright.errors import LickwrightError
from lickwright.studio.session.offered_keys import KEYS
from lickwright.studio.session.open_lesson import PAGE
from lickwright.studio.session.tab import Tab
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
from lickwright.studio.work.sheet_look import sheet_pages
from lickwright.studio.work.workers import Newest

BACKINGS = (
    *("chords", "drone", "straight", "swing", "shuffle", "half-time", "12/8", "bossa", "funk"),
    *("vamp", "none"),
)
PAPERS = {"a4": "A4", "letter": "US Letter"}
SHEET = "lesson.pdf"


@dataclasses.dataclass(slots=True)
class LessonState:
    """What Lesson shows of one tab beside the file.

    Parameters
    ----------
    shows_sheet : whether the printed sheet is kept in view.
    sheet_box : where it stands since the room was last drawn.
    sheet, sheet_of : its pages as PNG, and the text that they were set from.
    newest_sheet : lets only the last of several requests for a sheet be set.
    built : what came of the last build from this tab.
    build_shown : where a build says how far it is: its words, its bar.
    """

    shows_sheet: bool = False
    sheet_box: ui.element | None = None
    sheet: list[bytes] = dataclasses.field(default_factory=list)
    sheet_of: str | None = None
    newest_sheet: Newest | None = None
    built: BuildResult | None = None
    build_shown: tuple[ui.html, ui.element] | None = None


def draw(tab: Tab) -> None:
    """The room: the title page, the order, the words, the build."""
    with tag("section", "part", aria_labelledby="lesson-build"):
        words("h2", "Build", "label", id="lesson-build")
        _build(tab)
    with tag("section", "part", aria_labelledby="lesson-order"):
        words("h2", "Examples in order", "label", id="lesson-order")
        _order(tab)
    with tag("section", "part", aria_labelledby="lesson-words"):
        words("h2", "Words", "label", id="lesson-words")
        _words(tab)
    with tag("section", "part", aria_labelledby="lesson-sheet"):
        words("h2", "The sheet as it would print", "label", id="lesson-sheet")
        _sheet(tab)
    with tag("section", "part", aria_labelledby="lesson-head"):
        words("h2", "The whole lesson", "label", id="lesson-head")
        _head(tab)
    with tag("section", "part", aria_labelledby="lesson-text"):
        words("h2", "The file itself", "label", id="lesson-text")
        _text(tab)


# --- order ----------------------------------------------------------------------------------------


def _order(tab: Tab) -> None:
    examples = tab.lesson.examples
    with tag("ol", "order"):
        for at, example in enumerate(examples):
            with tag("li"):
                with tag("div", "what"):
                    field(
                        f"Name of example {at + 1}",
                        example.name,
                        partial(_rename, tab, at, example.name),
                        maxlength=80,
                    )
                name = example.name
                with tag("div", "acts"):
                    for text, by in (("Earlier", -1), ("Later", 1)):
                        button(
                            text,
                            partial(_move, tab, name, by),
                            "slim",
                            disabled=not 0 <= at + by < len(examples),
                            aria_label=f"{text}: {name}",
                            data_key=f"{text}-{name}",
                        )
                    button(
                        "Duplicate",
                        partial(_copy, tab, name),
                        "slim",
                        aria_label=f"Duplicate {name}",
                        data_key=f"copy-{name}",
                    )
                    button(
                        "Take out",
                        partial(_take_out, tab, name),
                        "slim",
                        disabled=len(examples) == 1,
                        aria_label=f"Take out {name}",
                        data_key=f"out-{name}",
                    )


# A second hand may come before the first has drawn the list anew: what it means is told by the
# example's name, which stays where it is when examples are moved.


def _place_of(tab: Tab, name: str) -> int | None:
    """Where an example stands by now, ``None`` where there is none of that name any more."""
    names = [example.name for example in tab.lesson.examples]
    return names.index(name) if name in names else None


async def _rename(tab: Tab, at: int, old: str, name: str) -> None:
    here = _place_of(tab, old)
    await tab.edit(lambda d: d.rename_example(at if here is None else here, name))


async def _copy(tab: Tab, name: str) -> None:
    at = _place_of(tab, name)
    if at is not None:
        await tab.edit(lambda d: d.duplicate_example(at))


async def _take_out(tab: Tab, name: str) -> None:
    at = _place_of(tab, name)
    if at is not None:
        await tab.edit(lambda d: d.remove_example(at))


async def _move(tab: Tab, name: str, by: int) -> None:
    at = _place_of(tab, name)
    if at is not None and 0 <= at + by < len(tab.lesson.examples):
        await tab.edit(lambda d: d.move_example(at, at + by))


# --- words ----------------------------------------------------------------------------------------


def _words(tab: Tab) -> None:
    entry = tab.lesson.entry
    _prose(tab, "Opening", entry.text, ("text",))
    for at, example in enumerate(tab.lesson.examples):
        with tag("details", style="margin-top:0.8rem"):
            words("summary", f"{at + 1} {example.name}: before and after the music", "act slim")
            _prose(tab, f"Before {example.name}", example.text, ("examples", at, "text"))
            _prose(tab, f"How to play {example.name}", example.notes, ("examples", at, "notes"))
    _prose(tab, "Closing", entry.closing, ("closing",))


def _prose(tab: Tab, label: str, value: str, keys: tuple[Any, ...]) -> None:
    with tag("div", "cols", style="margin-top:0.8rem"):
        shown: list[ui.html] = []

        async def write(text: str) -> None:
            shown[0].set_content(markdown_html(text, top_heading=3))
            await tab.put(*keys, text, quiet=True)
            if tab.state(LessonState).shows_sheet:
                await _look(tab)

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


def _sheet(tab: Tab) -> None:
    state = tab.state(LessonState)
    tick("Keep it in view", state.shows_sheet, partial(_open_sheet, tab))
    state.sheet_box = tag("div", "sheets")
    _fill_sheet(state)
    if state.shows_sheet and state.sheet_of != tab.open_lesson.text:
        background_tasks.create(_look(tab))


async def _open_sheet(tab: Tab, on: bool) -> None:
    tab.state(LessonState).shows_sheet = on
    tab.draw_room()


async def _look(tab: Tab) -> None:
    """Set the sheet anew; of several in a row only the last is shown."""
    request, state = tab.request(), tab.state(LessonState)
    if state.newest_sheet is None:
        state.newest_sheet = Newest(tab.open_lesson.workers.others)
    try:
        pages = await state.newest_sheet.do(sheet_pages, request)
    except LickwrightError as error:
        tab.tell(str(error))
        return
    if pages is None:
        return
    state.sheet, state.sheet_of = pages, request.text
    _fill_sheet(state)


def _fill_sheet(state: LessonState) -> None:
    box = state.sheet_box
    if box is None:
        return
    box.clear()
    if not state.shows_sheet:
        return
    with box:
        for at, page in enumerate(state.sheet, 1):
            picture = base64.b64encode(page).decode()
            alt = f"Page {at} of {len(state.sheet)}"
            tag("img", src=f"data:image/png;base64,{picture}", alt=alt)
        if not state.sheet:
            words("p", "Setting the sheet.", "soft")


# --- the head -------------------------------------------------------------------------------------


def _head(tab: Tab) -> None:
    entry, raw = tab.lesson.entry, tab.lesson.raw
    with tag("div", "fields"):
        field("Title", entry.lesson, lambda v: tab.put("lesson", v), maxlength=120)
        field(
            "Number",
            "" if entry.number is None else str(entry.number),
            lambda v: tab.put("number", _number(v)),
            inputmode="numeric",
        )
        field("Teacher", entry.teacher, lambda v: tab.put("teacher", v), maxlength=120)
        field("Key", str(raw.get("key", "")), lambda v: tab.put("key", v), choices=KEYS)
        field(
            "Time",
            str(raw.get("time", "4/4")),
            lambda v: tab.put("time", v),
            choices=("4/4", "3/4", "6/8", "5/4", "7/8", "12/8"),
        )
        field(
            "Slow tempo",
            f"{entry.tempo.slow:g}",
            lambda v: _tempo(tab, "slow", v),
            inputmode="decimal",
        )
        field(
            "Full tempo",
            f"{entry.tempo.target:g}",
            lambda v: _tempo(tab, "target", v),
            inputmode="decimal",
        )
        select("Backing", entry.backing, BACKINGS, lambda v: tab.put("backing", v))
        select("Paper", entry.paper, PAPERS, lambda v: tab.put("paper", v))


def _number(text: str) -> int | str:
    return int(text) if text.strip().isdigit() else text


async def _tempo(tab: Tab, which: str, text: str) -> None:
    try:
        value: float | str = float(text)
    except ValueError:
        value = text
    if isinstance(value, float) and value.is_integer():
        value = int(value)
    await tab.put("tempo", which, value)


# --- the build ------------------------------------------------------------------------------------


def _build(tab: Tab) -> None:
    lesson = tab.open_lesson
    with tag("div", "acts"):
        button("Build the lesson", lambda: _run(tab), "main", disabled=lesson.progress is not None)
        said = words("span", "", "state", role="status", id="build-state")
    bar = tag("progress", "progress", aria_label="Build", max="1", value="0")
    bar.set_visibility(lesson.progress is not None)
    state = tab.state(LessonState)
    state.build_shown = (said, bar)
    _show_progress(tab)
    built = state.built
    if built is not None:
        with tag("ul", "faults"):
            for line in built.said:
                with tag("li", "error" if built.failed else "warning"):
                    words("strong", "To mend" if built.failed else "Mind")
                    words("span", line)
    if lesson.is_built:
        name = quote(lesson.name)
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


def _show_progress(tab: Tab) -> None:
    shown, progress = tab.state(LessonState).build_shown, tab.open_lesson.progress
    if progress is None or shown is None:
        return
    said, bar = shown
    done, total, name = progress
    set_words(said, f"{done} of {total}{': ' + name if name else ''}")
    bar.props["value"] = str(done / max(1, total))
    bar.update()


async def _run(tab: Tab) -> None:
    lesson = tab.open_lesson
    if lesson.progress is not None:
        return
    lesson.progress = (0, len(tab.lesson.examples) + 2, "")
    state = tab.state(LessonState)
    state.built = None
    tab.draw_room()

    def told(done: int, total: int, name: str) -> None:
        lesson.progress = (done, total, name)
        _show_progress(tab)

    try:
        out = await at_disk(lambda: lesson.folder.build_place(lesson.name))
        state.built = await build_lesson(lesson.text, lesson.document.path, out, told)
        await lesson.look()
    except LickwrightError as error:
        tab.tell(str(error))
    finally:
        lesson.progress = None
    tab.draw_room()
    if state.built is not None and state.build_shown is not None:
        set_words(
            state.build_shown[0],
            "Something is to be mended first."
            if state.built.failed
            else f"Built: {len(state.built.files)} files.",
        )


# --- the file -------------------------------------------------------------------------------------


def _text(tab: Tab) -> None:
    typed = {"text": tab.open_lesson.text}
    with tag("details"):
        words("summary", "Show and edit its text", "act slim")
        writing(
            "Lesson file (YAML)",
            tab.open_lesson.text,
            lambda v: typed.update(text=v),
            rows=18,
            style="font-family:monospace",
            spellcheck="false",
        )
        with tag("div", "acts", style="margin-top:0.6rem"):
            button("Use this text", lambda: tab.edit(lambda d: d.replace_text(typed["text"])))
            words("span", "Comments stay where they are.", "hint")
