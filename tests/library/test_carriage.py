"""A shelf carried out and in again is the same shelf, on either database."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from lickwright.shelf.errors import ShelfError
from lickwright.shelf.licks.shelved import ShelvedLesson
from lickwright.shelf.neighbours import near
from lickwright.shelf.searching import LickSearch, find, lessons
from lickwright.shelf.store.export import export_file, export_lines, import_file
from lickwright.shelf.store.keeping import Kept, keep_lesson, keep_lick, write_lesson, write_lick
from lickwright.shelf.store.store import Shelf

from .catalogue import catalogue, series


def test_out_and_in_again_gives_the_same_lines(
    place: str, tmp_path: Path, demo: ShelvedLesson
) -> None:
    with Shelf(place) as shelf:
        keep_lesson(shelf, demo)
        with shelf.writing() as connection:
            for lesson in series(12):
                write_lesson(connection, replace(lesson, text="lesson: 'naïve\r\n\u2028'\n"))
            for lick in catalogue(230, seed=3):
                write_lick(connection, lick, "some file.musicxml")
        count = export_file(shelf, tmp_path / "out.jsonl")
        lines = list(export_lines(shelf))
        assert count == len(lines) == 1 + 13 + len({line for line in lines if '"lick":' in line})
        written = (tmp_path / "out.jsonl").read_bytes()
        assert written == "".join(lines).encode()
        again = import_file(shelf, tmp_path / "out.jsonl")
        assert again == {Kept.THERE: count - 1}
        searches = (
            LickSearch(words="tide"),
            LickSearch(chord="m9"),
            LickSearch(techniques=("sweep",)),
        )
        found = [
            [(card.name, card.home) for card in find(shelf, search, limit=500).licks]
            for search in searches
        ]
        alike = [str(one) for one in near(shelf, demo.licks[1].score)]
    with Shelf(tmp_path / "second.sqlite") as second:
        assert import_file(second, tmp_path / "out.jsonl") == {Kept.ADDED: count - 1}
        assert list(export_lines(second)) == lines
        assert found == [
            [(card.name, card.home) for card in find(second, search, limit=500).licks]
            for search in searches
        ]
        assert alike == [str(one) for one in near(second, demo.licks[1].score)]


def test_the_text_of_a_lesson_comes_back_word_for_word(
    shelf: Shelf, demo: ShelvedLesson, demo_path: Path
) -> None:
    keep_lesson(shelf, demo)
    line = json.loads(list(export_lines(shelf))[1])
    assert line["lesson"]["text"] == demo_path.read_text("utf-8")


def damage(lines: list[str], number: int, change: Callable[[dict[str, Any]], None]) -> list[str]:
    data = json.loads(lines[number])
    change(data)
    return [*lines[:number], json.dumps(data) + "\n", *lines[number + 1 :]]


def _drop(*path: str | int) -> Callable[[dict[str, Any]], None]:
    def change(data: Any) -> None:
        for step in path[:-1]:
            data = data[step]
        del data[path[-1]]

    return change


def _put(value: object, *path: str | int) -> Callable[[dict[str, Any]], None]:
    def change(data: Any) -> None:
        for step in path[:-1]:
            data = data[step]
        data[path[-1]] = value

    return change


@pytest.mark.parametrize(
    ("number", "change", "said"),
    [
        (0, _put("something else", "format"), "not exported from a shelf"),
        (0, _put(2, "version"), "version 2"),
        (1, _put(None, "lesson"), "damaged"),
        (1, _put("seven", "lesson", "number"), "number is damaged"),
        (1, _put("\x00", "lesson", "title"), "'title' is damaged"),
        (1, _put("\ud800", "lesson", "text"), "'text' is damaged"),
        (1, _drop("licks"), "damaged"),
        (1, _put("tapping", "licks", 0, "techniques"), "technique"),
        (1, _put([[0, "H7", True]], "licks", 0, "chords"), "not a chord"),
        (1, _put([[0, "C7", 1]], "licks", 0, "chords"), "chord is damaged"),
        (1, _put("Cmaj7", "licks", 0, "triads"), "not a triad"),
        (1, _put([1, "x"], "licks", 0, "strings"), "range"),
        (1, _put("fast", "licks", 0, "ceiling_bpm"), "ceiling"),
        (1, _put("Q", "licks", 0, "key"), "not a key"),
        (1, _drop("licks", 0, "score", "places"), "damaged"),
        (2, _drop("lick"), "lick is missing"),
        (2, _drop("file"), "'file' is damaged"),
    ],
)
def test_a_damaged_line_is_told_and_nothing_is_kept(
    shelf: Shelf,
    demo: ShelvedLesson,
    tmp_path: Path,
    number: int,
    change: Callable[[dict[str, Any]], None],
    said: str,
) -> None:
    path = tmp_path / "shelf.jsonl"
    with Shelf(tmp_path / "source.sqlite") as source:
        keep_lesson(source, demo)
        keep_lick(source, demo.licks[0], "alone.mxl")
        lines = list(export_lines(source))
    path.write_text("".join(damage(lines, number, change)), encoding="utf-8")
    with pytest.raises(ShelfError, match=said) as caught:
        import_file(shelf, path)
    assert caught.value.where is not None
    assert caught.value.where.line == number + 1
    assert lessons(shelf) == []
    assert find(shelf, LickSearch()).licks == ()


@pytest.mark.parametrize(
    ("content", "said"),
    [(b"", "empty"), (b"\xff\xfe", "cannot be read"), (b"[1]\n", "no lesson"), (b"{", "cannot be")],
)
def test_a_file_of_something_else_is_refused(
    shelf: Shelf, tmp_path: Path, content: bytes, said: str
) -> None:
    path = tmp_path / "x.jsonl"
    path.write_bytes(content)
    with pytest.raises(ShelfError, match=said):
        import_file(shelf, path)


def test_files_that_cannot_be_read_or_written_are_told(shelf: Shelf, tmp_path: Path) -> None:
    with pytest.raises(ShelfError, match="cannot be read"):
        import_file(shelf, tmp_path / "missing.jsonl")
    with pytest.raises(ShelfError, match="cannot be written"):
        export_file(shelf, tmp_path / "missing" / "out.jsonl")


def test_an_export_that_fails_leaves_the_former_file(
    shelf: Shelf, demo: ShelvedLesson, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    from lickwright.shelf.store import export as carriage

    keep_lesson(shelf, demo)
    path = tmp_path / "out.jsonl"
    path.write_text("the former one")

    def fail(_: object) -> Any:
        yield "half\n"
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(carriage, "export_lines", fail)
    with pytest.raises(ShelfError, match="no space left"):
        export_file(shelf, path)
    assert path.read_text() == "the former one"
    assert [each.name for each in tmp_path.glob("*out*")] == ["out.jsonl"]
