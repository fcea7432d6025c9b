"""From an edit to the engraved page on the screen: how long does a hand wait?

In a real browser, on a four-bar example of sixteenths, the strokes of one note after the other are
turned round by keys on the page, so that no edit gives a lesson that was worked out before; what is
measured is the time from the key to the first frame that shows the new page.  The engraving
engine's own time for the same page stands beside it.

    python bench/studio.py [EDITS]
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from lickwright.lesson.compile.examples import Workshop
from lickwright.lesson.file.reading import read_lesson
from lickwright.lick.notes import Stroke
from lickwright.score.score import Score

sys.path.insert(0, str(Path(__file__).parents[1]))

LESSON = """\
lesson: Four bars
key: D dorian
examples:
  - name: Four bars
    triads: [F, Am]
    over: D
    implies: Dm9
    frets: 5-12
    strings: 1-4
    rhythm: 16ths
    bars: 4
"""

#: Strikes a key and waits for the frame after the new page was put in.
MEASURE = """(key) => new Promise((done) => {
  const music = document.getElementById('music');
  const watch = new MutationObserver((changes) => {
    if (!changes.some((c) => [...c.addedNodes].some((n) => n.className === 'systems'))) return;
    watch.disconnect();
    requestAnimationFrame(() => {
      const channel = new MessageChannel();
      channel.port1.onmessage = () => done(performance.now() - began);
      channel.port2.postMessage(null);
    });
  });
  watch.observe(music, {childList: true, subtree: true});
  const began = performance.now();
  music.dispatchEvent(new KeyboardEvent('keydown', {key, bubbles: true, cancelable: true}));
})"""


def main(edits: int) -> None:
    from tests.studio.conftest import BROWSER_ARGS, CHROMIUM, start_studio

    with tempfile.TemporaryDirectory() as folder, sync_playwright() as playwright:
        path = Path(folder) / "four.yaml"
        path.write_text(LESSON, "utf-8")
        running = start_studio(Path(folder))
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=list(BROWSER_ARGS))
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        page.goto(f"{running.address}lesson/four.yaml")
        page.locator("body[data-ready]").wait_for()
        page.get_by_role("button", name="Shape", exact=True).click()
        page.locator("#music .system svg").first.wait_for()
        page.wait_for_timeout(1500)
        page.locator("#music").focus()
        strokes = [note.stroke for note in _score().lick.notes]
        took_ms = []
        for edit in range(edits):
            at = edit % len(strokes)
            page.keyboard.press("ArrowRight" if at else "Home")
            page.get_by_text(f"Note {at + 1}:").wait_for()
            strokes[at] = Stroke.UP if strokes[at] is Stroke.DOWN else Stroke.DOWN
            took_ms.append(page.evaluate(MEASURE, strokes[at].value.lower()))
            page.wait_for_timeout(60)
        browser.close()
        running.kill()
    took_ms.sort()
    print(
        f"{edits} edits: median {statistics.median(took_ms):.0f} ms,"
        f" p95 {took_ms[int(0.95 * edits)]:.0f} ms, most {took_ms[-1]:.0f} ms"
    )
    print(f"the engine alone: {_engine_ms()}")


def _score() -> Score:
    return Workshop(read_lesson(LESSON, Path("four.yaml"))).worked(0).score


def _engine_ms() -> str:
    from time import perf_counter

    from lickwright.engrave.page.engine import STAFF_UNITS, lay_out
    from lickwright.engrave.page.engine_input import page_input
    from lickwright.engrave.page.systems import STAFF_MM
    from lickwright.formats.musicxml.writing import score_element
    from lickwright.score.notation import write
    from lickwright.studio.session.tab import WIDE_MM

    document = page_input(score_element(write(_score())))
    took = []
    for _ in range(40):
        began = perf_counter()
        list(lay_out(document, WIDE_MM / STAFF_MM * STAFF_UNITS))
        took.append(1000 * (perf_counter() - began))
    took.sort()
    return f"median {statistics.median(took):.0f} ms, p95 {took[37]:.0f} ms"


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
