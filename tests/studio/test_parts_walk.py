"""A two-part merged lick made and carried by hand alone, from an empty folder, in a real browser.

Which moves a teacher wants there is common practice, no source; the same walk from the file stands
in ``tests/lesson/test_carry_walk.py``.
"""

from __future__ import annotations

from collections.abc import Callable

from lickwright.changes.carry.moves import MoveKind
from lickwright.lesson.checks import check
from lickwright.lesson.compile.examples import Workshop
from lickwright.lesson.file.reading import load_lesson
from lickwright.lick.picking.check import check_strokes
from lickwright.lick.picking.text import mirror_strokes

from .conftest import Hand, Running

CHANGES = "Bm9 | % | Em9 | % | C#m7b5 | % | Gmaj9#11 | %"


def test_a_lick_of_two_merged_pairs_is_made_and_carried(
    studio: Callable[..., Running], hand: Callable[..., Hand]
) -> None:
    running, teacher = studio(), hand()
    page = teacher.page
    teacher.open(running.address)
    teacher.write("Title", "Two Tides")
    teacher.write("Key", "B minor")
    teacher.click("Begin")
    path = running.folder / "two-tides.yaml"
    # The pair that the studio begins with: B minor and D over B.
    teacher.wait_saved(path, "triads: [Bm, D]")

    teacher.click("Place", within=".rooms")
    page.get_by_label("Joined", exact=True).select_option("merged")
    teacher.wait_saved(path, "joined: merged")
    teacher.write("Frets", "7-10")
    teacher.write("Strings", "2-4")
    teacher.wait_saved(path, "strings: 2-4")
    page.locator("#board-said", has_text="Merged triads").wait_for()

    teacher.click("Shape", within=".rooms")
    teacher.write("Contour", "up")
    teacher.write("Rhythm", "q 3(e e e) h")
    teacher.write("Bars", "1")
    teacher.write("Its triads", "D, F#m")
    teacher.write("Its frets", "6-14")
    teacher.click("Add a part")
    teacher.wait_saved(path, "mirror: 1")
    teacher.write("Said to imply", "Bm9")
    teacher.wait_saved(path, "implies: Bm9")
    page.locator('#music [aria-label="Part 2"]').first.wait_for()

    teacher.click("Carry", within=".rooms")
    teacher.write("Changes", CHANGES)
    teacher.click("Carry it")
    teacher.wait_saved(path, CHANGES)
    # Eight bars of two parts are looked for among thousands of lines.
    page.locator(".chord-cards .card").nth(3).wait_for(timeout=120_000)
    teacher.click("Look for other ways")
    page.locator(".ways table").wait_for(timeout=120_000)
    rows = page.locator(".ways tbody tr").all_inner_texts()[:3]
    moves = (
        "the same grip on the same strings, 5 frets up",
        "other triads: ",
        "the first shape comes back unchanged, over G",
    )
    assert any(all(move in row for move in moves) for row in rows), rows

    lesson = load_lesson(path)
    assert [example.kind for example in lesson.examples] == ["parts", "lick"]
    assert check(lesson) == []
    shop = Workshop(lesson)
    own = shop.worked(0).score.lick
    (one, two) = ([note.stroke for note in own.notes_of(part)] for part in (0, 1))
    assert two == mirror_strokes(one)
    wanted = [MoveKind.AS_MADE, MoveKind.GRIP, MoveKind.TRIADS, MoveKind.BACK]
    assert wanted in [[choice.move.kind for choice in way.choices] for way in shop.ways(1, 3)]
    notes = shop.worked(1).score.lick.notes
    positions, strokes = [n.position for n in notes], [n.stroke for n in notes]
    assert check_strokes(positions, strokes, onsets=[n.onset for n in notes]) == []
    assert teacher.actions < 40


def test_a_part_is_changed_and_taken_out_again(
    studio: Callable[..., Running], hand: Callable[..., Hand]
) -> None:
    running, teacher = studio(), hand()
    path = running.folder / "parts.yaml"
    path.parent.mkdir(exist_ok=True)
    path.write_text(
        "lesson: Parts\nkey: A minor\nexamples:\n  - name: One\n    over: A\n    joined: merged\n"
        "    strings: 2-4\n    contour: up\n    rhythm: 8ths\n    parts:\n"
        "      - triads: [C, Am]\n        frets: 5-8\n        lasts: a bar\n"
        "      - triads: [C, Em]\n        frets: 4-12\n        mirror: 1\n",
        "utf-8",
    )
    teacher.open(f"{running.address}lesson/parts.yaml")
    teacher.click("Shape", within=".rooms")
    teacher.write("Part 1 lasts", "2 bars")
    text = teacher.wait_saved(path, "lasts: 2 bars")
    assert "mirror: 1" in text
    teacher.click("Take Part 2 out")
    teacher.wait_for(lambda: "mirror" not in path.read_text("utf-8"), "one part less")
    assert len(load_lesson(path).examples[0].parts or ()) == 1
    teacher.click("Place", within=".rooms")
    teacher.page.get_by_text("Each part has a place of its own").wait_for()
