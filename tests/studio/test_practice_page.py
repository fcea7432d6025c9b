"""The page that ships with a lesson, in a real browser: what it shows while a track plays."""

from __future__ import annotations

import itertools
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from lickwright.engrave.page.systems import engrave
from lickwright.lesson.compile.examples import Workshop
from lickwright.lesson.file.reading import read_lesson
from lickwright.publish.building import build
from lickwright.publish.pages import page_width_mm

from .conftest import Hand

TEXT = """\
lesson: Two Bars and Four More
key: B dorian
tempo: {slow: 60, target: 90}
extras: [ladder, loop]
examples:
  - name: The pair
    triads: [D, F#m]
    over: B
    frets: [9-12, 14-17]
    contour: up down
    rhythm: 16ths
    bars: 2
  - name: Over the changes
    lick: The pair
    changes: Bm9 | E13 | Amaj9 | F#7b9
"""
#: Quarter notes from the first bar line.
MOMENTS = (0.1, 3.6, 4.05, 7.9, 8.3, 12.6, 15.9)
SHOWN = """(track) => {
  const section = track.closest('.example');
  const seen = (kind) => Array.from(section.querySelectorAll(kind), (mark, at) => [mark, at])
    .filter(([mark]) => mark.getAttribute('display') !== 'none');
  return {
    lines: seen('.lw-now-line').map(([mark, at]) => {
      const box = mark.ownerSVGElement.viewBox.baseVal;
      const middle = Number(mark.getAttribute('x')) + Number(mark.getAttribute('width')) / 2;
      return [at, (middle - box.x) / box.width];
    }),
    spots: seen('.lw-now-spot').map(([mark, at]) => [
      at, Number(mark.getAttribute('cx')), Number(mark.getAttribute('cy')),
      Array.from(mark.ownerSVGElement.querySelectorAll('.lw-full, .lw-hollow'), (shape) => {
        const box = shape.getBBox();
        return [box.x + box.width / 2, box.y + box.height / 2];
      }),
    ]),
  };
}"""
SEEK = """(track, at) => new Promise((done) => {
  const go = () => {
    track.addEventListener('seeked', () => requestAnimationFrame(done), { once: true });
    track.currentTime = at;
  };
  if (track.readyState > 0) go();
  else {
    track.addEventListener('loadedmetadata', go, { once: true });
    track.preload = 'auto';
    track.load();
  }
})"""


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("practice")
    path = folder / "lesson.yaml"
    path.write_text(TEXT, encoding="utf-8")
    build(read_lesson(TEXT, path), folder / "out")
    return folder / "out"


def _track(page: Any, words: str) -> Any:
    return page.locator("#example-2").get_by_label(words, exact=True).and_(page.locator("audio"))


@pytest.mark.parametrize("width", [1280, 390])
def test_line_and_spot_stand_at_the_note_that_sounds(
    built: Path, hand: Callable[..., Hand], width: int
) -> None:
    lesson = read_lesson(TEXT, built / "lesson.yaml")
    worked = Workshop(lesson).worked(1)
    systems = engrave(worked.score, page_width_mm(lesson)).systems
    page = hand(viewport={"width": width, "height": 900}).page
    page.goto((built / "index.html").as_uri())
    # Count-in of a bar; in the ladder after all that came before: a tail of 1.5 s behind each rung.
    slow, full = 60 / 60, 60 / 90
    ladder = page.locator("#example-2 audio").nth(2)
    rungs = ladder.evaluate("(track) => JSON.parse(track.dataset.runs)")
    assert rungs[1][0] - rungs[0][1] == pytest.approx(1.5 + 4 * rungs[1][2], abs=0.01)
    for words, start_s, quarter_s in (
        ("Slow, 60 bpm", 4 * slow, slow),
        ("Full speed, 90 bpm", 4 * full, full),
        ("Ladder, 5 tempi", rungs[2][0], rungs[2][2]),
        ("Band alone, to loop, 90 bpm", 0.0, full),
    ):
        track = _track(page, words)
        for moment in MOMENTS:
            track.evaluate(SEEK, start_s + moment * quarter_s)
            note = max(
                index
                for index, note in enumerate(worked.score.lick.notes)
                if note.onset <= moment + 1e-3
            )
            place = worked.score.lick.notes[note].position
            at, head = next(
                (at, head)
                for at, system in enumerate(systems)
                for head in system.heads
                if head.id == f"t{note + 1}"
            )
            shown = track.evaluate(SHOWN)
            ((line_system, x),) = shown["lines"]
            share = head.x_mm / systems[at].width_mm
            assert line_system == at
            assert share - 0.005 <= x <= share + 0.05, (words, moment)
            ((neck, spot_x, spot_y, marks),) = shown["spots"]
            assert neck == [span.onset <= moment < span.end for span in worked.spans].index(True)
            assert any(abs(spot_x - mx) + abs(spot_y - my) < 1 for mx, my in marks)
            assert spot_y == pytest.approx(22 + 34 * (place.string - 1), abs=0.1)
    assert page.evaluate("document.documentElement.scrollWidth") <= width


def test_a_few_bars_go_round_and_a_track_goes_slower(
    built: Path, hand: Callable[..., Hand]
) -> None:
    page = hand().page
    page.goto((built / "index.html").as_uri())
    track = _track(page, "Full speed, 90 bpm")
    item = page.locator("#example-2 .tracks li").nth(1)
    item.get_by_label("Bars: Full speed, 90 bpm").select_option("3")
    item.get_by_label("to: Full speed, 90 bpm").select_option("3")
    item.get_by_label("Speed: Full speed, 90 bpm").select_option("50 %")
    assert track.evaluate("(track) => [track.playbackRate, track.preservesPitch]") == [0.5, True]
    item.get_by_role("button", name="Loop: Full speed, 90 bpm").click()
    track.evaluate("(track) => { track.playbackRate = 4; return track.play(); }")
    bar = (4 * 4) * 60 / 90  # where the fourth bar of music would begin, its count-in before it
    first, last = bar - 4 * 60 / 90, bar
    seen = []
    for _ in range(25):
        page.wait_for_timeout(60)
        seen.append(track.evaluate("(track) => track.currentTime"))
    assert all(first - 0.05 <= at <= last + 0.35 for at in seen), seen
    assert any(after < before for before, after in itertools.pairwise(seen)), "round"
    item.get_by_role("button", name="Loop: Full speed, 90 bpm").click()
    page.wait_for_timeout(1500)
    assert track.evaluate("(track) => track.paused"), "without the loop it ends with its range"


def test_one_track_plays_at_a_time(built: Path, hand: Callable[..., Hand]) -> None:
    page = hand().page
    page.goto((built / "index.html").as_uri())
    page.evaluate("document.querySelectorAll('audio')[0].play()")
    page.evaluate("document.querySelectorAll('audio')[5].play()")
    paused = page.evaluate(
        "Array.from(document.querySelectorAll('audio'), (track) => track.paused)"
    )
    assert [at for at, still in enumerate(paused) if not still] == [5]
