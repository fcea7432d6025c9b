"""Does the studio hold out?  A restless hand presses whatever there is, for many minutes.

    python bench/studio_soak.py [--minutes 10] [--seed 1]

Two windows on one lesson press buttons, strike keys and write into boxes at random.  Now and then
the file is read back, which must be a lesson; the memory of the studio's processes is written down
with the time that a press takes to be answered.  An error in the browser, a traceback, a page that
no longer answers or a file that is no lesson ends the run.
"""

from __future__ import annotations

import argparse
import random
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

from playwright.sync_api import sync_playwright

sys.path.insert(0, str(Path(__file__).parents[1]))

from lickwright.lesson.file.reading import load_lesson

#: What is never pressed: it leaves the page, or takes minutes.
LEFT_ALONE = ("Build the lesson", "Download", "All lessons")
#: A lesson is kept about this long, or every press would take longer than the one before.
MOST_EXAMPLES = 8
WORDS = (
    "Dm9",
    "Cmaj9",
    "G13",
    "F",
    "Am",
    "E7#9",
    "1-4",
    "7-12",
    "16ths",
    "8th triplets",
    "up down",
)
#: One press of a random thing in the page; what it was.
PRESS = """([number, left]) => {
  const all = Array.from(document.querySelectorAll('button[data-act]')).filter((b) =>
    !b.disabled && b.offsetParent && !left.some((words) => b.textContent.includes(words)));
  if (!all.length) return '';
  const one = all[Math.floor(number * all.length)];
  one.click();
  return one.getAttribute('aria-label') || one.textContent;
}"""
WRITE = """([number, words]) => {
  const all = Array.from(document.querySelectorAll('#room input[data-act]')).filter((b) =>
    b.offsetParent && b.type !== 'checkbox' && b.type !== 'file');
  if (!all.length) return '';
  const one = all[Math.floor(number * all.length)];
  one.value = words;
  one.dispatchEvent(new Event('change', { bubbles: true }));
  return words;
}"""
#: How long the server takes to answer: a room is entered, and stands there drawn anew.
ANSWER = """(room) => new Promise((done) => {
  const began = performance.now();
  new MutationObserver((_, watch) => { watch.disconnect(); done(performance.now() - began); })
    .observe(document.getElementById('room'), { childList: true, subtree: true });
  document.querySelector(`[data-key="room-${room}"]`).click();
  setTimeout(() => done(-1), 20000);
})"""
KEYS = ("ArrowRight", "ArrowLeft", "ArrowUp", "ArrowDown", "1", "4", "0", "d", "u", "s")


def memory_mb(process: int) -> float:
    """The resident memory of a process and its children."""
    children = subprocess.run(
        ["ps", "-o", "pid=", "--ppid", str(process)], capture_output=True, text=True, check=False
    ).stdout.split()
    total = 0.0
    for each in (str(process), *children):
        try:
            status = Path(f"/proc/{each}/status").read_text(encoding="ascii")
        except FileNotFoundError:
            continue
        total += int(status.partition("VmRSS:")[2].split()[0]) / 1024 if "VmRSS" in status else 0
    return total


def act(page: Any, rng: random.Random) -> str:
    kind = rng.random()
    if kind < 0.6:
        return str(page.evaluate(PRESS, [rng.random(), LEFT_ALONE]))
    if kind < 0.8:
        return str(page.evaluate(WRITE, [rng.random(), rng.choice(WORDS)]))
    if page.locator("#music").is_visible():
        page.locator("#music").focus()
    key = rng.choice(KEYS)
    page.keyboard.press(key)
    return key


def main() -> None:
    from tests.studio.conftest import BROWSER_ARGS, CHROMIUM, start_studio

    options = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    options.add_argument("--minutes", type=float, default=10.0)
    options.add_argument("--seed", type=int, default=1)
    asked = options.parse_args()
    rng = random.Random(asked.seed)
    tide = Path(__file__).parents[1] / "tests/studio/tide.yaml"
    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        path = Path(folder) / "tide.yaml"
        path.write_text(tide.read_text("utf-8"), "utf-8")
        running = start_studio(Path(folder))
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(BROWSER_ARGS))
        errors: list[str] = []
        pages = []
        for _ in range(2):
            page = browser.new_page(viewport={"width": 1280, "height": 900})
            page.on("pageerror", lambda error: errors.append(str(error)))
            page.on("dialog", lambda dialog: dialog.dismiss())
            page.goto(f"{running.address}lesson/tide.yaml")
            page.locator("body[data-ready]").wait_for()
            pages.append(page)
        began, deeds, answers = time.monotonic(), 0, []
        print(f"{'minute':>6}{'deeds':>8}{'memory MB':>11}{'answer ms, median':>19}{'worst':>8}")
        shown = 0.0
        recent: list[str] = []
        while time.monotonic() - began < 60 * asked.minutes:
            page = rng.choice(pages)
            recent = [*recent[-19:], act(page, rng)]
            deeds += 1
            page.wait_for_timeout(rng.choice((0, 20, 60, 150)))
            if deeds % 25 == 0:
                answers.append(page.evaluate(ANSWER, rng.randrange(6)))
                lesson = load_lesson(path)
                if len(lesson.examples) > MOST_EXAMPLES:
                    path.write_text(tide.read_text("utf-8"), "utf-8")  # as an editor outside would
                if errors or answers[-1] < 0 or running.process.poll() is not None:
                    raise SystemExit(f"after {deeds} deeds: {errors or 'no answer'}; last {recent}")
            minutes = (time.monotonic() - began) / 60
            if minutes - shown >= asked.minutes / 10 and answers:
                shown = minutes
                print(
                    f"{minutes:6.1f}{deeds:8}{memory_mb(running.process.pid):11.0f}"
                    f"{statistics.median(answers):19.0f}{max(answers):8.0f}",
                    flush=True,
                )
                answers.clear()
        browser.close()
        running.kill()
    print(f"{deeds} deeds, nothing broke")


if __name__ == "__main__":
    main()
