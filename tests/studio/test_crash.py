"""A studio killed in the middle of edits loses nothing that it said was saved."""

from __future__ import annotations

import os
import random
from collections.abc import Callable
from pathlib import Path

from lickwright.lesson.file.reading import load_lesson

from .conftest import Hand, Running

#: How many times it is killed; more for a long look: LICKWRIGHT_KILLS=100.
KILLS = int(os.environ.get("LICKWRIGHT_KILLS", "3"))

#: Edits the number of the lesson again and again, and keeps what was sent and what was shown.
EDIT = """() => {
  window.sent = 0; window.shown = 0;
  const heading = document.querySelector('h1');
  const step = () => {
    const box = document.querySelector('[data-key="Title"]');
    if (!box) { setTimeout(step, 5); return; }
    window.sent += 1;
    box.value = 'Title ' + window.sent;
    box.dispatchEvent(new Event('change', {bubbles: true}));
  };
  new MutationObserver(() => {
    const found = /^Title (\\d+)$/.exec(heading.textContent);
    if (found && Number(found[1]) === window.sent) { window.shown = window.sent; step(); }
  }).observe(heading, {childList: true, subtree: true, characterData: true});
  step();
}"""


def test_killed_at_any_moment_it_has_what_it_showed(
    studio: Callable[..., Running], hand: Callable[..., Hand], tide: Path
) -> None:
    moments = random.Random(7)
    comment = "# kept by hand"
    teacher = hand()
    page = teacher.page
    most = 0
    for _ in range(KILLS):
        running = studio(tide.parent)
        teacher.open(f"{running.address}lesson/tide.yaml")
        page.get_by_role("button", name="Lesson", exact=True).click()
        page.locator('[data-key="Title"]').wait_for()
        page.evaluate(EDIT)
        page.wait_for_timeout(moments.uniform(40.0, 900.0))
        shown = page.evaluate("window.shown")
        running.kill()
        sent = page.evaluate("window.sent")
        title = load_lesson(tide).entry.lesson
        number = int(title.removeprefix("Title ")) if title.startswith("Title ") else 0
        assert shown <= number <= sent or (shown == 0 and number <= most)
        assert comment in tide.read_text("utf-8")
        most = max(most, number)
    assert most > 0
    assert not list(tide.parent.glob("*.tmp")), "nothing half-written is left in sight"
