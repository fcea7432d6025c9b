"""The first page: the lessons of the folder, and a new one."""

from __future__ import annotations

import os
import re
from collections.abc import Callable
from typing import Any
from urllib.parse import quote

from nicegui import ui

from lickwright.errors import LessonError, LickwrightError
from lickwright.files import write_new
from lickwright.lesson.edit import (
    LessonDocument,
    LessonFile,
    duplicate_lesson,
    list_lessons,
    rename_lesson,
)
from lickwright.lesson.file import MAX_BYTES, decode_lesson, read_lesson
from lickwright.publish import CAUTIONS
from lickwright.studio.server.folder import Folder
from lickwright.studio.server.log_out import draw_log_out
from lickwright.studio.session.offered_keys import KEYS
from lickwright.studio.session.shared import Studio
from lickwright.studio.session.tags import button, field, form, markup, set_words, tag, words
from lickwright.studio.work.disk import PAGE_S, at_disk
from lickwright.theory import Key, parse_key
from lickwright.theory.finding import pairs_in

_BRING = (
    '<form method="post" action="/bring" enctype="multipart/form-data" class="acts">'
    '<div class="field"><label for="bring-file">A YAML file, up to 1 MB</label>'
    '<input id="bring-file" type="file" name="file" accept=".yaml,.yml" required></div>'
    '<button class="act">Bring it in</button></form>'
)


async def look(folder: Folder) -> list[LessonFile] | LickwrightError:
    """The lessons of the folder, or why they cannot be listed."""
    try:
        return await at_disk(lambda: list_lessons(folder.root), within_s=PAGE_S)
    except LickwrightError as error:
        return error


def draw(studio: Studio, found: list[LessonFile] | LickwrightError) -> None:
    """Lay the page out."""
    with tag("main", "desk"):
        with tag("header", "top"):
            with tag("div", "name"):
                words("p", "Lickwright studio", "label")
                words("h1", "Lessons")
                words("p", f"In {studio.folder.root.name}", "soft")
            with tag("div", "acts"):
                draw_log_out()
        alert = words("p", "", "alert", role="alert")
        with tag("div", "room"):
            with tag("section", "part", aria_labelledby="shelf-new"):
                words("h2", "Begin a lesson", "label", id="shelf-new")
                _new(studio, alert)
            with tag("section", "part", aria_labelledby="shelf-all"):
                words("h2", "In this folder", "label", id="shelf-all")
                box = tag("div")
                _fill(studio, found, box, alert)
            with tag("section", "part", aria_labelledby="shelf-bring"):
                words("h2", "Bring a lesson file", "label", id="shelf-bring")
                markup(_BRING)
            with tag("aside", "care", aria_label="Practice and care"):
                for caution in CAUTIONS:
                    words("p", caution)


def _new(studio: Studio, alert: ui.html) -> None:
    typed = {"title": "", "key": "D dorian"}

    async def begin(sent: list[str]) -> None:
        # Enter in a field sends the form before the field's own change is told.
        typed.update(title=sent[0], key=sent[1])
        try:
            name = await at_disk(lambda: begin_lesson(studio.folder, typed["title"], typed["key"]))
        except LickwrightError as error:
            set_words(alert, str(error))
            return
        ui.navigate.to(f"/lesson/{quote(name)}")

    with form("new-lesson", begin):
        field("Title", "", lambda v: typed.update(title=v), required=True, maxlength=120)
        field(
            "Key",
            typed["key"],
            lambda v: typed.update(key=v),
            choices=KEYS,
            hint="a tonic and a mode",
        )
        with tag("div", "field"):
            words("span", "\u00a0", "hint", aria_hidden="true")
            words("button", "Begin", "act main", type="submit", data_key="begin")


def begin_lesson(folder: Folder, title: str, key: str) -> str:
    """A new lesson file with one example to start from; its name.

    Raises
    ------
    LickwrightError
        For a key that cannot be read, or a title that makes no file name.
    """
    stem = re.sub(r"[^\w]+", "-", title.lower()).strip("-_")[:60] or "lesson"
    name, number = f"{stem}.yaml", 2
    while os.path.lexists(folder.lesson(name)):
        name, number = f"{stem}-{number}.yaml", number + 1
    LessonDocument.create(folder.lesson(name), title=title, key=key, examples=[first_example(key)])
    return name


def first_example(key: str) -> dict[str, Any]:
    """The pair of the key that says most surely a chord on its tonic."""
    in_key: Key = parse_key(key)
    pairs = pairs_in(in_key, sharing=2)
    if not pairs:
        raise LessonError(
            f"{in_key} holds no two triads", mend="Choose a mode with more notes, such as dorian"
        )
    best = max(pairs, key=lambda pair: (pair.reading.strength, -pair.step_semitones))
    example: dict[str, Any] = {
        "name": "First pair",
        "triads": [str(best.first), str(best.second)],
        "over": str(in_key.tonic),
    }
    if best.reading.symbol:
        example["implies"] = best.reading.symbol
    return example


def _fill(
    studio: Studio,
    found: list[LessonFile] | LickwrightError,
    box: ui.element,
    alert: ui.html,
) -> None:
    box.clear()
    with box:
        if isinstance(found, LickwrightError):
            words("p", str(found))
            return
        if not found:
            words("p", "No lesson yet.", "soft")
        with tag("ul", "shelf"):
            for lesson in found:
                with tag("li"):
                    _row(studio, lesson, box, alert)


def _row(studio: Studio, lesson: LessonFile, box: ui.element, alert: ui.html) -> None:
    async def attempt(act: Callable[[], object]) -> None:
        try:
            await at_disk(act)
            set_words(alert, "")
        except LickwrightError as error:
            set_words(alert, str(error))
        _fill(studio, await look(studio.folder), box, alert)

    title = lesson.title or lesson.name
    with tag("div", "what"):
        words("a", title, href=f"/lesson/{quote(lesson.name)}")
        words("p", lesson.name + (", with edits that wait" if lesson.has_draft else ""), "soft")
    with tag("div", "acts"):
        button(
            "Duplicate",
            lambda: attempt(lambda: duplicate_lesson(studio.folder.root, lesson.name)),
            "slim",
            aria_label=f"Duplicate {lesson.name}",
            data_key=f"duplicate-{lesson.name}",
        )
        renamed = {"name": lesson.name}
        with tag("details"):
            words("summary", "Rename", "act slim", aria_label=f"Rename {lesson.name}")
            with tag("div", "acts"):
                field(
                    "New name",
                    lesson.name,
                    lambda v: renamed.update(name=v),
                    aria_label=f"New name of {lesson.name}",
                )
                button(
                    "Rename it",
                    lambda: attempt(lambda: _rename(studio, lesson.name, renamed["name"])),
                    "slim",
                    aria_label=f"Rename it: {lesson.name}",
                )


def _rename(studio: Studio, name: str, new: str) -> None:
    if studio.is_open(name):
        raise LessonError(f"{name} is open in another tab", mend="Close it there first")
    left = studio.open_lessons.pop(name, None)
    if left is not None:
        left.document.close()  # its tab was left: what waits beside the file goes with the file
    rename_lesson(studio.folder.root, name, new if "." in new else f"{new}.yaml")


def draw_unreadable(error: LickwrightError) -> None:
    """A lesson that cannot be opened: why, and the way back."""
    with tag("main", "desk"):
        words("h1", "This lesson cannot be opened")
        words("p", str(error), role="alert")
        words("a", "All lessons", href="/")


def take_in(folder: Folder, name: str, data: bytes) -> str:
    """Write a lesson file that was sent, under its own name or the next free one; its name.

    Raises
    ------
    LickwrightError
        For a name that is none, a file that is too large or no lesson.
    """
    name = re.split(r"[/\\]", name)[-1]
    path = folder.lesson(name)
    if len(data) > MAX_BYTES:
        raise LessonError("the file is larger than a lesson can be (1 MB)", mend="Split it")
    read_lesson(decode_lesson(data, path), path)
    number = 2
    while os.path.lexists(path):
        path = folder.lesson(f"{path.stem.removesuffix(f'-{number - 1}')}-{number}.yaml")
        number += 1
    write_new(path, data)
    return path.name
