"""Every screen against the rules of WCAG 2 as axe-core checks them, and the job by keyboard alone.

Contrast, names and roles: Web Content Accessibility Guidelines 2.2 (W3C), levels A and AA.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from .conftest import Hand, Running

ROOT = Path(__file__).parents[2]
AXE = Path(os.environ.get("LICKWRIGHT_AXE", ROOT / ".venv/axe/node_modules/axe-core/axe.min.js"))
ROOMS = ("Find", "Place", "Shape", "Carry", "Hear", "Lesson")


def faults(page: Any) -> list[str]:
    """Serious and critical faults of the page as it stands."""
    page.evaluate(AXE.read_text("utf-8"))
    found = page.evaluate("axe.run(document, {resultTypes: ['violations']})")
    return [
        f"{fault['impact']} {fault['id']}: {node['target']} {node['failureSummary']}"
        for fault in found["violations"]
        if fault["impact"] in {"serious", "critical"}
        for node in fault["nodes"]
    ]


@pytest.mark.skipif(not AXE.is_file(), reason="axe-core is not installed (npm)")
@pytest.mark.parametrize(("scheme", "width"), [("light", 390), ("dark", 1280)])
def test_no_screen_has_a_serious_fault(
    studio: Callable[..., Running],
    hand: Callable[..., Hand],
    tide: Path,
    scheme: str,
    width: int,
) -> None:
    running = studio(tide.parent)
    teacher = hand(color_scheme=scheme, viewport={"width": width, "height": 844})
    page = teacher.page
    teacher.open(running.address)
    page.get_by_role("heading", name="Lessons", exact=True).wait_for()
    assert faults(page) == []
    teacher.open(f"{running.address}lesson/tide.yaml")
    page.locator(".rooms").wait_for()
    for room in ROOMS:
        teacher.click(room, within=".rooms")
        if room not in {"Find", "Lesson"}:
            page.locator("#music .system svg").first.wait_for()
        if room == "Shape":
            teacher.click("Note after →")
            teacher.click("Work out other ways")
            page.get_by_role("heading", name="In the hands").wait_for()
        if room == "Carry":
            teacher.click("3 Over the changes")
            page.locator(".chord-cards").wait_for()
        assert faults(page) == [], room
        assert page.evaluate("document.documentElement.scrollWidth") <= width, room
    tide.write_text(tide.read_text("utf-8") + "\n# from outside\n", "utf-8")
    page.locator(".notice").wait_for()
    assert faults(page) == []


class Keys:
    """Ten fingers on a keyboard and no mouse; the only way to a control is to tab there."""

    def __init__(self, page: Any) -> None:
        self.page = page
        self.struck = 0

    def strike(self, key: str) -> None:
        self.struck += 1
        self.page.keyboard.press(key)

    def to(self, name: str) -> None:
        """Tab until the focus is on the control of that name, and see that it shows."""
        seen: list[str] = []
        for _ in range(160):
            self.strike("Tab")
            here = self.page.evaluate(
                """() => { const e = document.activeElement;
                const named = e.getAttribute('aria-label')
                  || (e.labels && e.labels.length ? e.labels[0].textContent : e.textContent);
                const style = getComputedStyle(e);
                return [(named || '').trim(), style.outlineStyle !== 'none'
                  && parseFloat(style.outlineWidth) >= 2]; }"""
            )
            seen.append(here[0])
            if here[0] == name:
                assert here[1], f"the focus on {name!r} does not show"
                return
        raise AssertionError(f"no way to {name!r} by Tab; passed {seen[:60]}")

    def press(self, name: str) -> None:
        self.to(name)
        self.strike("Enter")
        self.page.wait_for_timeout(150)

    def write(self, label: str, text: str) -> None:
        self.to(label)
        self.strike("Control+A")
        self.page.keyboard.type(text)
        self.struck += 1
        self.strike("Enter")
        self.page.wait_for_timeout(150)


def test_the_job_is_done_by_keyboard_alone(
    studio: Callable[..., Running], hand: Callable[..., Hand]
) -> None:
    running = studio()
    teacher = hand()
    page, keys = teacher.page, Keys(teacher.page)
    teacher.open(running.address)
    page.get_by_role("button", name="Begin").wait_for()
    keys.write("Title", "Keys Alone")
    path = running.folder / "keys-alone.yaml"
    teacher.wait_saved(path, "First pair")
    page.locator(".rooms").wait_for()
    keys.write("A chord", "Cmaj9")
    keys.press("G and Em")
    keys.press("Add as a new example")
    teacher.wait_saved(path, "G and Em over C")
    page.locator("#music .system svg").first.wait_for()
    keys.to("Up the neck →")
    keys.strike("ArrowRight")
    placed = teacher.wait_saved(path, "frets:")
    keys.strike("ArrowRight")  # the focus stayed with the neck
    teacher.wait_for(lambda: path.read_text("utf-8") != placed)
    keys.strike("Alt+3")
    page.locator("#shape-note").wait_for()
    page.wait_for_timeout(300)
    page.locator("#music").focus()
    keys.strike("ArrowRight")
    page.get_by_text("Note 1:").wait_for()
    keys.strike("4")
    teacher.wait_saved(path, "fingers:")
    keys.strike("ArrowRight")
    page.get_by_text("Note 2:").wait_for()
    keys.strike("ArrowUp")
    teacher.wait_saved(path, "tab:")
    keys.strike("Control+z")
    teacher.wait_for(lambda: "tab:" not in path.read_text("utf-8"))
    keys.strike("Alt+4")
    page.locator("#carry-new").wait_for()
    keys.write("Changes", "Cmaj9 | Am7 | Dm9 | G13")
    teacher.wait_saved(path, "changes:")
    keys.strike("Alt+5")
    page.locator("#hear-play").wait_for()
    page.wait_for_timeout(500)
    keys.press("Play")
    page.locator(".playhead:not([hidden])").first.wait_for()
    keys.press("Stop")
    keys.strike("Alt+6")
    page.locator("#lesson-build").wait_for()
    keys.press("Build the lesson")
    page.get_by_text("Built:").wait_for(timeout=120_000)
    assert (running.folder / "built/keys-alone/lesson.pdf").is_file()
