"""A page that is drawn anew, or loses its connection, while a hand is at work on it."""

from __future__ import annotations

import asyncio
from collections.abc import Callable, Coroutine
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any, cast

import pytest

from lickwright.lesson.edit.document import LessonDocument
from lickwright.lesson.file.reading import load_lesson
from lickwright.studio.rooms.shape_acts import change_note
from lickwright.studio.server.folder import Folder
from lickwright.studio.session.open_lesson import OpenLesson, Workers
from lickwright.studio.session.tab import Tab
from lickwright.studio.work.workers import Worker

from .conftest import Hand, OwnLesson

PRESSES = 20
#: Another window in which a word of the lesson changes all the time: every window is drawn anew.
#: A word waits until the one before it was drawn, or a slow machine would only pile them up.
RESTLESS = """(box) => {
  let count = 0, drawn = true;
  new MutationObserver(() => { drawn = true; })
    .observe(document.getElementById('room'), { childList: true, subtree: true });
  window.restless = setInterval(() => {
    if (!drawn) return;
    drawn = false;
    box = document.querySelector('[data-key="Teacher"]') || box;
    box.value = `Saltmarsh ${count++ % 7}`;
    box.dispatchEvent(new Event('change', { bubbles: true }));
  }, 70);
}"""


@pytest.fixture
def restless(own: OwnLesson, hand: Callable[..., Hand]) -> tuple[Any, Path]:
    """A page in the Lesson room that is drawn anew several times a second."""
    pages = []
    for _ in range(2):
        teacher = hand()
        teacher.open(own.address)
        teacher.click("Lesson", within=".rooms")
        teacher.page.get_by_label("Teacher", exact=True).wait_for()
        pages.append(teacher.page)
    pages[1].get_by_label("Teacher", exact=True).evaluate(RESTLESS)
    pages[0].evaluate(
        """() => {
          window.drawn = 0;
          window.held = 0; // how often a hand took hold of a button that was there to be pressed
          const hold = (e) => {
            const here = e.target.closest('[data-key^="copy-"]');
            if (here && (e.type === 'pointerdown' || !e.repeat)) window.held += 1;
          };
          document.addEventListener('pointerdown', hold, true);
          document.addEventListener('keydown', hold, true);
          new MutationObserver(() => { window.drawn += 1; })
            .observe(document.getElementById('room'), { childList: true, subtree: true });
        }"""
    )
    return pages[0], own.path


def _rest(page: Any, press: int) -> None:
    """Wait a moment, and now and then until the page was drawn anew, however slow the machine."""
    page.wait_for_timeout(40 + 7 * press)
    if press % 4 == 3:
        drawn = page.evaluate("window.drawn")
        page.wait_for_function("before => window.drawn > before", arg=drawn)


def _copies(path: Path, page: Any, wanted: int) -> int:
    """How many examples there are, once there are as many as wanted or nothing more comes."""
    count, still = 0, 0
    while still < 100:
        now = len(load_lesson(path).examples)
        still = 0 if now != count else still + (10 if now >= wanted else 1)
        count = now
        page.wait_for_timeout(100)
    return count


def test_every_press_of_the_mouse_counts(restless: tuple[Any, Path]) -> None:
    page, path = restless
    before = len(load_lesson(path).examples)
    x, y = page.evaluate(
        """() => {
          const box = document.querySelector('[data-key^="copy-"]').getBoundingClientRect();
          return [box.x + box.width / 2, box.y + box.height / 2];
        }"""
    )
    page.mouse.move(x, y)
    for press in range(PRESSES):
        page.mouse.down()
        page.wait_for_timeout(11 * (press % 9))  # as long as hands hold a button
        page.mouse.up()
        _rest(page, press)
    assert page.evaluate("window.held") == PRESSES, "there was not always something to press"
    assert _copies(path, page, before + PRESSES) - before == PRESSES


@pytest.mark.parametrize("key", ["Enter", " "])
def test_every_stroke_of_a_key_counts(restless: tuple[Any, Path], key: str) -> None:
    page, path = restless
    before = len(load_lesson(path).examples)
    page.locator('[data-key^="copy-"]').first.focus()
    for press in range(PRESSES):
        page.keyboard.down(key)
        page.wait_for_timeout(11 * (press % 9))
        page.keyboard.up(key)
        _rest(page, press)
    assert page.evaluate("window.held") == PRESSES, "there was not always something to press"
    assert _copies(path, page, before + PRESSES) - before == PRESSES


def test_a_line_that_is_being_typed_is_not_lost(restless: tuple[Any, Path]) -> None:
    page, path = restless
    box = page.get_by_label("Name of example 1", exact=True)
    box.click()
    page.keyboard.press("Control+A")
    for letter in "The quiet harbour at night":
        page.keyboard.type(letter)
        page.wait_for_timeout(60)
    page.keyboard.press("Enter")
    for _ in range(100):
        if load_lesson(path).examples[0].name == "The quiet harbour at night":
            return
        page.wait_for_timeout(50)
    pytest.fail(f"it is called {load_lesson(path).examples[0].name!r}")


#: The wire drops what is said to the studio, or what the studio answers, while it is told to.
DROP = """(what) => {
  window.dropped = 0;
  const { socket, lickwrightWire } = window;
  const { emit } = socket, { heard } = lickwrightWire;
  socket.emit = (name, ...said) => {
    if (window.drops === "said" && name === "event") { window.dropped += 1; return socket; }
    return emit.call(socket, name, ...said);
  };
  lickwrightWire.heard = (number) => {
    if (window.drops === "answers") window.dropped += 1;
    else heard(number);
  };
}"""


@pytest.fixture
def lesson_room(own: OwnLesson, hand: Callable[..., Hand]) -> tuple[Hand, Path]:
    teacher = hand()
    teacher.open(own.address)
    teacher.click("Lesson", within=".rooms")
    return teacher, own.path


@pytest.mark.parametrize("what", ["said", "answers"])
@pytest.mark.parametrize("goes_on", [True, False])
def test_what_the_wire_drops_is_told_again_and_done_once(
    lesson_room: tuple[Hand, Path], what: str, goes_on: bool
) -> None:
    teacher, path = lesson_room
    page = teacher.page
    page.evaluate(DROP)
    page.evaluate("what => { window.drops = what; }", what)
    teacher.click("Later: The pair")
    teacher.click("Duplicate The pair")
    page.wait_for_function("window.dropped >= 2")
    page.evaluate("window.drops = null")
    if goes_on:
        teacher.click("Duplicate The pair")
    wanted = [False, *[True] * (3 if goes_on else 2), False]
    teacher.wait_for(lambda: len(load_lesson(path).examples) == len(wanted), "more examples")
    page.wait_for_timeout(3000)  # long enough for all of it to be told again, were it not known
    names = [example.name for example in load_lesson(path).examples]
    assert [name.startswith("The pair") for name in names] == wanted


def test_a_connection_that_breaks_loses_nothing(lesson_room: tuple[Hand, Path]) -> None:
    teacher, path = lesson_room
    page = teacher.page
    page.evaluate("window.stays = 'this very page'")
    page.evaluate("window.socket.io.engine.close()")
    for _ in range(3):
        page.get_by_role("button", name="Duplicate The pair", exact=True).click(force=True)
    teacher.wait_for(lambda: len(load_lesson(path).examples) == 6, "three more examples")
    page.locator('[data-key^="copy-"]').nth(5).wait_for()
    assert page.evaluate("window.stays") == "this very page"


def test_a_window_that_was_away_draws_what_it_missed(
    own: OwnLesson, hand: Callable[..., Hand]
) -> None:
    away, other = hand(), hand()
    for each in (away, other):
        each.open(own.address)
        each.click("Lesson", within=".rooms")
    away.page.evaluate(
        """() => {
          window.stays = "this very page";
          window.socket.io.skipReconnect = true;
          window.socket.io.engine.close();
        }"""
    )
    other.click("Duplicate The pair")
    other.page.locator('[data-key^="copy-"]').nth(3).wait_for()
    assert away.page.locator('[data-key^="copy-"]').count() == 3
    away.page.evaluate(
        """() => {
          window.socket.io.skipReconnect = false;
          window.socket.io.reconnect();
        }"""
    )
    away.page.locator('[data-key^="copy-"]').nth(3).wait_for()
    assert away.page.evaluate("window.stays") == "this very page"


def test_a_room_may_be_left_while_it_begins_to_sound(lesson_room: tuple[Hand, Path]) -> None:
    teacher, _ = lesson_room
    page = teacher.page
    teacher.click("Hear", within=".rooms")
    page.locator("#play-state").wait_for()
    page.evaluate(
        """() => {
          document.querySelector('#room [data-key="Play"]').click();
          document.querySelector('[data-key="room-0"]').click();
        }"""
    )
    page.locator("#play-state").wait_for(state="detached")
    page.evaluate("lickwright.say('Tuning up.')")  # where it comes late; an error fails the test
    teacher.rest()


@pytest.fixture
def unseen(tide: Path, monkeypatch: pytest.MonkeyPatch) -> Tab:
    """A tab without a page."""

    async def show(_: Tab) -> None:
        pass

    for name in ("tell", "js", "draw"):
        monkeypatch.setattr(Tab, name, lambda *_: None)
    monkeypatch.setattr(Tab, "show", show)
    workers = Workers(cast(Worker, None), cast(Worker, None))  # nothing is ordered of them
    return Tab(
        OpenLesson(Folder(tide.parent), tide.name, LessonDocument.open(tide), workers), (), str
    )


def run(deed: Coroutine[Any, Any, None]) -> None:
    """Do it beside the loop in which the browser's driver runs."""
    with ThreadPoolExecutor(1) as pool:
        pool.submit(asyncio.run, deed).result()


def test_an_example_that_went_meanwhile_is_not_looked_at(unseen: Tab) -> None:
    run(unseen.look_at(7))
    assert unseen.entry.name == "Over the changes"


@pytest.mark.parametrize("note", [-1, 0, 5])
def test_a_note_that_is_not_there_is_left_alone(unseen: Tab, note: int) -> None:
    before = unseen.open_lesson.text
    unseen.note = note
    run(change_note(unseen, "higher"))
    assert unseen.open_lesson.text == before


def test_what_cannot_be_done_is_said_on_the_page(own: OwnLesson, hand: Callable[..., Hand]) -> None:
    teacher = hand()
    teacher.open(own.address)
    teacher.click("Shape", within=".rooms")
    teacher.write("Bars", "1")
    teacher.write("Fingers", " ".join(["1"] * 90))
    teacher.page.locator(".faults .error").wait_for()
    teacher.click("Write it out as tab")
    teacher.page.locator(".alert", has_text="90 fingers").wait_for()
