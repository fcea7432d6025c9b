"""Other ways to carry a lick: what is offered, what it costs, and that taking one has it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from lickwright.lesson.compile.examples import Workshop
from lickwright.lesson.file.reading import load_lesson, read_lesson
from lickwright.studio.work.carry_alternatives import alternatives_for
from lickwright.studio.work.preview import ExampleRequest

from .conftest import Hand, OwnLesson

CARRIED = 2  # the example of the lesson that is carried


def line(path: Path) -> list[tuple[int, int]]:
    worked = Workshop(load_lesson(path)).worked(CARRIED)
    return [(note.position.string, note.position.fret) for note in worked.score.lick.notes]


def test_what_is_offered_is_what_its_pins_bring_back(tide: Path) -> None:
    text = tide.read_text("utf-8")
    found = alternatives_for(ExampleRequest(text, str(tide), CARRIED))
    assert len(found) > 2
    costs = [way.cost_mm for way in found]
    assert costs == sorted(costs)
    lesson = read_lesson(text, tide)
    worked = Workshop(lesson).worked(CARRIED)
    assert [step.triads for step in found[0].steps] == [
        tuple(map(str, span.triads)) for span in worked.spans
    ]
    for way in found:
        assert way.travel_mm == pytest.approx(sum(step.travel_mm for step in way.steps))
        raw = {**lesson.raw, "examples": [dict(example) for example in lesson.raw["examples"]]}
        raw["examples"][CARRIED]["pins"] = {bar: dict(pin) for bar, pin in way.pins.items()}
        pinned = Workshop(read_lesson(_yaml(raw), tide)).worked(CARRIED)
        for span, step in zip(pinned.spans, way.steps, strict=True):
            frets = [
                note.position.fret
                for note in pinned.score.lick.notes
                if span.onset <= note.onset < span.end and note.position.fret
            ]
            assert (min(frets), max(frets)) == step.frets
            assert tuple(map(str, span.triads)) == step.triads


def _yaml(raw: object) -> str:
    import io

    from ruamel.yaml import YAML

    out = io.StringIO()
    YAML(typ="safe", pure=True).dump(raw, out)
    return out.getvalue()


@pytest.mark.parametrize("width", [1280, 390])
def test_a_way_is_looked_for_taken_and_taken_back(
    own: OwnLesson, hand: Callable[..., Hand], width: int
) -> None:
    teacher = hand(viewport={"width": width, "height": 900})
    page = teacher.page
    teacher.open(own.address)
    teacher.click("Carry", within=".rooms")
    page.locator(".strip button").nth(CARRIED).click()
    page.locator(".chord-cards").wait_for()
    before, was = own.path.read_text("utf-8"), line(own.path)
    offered = alternatives_for(ExampleRequest(before, str(own.path), CARRIED))
    teacher.click("Look for other ways")
    rows = page.locator(".ways tbody tr")
    rows.nth(len(offered) - 1).wait_for()
    assert rows.count() == len(offered)
    assert f"{offered[1].travel_mm:.0f} mm" in rows.nth(1).inner_text()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    teacher.click("Take way 2")
    teacher.wait_saved(own.path, "pins:")
    assert line(own.path) != was
    teacher.click("Undo")
    teacher.wait_for(lambda: own.path.read_text("utf-8") == before)
    assert line(own.path) == was
