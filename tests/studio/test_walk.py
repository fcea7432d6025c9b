"""The whole job in a real browser: from an empty folder to a built lesson, by hand alone."""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from lickwright.lesson.file.reading import load_lesson

from .conftest import Hand, OwnLesson, Running


def walk(hand: Hand, running: Running) -> Path:
    """A first lesson with three examples, one of them carried over four chords."""
    page = hand.page
    hand.open(running.address)
    hand.write("Title", "Tide Tables")
    hand.click("Begin")
    path = running.folder / "tide-tables.yaml"
    hand.click("F and Am")
    page.locator("button[aria-pressed=true]", has_text="F and Am").wait_for()
    hand.rest()
    hand.click("Put into First pair")
    hand.wait_saved(path, "implies: Dm9")
    hand.click("Up the neck →")
    hand.wait_saved(path, "frets:")
    hand.click("Shape", within=".rooms")
    hand.write("Bars", "1")
    hand.wait_saved(path, "bars: 1")
    page.locator("#music .system svg").first.wait_for()
    hand.click("Note after →")
    page.get_by_text("Note 1:").wait_for()
    hand.click("Find", within=".rooms")
    hand.click("Bass G")
    page.locator(".card .big", has_text="G13sus4").wait_for()
    hand.click("Add as a new example")
    hand.wait_saved(path, "over: G")
    hand.click("Carry", within=".rooms")
    hand.write("Changes", "Dm9 | G13 | Cmaj9 | A7b9")
    hand.click("Carry it")
    hand.wait_saved(path, "changes: Dm9 | G13 | Cmaj9 | A7b9")
    hand.click("Pin this: bar 1")
    hand.wait_saved(path, "pins:")
    hand.click("Hear", within=".rooms")
    hand.click("Play", within="#room")
    page.locator("#play-state", has_text="Playing").wait_for()
    page.locator(".playhead:not([hidden])").first.wait_for()
    page.locator(".spot:not([hidden])").first.wait_for()
    was = page.locator(".playhead:not([hidden])").first.evaluate("line => line.style.left")
    page.wait_for_function(
        "was => [...document.querySelectorAll('.playhead:not([hidden])')]"
        ".some(line => line.style.left !== was)",
        arg=was,
    )
    hand.click("Stop")
    hand.click("Lesson", within=".rooms")
    hand.write("Opening", "Two triads, one **tide**.")
    hand.wait_saved(path, "one **tide**")
    hand.click("Build the lesson")
    page.get_by_text("Built:").wait_for(timeout=120_000)
    return path


def test_a_first_lesson_is_made_and_built_by_hand(
    studio: Callable[..., Running], hand: Callable[..., Hand]
) -> None:
    running = studio()
    teacher = hand()
    path = walk(teacher, running)
    with teacher.page.expect_download() as download:
        teacher.click("Download everything", "link")
    with zipfile.ZipFile(download.value.path()) as archive:
        names = archive.namelist()
    assert "tide-tables/tide-tables.yaml" in names
    assert "tide-tables/lesson.pdf" in names
    assert "tide-tables/index.html" in names
    lesson = load_lesson(path)
    assert [example.kind for example in lesson.examples] == ["triads", "triads", "lick"]
    assert teacher.actions < 60

    # Reopened in a new window, it is as it was left.
    later = hand()
    later.open(f"{running.address}lesson/tide-tables.yaml")
    later.page.get_by_role("heading", name="Tide Tables").wait_for()
    later.click("Lesson", within=".rooms")
    assert later.page.get_by_label("Opening", exact=True).input_value() == (
        "Two triads, one **tide**."
    )

    # Edited outside, it says so and asks.
    text = path.read_text("utf-8")
    path.write_text(text.replace("Tide Tables", "Ebb Tables"), "utf-8")
    later.page.get_by_text("was changed by another program").wait_for()
    assert "Ebb Tables" in path.read_text("utf-8")
    later.click("Take the changes from outside")
    later.page.get_by_role("heading", name="Ebb Tables").wait_for()


def test_no_letter_is_lost_while_it_is_typed(own: OwnLesson, hand: Callable[..., Hand]) -> None:
    teacher = hand()
    teacher.open(own.address)
    teacher.click("Lesson", within=".rooms")
    teacher.page.get_by_label("Keep it in view").click()
    box = teacher.page.get_by_label("Closing", exact=True)
    box.click()
    # Slower than edits are sent, so that the page is drawn anew between the letters.
    text = "Once more from the top, and slowly."
    teacher.page.keyboard.type(text, delay=60)
    teacher.wait_saved(own.path, text)
    assert box.input_value() == text
    assert teacher.page.evaluate("document.activeElement.dataset.key") == "Closing"
    teacher.page.locator(".sheets img").first.wait_for()


def test_a_line_begun_while_the_page_is_engraved_is_kept(
    own: OwnLesson, hand: Callable[..., Hand]
) -> None:
    teacher = hand()
    page = teacher.page
    teacher.open(own.address)
    teacher.click("Shape", within=".rooms")
    page.locator("#music .system svg").first.wait_for()
    page.wait_for_timeout(600)
    page.get_by_label("Contour", exact=True).click()
    page.keyboard.type("up-down")
    page.keyboard.press("Tab")  # tells the contour; the room is drawn anew when its page is there
    page.keyboard.press("Control+A")
    page.keyboard.type("8ths", delay=70)
    page.wait_for_timeout(600)
    page.keyboard.press("Tab")
    text = teacher.wait_saved(own.path, "rhythm: 8ths")
    assert "contour: up-down" in text


@pytest.mark.parametrize("choice", ["Keep what is here"])
def test_keeping_ones_own_loses_nothing_of_the_other(
    studio: Callable[..., Running], hand: Callable[..., Hand], choice: str
) -> None:
    running = studio()
    teacher = hand()
    teacher.open(running.address)
    teacher.write("Title", "Two Hands")
    teacher.click("Begin")
    path = running.folder / "two-hands.yaml"
    teacher.wait_saved(path, "First pair")
    teacher.click("Shape", within=".rooms")
    path.write_text(path.read_text("utf-8") + "closing: from outside\n", "utf-8")
    teacher.page.get_by_text("was changed by another program").wait_for()
    teacher.write("Rhythm", "8ths")
    teacher.page.get_by_text("Kept beside the file").wait_for()
    assert "rhythm" not in path.read_text("utf-8")
    teacher.click(choice)
    own = teacher.wait_saved(path, "rhythm: 8ths")
    assert "from outside" not in own
    beside = [p for p in path.parent.iterdir() if p.is_file() and p != path]
    assert any("from outside" in p.read_text("utf-8") for p in beside)


def test_lessons_are_duplicated_and_renamed(
    studio: Callable[..., Running], hand: Callable[..., Hand], tide: Path
) -> None:
    running = studio(tide.parent)
    teacher, other = hand(), hand()
    teacher.open(f"{running.address}lesson/tide.yaml")
    teacher.click("All lessons", "link")  # the lesson was open a moment ago
    teacher.click("Duplicate tide.yaml")
    teacher.wait_for(lambda: len(list(running.folder.glob("*.yaml"))) == 2, "a second file")

    other.open(f"{running.address}lesson/tide.yaml")
    summary = teacher.page.get_by_label("Rename tide.yaml", exact=True)
    summary.click()
    teacher.write("New name of tide.yaml", "ebb")
    teacher.click("Rename it: tide.yaml")
    teacher.page.get_by_text("is open in another tab").wait_for()
    assert tide.is_file()

    other.click("All lessons", "link")
    text = tide.read_text("utf-8")
    summary.click()
    teacher.write("New name of tide.yaml", "ebb")
    teacher.click("Rename it: tide.yaml")
    renamed = running.folder / "ebb.yaml"
    teacher.wait_for(renamed.is_file, "another name")
    assert renamed.read_text("utf-8") == text
    assert not tide.exists()
