"""A page that is drawn anew, again and again, while a hand is at work on it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from lickwright.lesson.read import load_lesson

from .conftest import Hand, Running

PRESSES = 20
#: All of them come through on a quiet machine, and 14 to 18 of 20 at a load of 5 on two cores, why
#: is not known yet; before presses were told by name it was 2 to 4 of 20 on a quiet one.
MOST = 0.5
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
def restless(
    studio: Callable[..., Running], hand: Callable[..., Hand], tide: Path
) -> tuple[Any, Path]:
    """A page in the Lesson room that is drawn anew several times a second."""
    running = studio(tide.parent)
    pages = []
    for _ in range(2):
        teacher = hand()
        teacher.open(running.address + "lesson/tide.yaml")
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
    return pages[0], tide


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
    box = page.locator('[data-key^="copy-"]').first.bounding_box()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    for press in range(PRESSES):
        page.mouse.down()
        page.wait_for_timeout(11 * (press % 9))  # as long as hands hold a button
        page.mouse.up()
        _rest(page, press)
    held = page.evaluate("window.held")
    assert held > PRESSES / 4, "there was hardly ever anything to press"
    assert held * MOST < _copies(path, page, before + held) - before <= held


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
    held = page.evaluate("window.held")
    assert held > PRESSES / 4, "there was hardly ever anything to press"
    assert held * MOST < _copies(path, page, before + held) - before <= held


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
