"""Both triads dragged along the neck in a real browser, by mouse and by finger."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from lickwright.errors import LickwrightError
from lickwright.lesson.compile.examples import Workshop
from lickwright.lesson.compile.places import USUAL_CONTOUR, joins_of
from lickwright.lesson.file.reading import load_lesson
from lickwright.neck.shapes.chain import chain_shapes
from lickwright.studio.work.dragged_neck import DraggedNeck, dragged_neck_of
from lickwright.studio.work.placings import Placing, by_place, moves, places_of, placings
from lickwright.studio.work.preview import ExampleRequest, previewed

from .conftest import Hand, OwnLesson

DESK = {"viewport": {"width": 1280, "height": 900}}
PHONE = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}


def order_of(path: Path) -> ExampleRequest:
    return ExampleRequest(path.read_text("utf-8"), path.name, 0)


# --- what can be dragged where --------------------------------------------------------------------


@pytest.mark.parametrize(
    "changed",
    [
        {},
        {"contour: up down": "contour: up"},
        {"triads: [F, Am]": "triads: [Bdim, Esus4]", "over: D": "over: G"},
        {"triads: [F, Am]": "triads: [Am]", "frets: [5-8, 8-12]": "frets: 5-8"},
        {"key: D dorian": "key: D dorian\nguitar: {tuning: D2 A2 D3 G3 B3 E4, capo: 2}"},
    ],
)
def test_the_file_finds_the_very_shapes_that_are_offered(
    tide: Path, changed: dict[str, str]
) -> None:
    text = tide.read_text("utf-8").replace("implies: Dm9", "contour: up down")
    for own, other in changed.items():
        assert own in text
        text = text.replace(own, other)
    order = ExampleRequest(text, tide.name, 0)
    tide.write_text(text, "utf-8")
    lesson = load_lesson(tide)
    entry = lesson.examples[0]
    found = placings(order)
    assert len({placing.key for placing in found}) == len(found) > 40
    for placing in found[:: max(1, len(found) // 60)]:
        windows = [tuple(map(int, frets.split("-"))) for frets in placing.frets]
        low, high = map(int, placing.strings.split("-"))
        assert entry.triads is not None
        shapes = chain_shapes(
            entry.triads,
            lesson.guitar,
            [(window[0], window[1]) for window in windows],
            (low, high),
            contours=joins_of(entry.contour or USUAL_CONTOUR, len(entry.triads)),
            hand=lesson.entry.hand,
        )
        assert places_of(shapes) == placing.shapes


def test_more_triads_than_two_are_not_dragged(tide: Path) -> None:
    text = tide.read_text("utf-8").replace("[F, Am]", "[F, Am, C]", 1)
    order = ExampleRequest(text.replace("    frets: [5-8, 8-12]\n", "", 1), tide.name, 0)
    assert placings(order) == []
    assert len(dragged_neck_of(order).shapes) == 3


def test_the_other_triad_stays_where_it_can(tide: Path) -> None:
    order = order_of(tide)
    now, found = dragged_neck_of(order).shapes, placings(order)
    for voice in (0, 1):
        offered = moves(found, now, voice)
        shapes = [move.shapes[voice] for move in offered]
        assert len(set(shapes)) == len(shapes)
        assert now[voice] not in shapes
        can_stay = {p.shapes[voice] for p in found if p.shapes[1 - voice] == now[1 - voice]}
        stays = {m.shapes[voice] for m in offered if m.shapes[1 - voice] == now[1 - voice]}
        assert stays == can_stay - {now[voice]}
        assert stays
        assert len(offered) > len(stays)


def test_keys_and_hand_choose_among_the_same(tide: Path) -> None:
    found = placings(order_of(tide))
    for place in by_place(found):
        assert set(place) <= set(found)
        assert len({placing.lowest for placing in place}) == 1


def test_the_reach_said_is_that_of_the_page(tide: Path) -> None:
    placing = placings(order_of(tide))[0]
    text = tide.read_text("utf-8").replace("[5-8, 8-12]", f"[{', '.join(placing.frets)}]")
    text = text.replace("strings: 1-4", f"strings: {placing.strings}")
    for said, reach_mm in zip(
        previewed(ExampleRequest(text, "x", 0)).reach, placing.reach_mm, strict=True
    ):
        assert f"{reach_mm:.0f} mm between its outer fingers" in said


# --- in the browser -------------------------------------------------------------------------------


def _form(shape: tuple[tuple[int, int], ...]) -> tuple[int, int]:
    return len(shape), len({string for string, _ in shape})


@dataclass
class Neck:
    """The board of the first example as it stands in a page."""

    hand: Hand
    path: Path
    made: DraggedNeck
    found: list[Placing]

    def wait(self) -> None:
        """Until the board shows the shapes of the file and can be dragged."""
        self.made = dragged_neck_of(order_of(self.path))
        grips = [f"{s}/{f}" for shape in self.made.shapes for s, f in shape]
        self.hand.page.wait_for_function(
            "want => JSON.stringify([...document.querySelectorAll('.grip')]"
            ".map(grip => grip.dataset.place)) === JSON.stringify(want)",
            arg=grips,
        )

    def at(self, place: tuple[int, int]) -> tuple[float, float]:
        box = self.hand.page.locator("#board-neck").bounding_box()
        x, y = self.made.points[place]
        return box["x"] + x * box["width"], box["y"] + y * box["height"]

    def middle(self, shape: tuple[tuple[int, int], ...]) -> tuple[float, float]:
        points = [self.at(place) for place in shape]
        return (
            sum(x for x, _ in points) / len(points),
            sum(y for _, y in points) / len(points),
        )

    def way(self, move: Placing, voice: int) -> tuple[tuple[float, float], tuple[float, float]]:
        """From a note of a triad to where the hand is when the whole shape has moved."""
        own = self.made.shapes[voice]
        x, y = self.at(own[0])
        (x1, y1), (x2, y2) = self.middle(own), self.middle(move.shapes[voice])
        return (x, y), (x + x2 - x1, y + y2 - y1)

    def hold(self, a: tuple[float, float], b: tuple[float, float]) -> None:
        """Take hold with the mouse at one place, and go to another."""
        mouse = self.hand.page.mouse
        mouse.move(*a)
        mouse.down()
        mouse.move(*b, steps=4)

    def a_move(
        self, voice: int, *, alone: bool, between: tuple[float, float] = (0.0, 2000.0)
    ) -> Placing:
        """One of like form, the other triad staying or not: the next of them along the neck.

        ``between`` : where on the screen the hand has to end; nearer to its edge the neck rolls.
        """
        now = self.made.shapes
        like = [
            move
            for move in moves(self.found, now, voice)
            if _form(move.shapes[voice]) == _form(now[voice])
            and (move.shapes[1 - voice] == now[1 - voice]) == alone
        ]
        x, _ = self.middle(now[voice])
        near = [
            m
            for m in like
            if abs(self.middle(m.shapes[voice])[0] - x) > 20
            and between[0] < self.way(m, voice)[1][0] < between[1]
        ]
        assert near, "there is a move to try"
        return min(near, key=lambda m: abs(self.middle(m.shapes[voice])[0] - x))

    def check_taken(self, move: Placing, before: str) -> None:
        """The file says the move, the page shows it, and one Undo takes it back."""
        self.hand.wait_for(lambda: self.path.read_text("utf-8") != before, "a saved move")
        self.wait()
        entry = load_lesson(self.path).examples[0]
        assert [f"{low}-{high}" for low, high in entry.frets or ()] == list(move.frets)
        assert entry.strings == tuple(map(int, move.strings.split("-")))
        assert places_of(Workshop(load_lesson(self.path)).shapes(0)) == move.shapes
        assert "# kept by hand" in self.path.read_text("utf-8")
        self.hand.click("Undo")
        self.hand.wait_for(lambda: self.path.read_text("utf-8") == before, "an undone move")
        self.wait()


@pytest.fixture
def neck(own: OwnLesson, hand: Callable[..., Hand]) -> Callable[..., Neck]:
    def open_with(**options: Any) -> Neck:
        teacher = hand(**options)
        teacher.open(own.address)
        teacher.click("Place", within=".rooms")
        order = order_of(own.path)
        made = Neck(teacher, own.path, dragged_neck_of(order), placings(order))
        made.wait()
        teacher.rest()
        return made

    return open_with


@pytest.mark.parametrize("voice", [0, 1])
@pytest.mark.parametrize("alone", [True, False])
def test_a_triad_is_dragged_by_mouse(neck: Callable[..., Neck], voice: int, alone: bool) -> None:
    it = neck(**DESK)
    page, before = it.hand.page, it.path.read_text("utf-8")
    move = it.a_move(voice, alone=alone)
    (x, y), (to_x, to_y) = it.way(move, voice)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move((x + to_x) / 2, (y + to_y) / 2, steps=4)
    page.mouse.move(to_x, to_y, steps=4)
    name = it.made.names[voice]
    said = page.locator("#board-said").inner_text()
    assert f"{name}: {move.reach_mm[voice]:.0f} mm between its outer fingers" in said
    assert (f"{it.made.names[1 - voice]} comes along" in said) == (not alone)
    ghosts = page.locator(f".ghost.g{voice}")
    assert ghosts.count() == len(move.shapes[voice])
    for at, place in enumerate(move.shapes[voice]):
        box = ghosts.nth(at).bounding_box()
        want_x, want_y = it.at(place)
        assert abs(box["x"] + box["width"] / 2 - want_x) < 2
        assert abs(box["y"] + box["height"] / 2 - want_y) < 2
    assert it.path.read_text("utf-8") == before, "nothing is told while it is dragged"
    page.mouse.up()
    assert page.locator(".ghost").count() == 0
    it.check_taken(move, before)


def test_escape_lets_go(neck: Callable[..., Neck]) -> None:
    it = neck(**DESK)
    page, before = it.hand.page, it.path.read_text("utf-8")
    (x, y), (to_x, to_y) = it.way(it.a_move(0, alone=False), 0)
    it.hold((x, y), (to_x, to_y))
    assert page.locator(".ghost").count() > 0
    page.keyboard.press("Escape")
    assert page.locator(".ghost").count() == 0
    page.mouse.up()
    it.hand.rest()
    assert it.path.read_text("utf-8") == before
    # Held where it lies, it stays there as well.
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 2, y)
    assert "stays where it is" in page.locator("#board-said").inner_text()
    page.mouse.up()
    it.hand.rest()
    assert it.path.read_text("utf-8") == before
    # After all that a drag still counts.
    it.hold((x, y), (to_x, to_y))
    page.mouse.up()
    it.hand.wait_for(lambda: it.path.read_text("utf-8") != before, "a saved move")


def test_the_arrow_keys_go_along_the_neck_after_a_drag(neck: Callable[..., Neck]) -> None:
    it = neck(**DESK)
    page, before = it.hand.page, it.path.read_text("utf-8")
    it.hold(*it.way(it.a_move(0, alone=False), 0))
    page.mouse.up()
    it.hand.wait_for(lambda: it.path.read_text("utf-8") != before, "a saved move")
    it.wait()
    dragged = it.path.read_text("utf-8")
    low = dragged_neck_of(order_of(it.path)).shapes
    it.hand.key("ArrowRight")
    it.hand.wait_for(lambda: it.path.read_text("utf-8") != dragged, "a step along the neck")
    high = dragged_neck_of(order_of(it.path)).shapes
    assert min(f for s in high for _, f in s) > min(f for s in low for _, f in s)


def test_another_windows_words_do_not_take_the_triad_out_of_the_hand(
    neck: Callable[..., Neck], hand: Callable[..., Hand]
) -> None:
    it = neck(**DESK)
    page = it.hand.page
    other = hand()
    other.open(page.url)
    other.click("Lesson", within=".rooms")
    move = it.a_move(0, alone=False)
    (x, y), (to_x, to_y) = it.way(move, 0)
    it.hold((x, y), (to_x, to_y))
    other.write("Closing", "Slowly.")
    before = other.wait_saved(it.path, "Slowly.")
    it.hand.rest()
    page.wait_for_timeout(1500)
    assert page.locator(".ghost").count() > 0
    page.mouse.up()
    it.check_taken(move, before)


class Finger:
    """One finger on the glass."""

    def __init__(self, page: Any) -> None:
        self.page = page
        self.session = page.context.new_cdp_session(page)

    def _send(self, kind: str, *points: tuple[float, float]) -> None:
        touches = [{"x": x, "y": y} for x, y in points]
        self.session.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": touches})

    def down(self, x: float, y: float) -> None:
        self._send("touchStart", (x, y))

    def glide(self, a: tuple[float, float], b: tuple[float, float], steps: int = 10) -> None:
        for at in range(1, steps + 1):
            share = at / steps
            self._send("touchMove", (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1])))
            self.page.wait_for_timeout(16)

    def up(self) -> None:
        self._send("touchEnd")


@pytest.mark.parametrize("voice", [0, 1])
def test_a_triad_is_dragged_by_finger(neck: Callable[..., Neck], voice: int) -> None:
    it = neck(**PHONE)
    page, before = it.hand.page, it.path.read_text("utf-8")
    move = it.a_move(voice, alone=False, between=(65, 325))
    a, b = it.way(move, voice)
    rolled = page.evaluate("[scrollY, document.querySelector('.board-roll').scrollLeft]")
    finger = Finger(page)
    finger.down(*a)
    finger.glide(a, b)
    assert page.locator(f".ghost.g{voice}").count() == len(move.shapes[voice])
    said = page.locator("#board-said").inner_text()
    assert f"{it.made.names[voice]}: {move.reach_mm[voice]:.0f} mm" in said
    assert page.evaluate("[scrollY, document.querySelector('.board-roll').scrollLeft]") == rolled
    finger.up()
    it.check_taken(move, before)


def test_page_and_neck_roll_under_a_finger_that_holds_no_triad(neck: Callable[..., Neck]) -> None:
    it = neck(**PHONE)
    page, before = it.hand.page, it.path.read_text("utf-8")
    finger = Finger(page)
    taken = {place for shape in it.made.shapes for place in shape}
    box = page.locator(".board-roll").bounding_box()
    x, y = next(
        at
        for place in it.made.points
        if place not in taken
        and place[0] in {5, 6}
        and box["x"] + 200 < (at := it.at(place))[0] < box["x"] + 300
    )
    finger.down(x, y)
    finger.glide((x, y), (x, y - 150), 20)
    finger.up()
    page.wait_for_function("scrollY > 50")
    page.evaluate("scrollTo(0, 0)")
    was = page.evaluate("document.querySelector('.board-roll').scrollLeft")
    finger.down(x, y)
    finger.glide((x, y), (x - 150, y), 20)
    finger.up()
    page.wait_for_function(
        "was => document.querySelector('.board-roll').scrollLeft > was + 50", arg=was
    )
    assert page.locator(".ghost").count() == 0
    assert it.path.read_text("utf-8") == before


def test_at_the_edge_the_neck_rolls_on(neck: Callable[..., Neck]) -> None:
    it = neck(**PHONE)
    page, before = it.hand.page, it.path.read_text("utf-8")
    x, y = it.at(it.made.shapes[0][0])
    was = page.evaluate("document.querySelector('.board-roll').scrollLeft")
    finger = Finger(page)
    finger.down(x, y)
    finger.glide((x, y), (378, y))
    page.wait_for_function(
        "was => document.querySelector('.board-roll').scrollLeft > was + 150", arg=was
    )
    finger.up()
    it.hand.wait_for(lambda: it.path.read_text("utf-8") != before, "a saved move")
    lowest = min(fret for _, fret in it.made.shapes[0])
    entry = load_lesson(it.path).examples[0]
    assert entry.frets is not None
    assert entry.frets[0][0] > lowest + 3


def test_a_drag_on_a_lesson_that_changed_meanwhile_is_refused_in_words(
    neck: Callable[..., Neck],
) -> None:
    it = neck(**DESK)
    page, before = it.hand.page, it.path.read_text("utf-8")
    page.evaluate("lickwrightWire.tell('drop', [0, '1-99 2-98 on 1-4'])")
    page.get_by_text("The triads changed meanwhile").wait_for()
    page.evaluate("lickwrightWire.tell('drop', [1, '5-8 8-10 on 1-4'])")
    it.hand.rest()
    assert it.path.read_text("utf-8") == before


def test_an_impossible_example_keeps_its_board(neck: Callable[..., Neck]) -> None:
    it = neck(**DESK)
    it.hand.write("Frets", "1-2")
    it.hand.wait_saved(it.path, "frets: 1-2")
    with pytest.raises(LickwrightError):
        dragged_neck_of(order_of(it.path))
    it.hand.page.locator(".faults .error").wait_for()
    assert it.hand.page.locator("#board-neck").count() == 1
    it.hand.click("Up the neck →")
    it.hand.wait_for(lambda: "frets: 1-2" not in it.path.read_text("utf-8"), "a step up the neck")
    it.wait()
    it.hand.page.locator(".faults .error").wait_for(state="detached")
