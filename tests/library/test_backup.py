"""A backup is a whole shelf: it goes back into either database, or not at all."""

from __future__ import annotations

import shutil
import sqlite3
import threading
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import insert, select, text

from lickwright.shelf.errors import ShelfError
from lickwright.shelf.licks.shelved import ShelvedLesson
from lickwright.shelf.searching import LickSearch, find, lessons
from lickwright.shelf.store import backup, tables
from lickwright.shelf.store.backup import back_up, put_back
from lickwright.shelf.store.export import export_file, export_lines
from lickwright.shelf.store.keeping import keep_lesson, keep_lick, remove_lesson, write_lesson
from lickwright.shelf.store.soundness import CARRIED, verify
from lickwright.shelf.store.store import Shelf
from lickwright.shelf.store.text_index import kept_words
from lickwright.shelf.store.versions import STEPS

from .catalogue import series
from .test_versions import FIRST, make_first


@pytest.fixture
def full(shelf: Shelf, demo: ShelvedLesson) -> Shelf:
    """A shelf with lessons, a lone lick, and numbers that are no longer in use."""
    with shelf.writing() as connection:
        for lesson in series(6):
            write_lesson(connection, replace(lesson, text="lesson: 'naïve\r\n\u2028'\n"))
    keep_lesson(shelf, demo)
    keep_lick(shelf, demo.licks[0], "alone.mxl")
    remove_lesson(shelf, 2)
    return shelf


def rows(shelf: Shelf) -> dict[str, list[Any]]:
    """Everything on a shelf, number by number."""
    with shelf.reading() as connection:
        found: dict[str, list[Any]] = {
            table.name: [
                tuple(row)
                for row in connection.execute(select(table).order_by(*table.primary_key.columns))
            ]
            for table in CARRIED
        }
        found["words"] = [(number, sorted(words)) for number, words in kept_words(connection)]
    return found


def test_a_backup_is_the_same_shelf_in_one_file(full: Shelf, tmp_path: Path) -> None:
    file = tmp_path / "kept.sqlite"
    made = back_up(full, file)
    assert made.is_whole
    assert made.counts["lesson"] == 6
    with Shelf(file) as copy:
        assert rows(copy) == rows(full)
        assert list(export_lines(copy)) == list(export_lines(full))
        assert find(copy, LickSearch(chord="m9")).licks == find(full, LickSearch(chord="m9")).licks
    assert not list(tmp_path.glob(".lickwright*"))


def test_put_back_into_either_database(
    full: Shelf, place: str, tmp_path: Path, demo: ShelvedLesson
) -> None:
    """Under the fixture's other parameter the shelf is a Postgres one."""
    kept = rows(full)
    back_up(full, tmp_path / "kept.sqlite")
    with Shelf(tmp_path / "new.sqlite") as new:
        done = put_back(new, tmp_path / "kept.sqlite")
        assert set(done.before.values()) == {0}
        assert rows(new) == kept
        assert verify(new).is_whole
    keep_lesson(full, replace(demo, title="Another", number=77))
    with pytest.raises(ShelfError, match=r"not empty \(lessons: 7, licks: \d+\)"):
        put_back(full, tmp_path / "kept.sqlite")
    assert len(lessons(full)) == 7
    done = put_back(full, tmp_path / "kept.sqlite", replace=True)
    assert done.before["lesson"] == 7
    assert rows(full) == kept
    # What is kept next gets a number of its own.
    keep_lesson(full, replace(demo, title="Another", number=77))
    assert len(lessons(full)) == 7
    assert verify(full).is_whole


def test_a_shelf_of_the_first_version_goes_back_as_one_of_today(
    shelf: Shelf, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "first.sqlite"
    make_first(str(file), monkeypatch)
    before = file.read_bytes()
    done = put_back(shelf, file)
    assert file.read_bytes() == before
    assert done.now.version == len(STEPS)
    assert done.now.counts["lesson"] == len(FIRST["tables"]["lesson"])
    assert done.now.counts["lick_print"] > 0
    assert find(shelf, LickSearch(words="another season")).licks


def test_a_backup_holds_one_moment_while_others_write(
    place: str, tmp_path: Path, demo: ShelvedLesson
) -> None:
    stop = threading.Event()

    def write() -> None:
        with Shelf(place) as writer:
            number = 0
            while not stop.is_set():
                number += 1
                keep_lesson(writer, replace(demo, number=number))

    thread = threading.Thread(target=write)
    with Shelf(place) as shelf:
        thread.start()
        try:
            while not lessons(shelf):
                stop.wait(0.01)
            for nth in range(3):
                made = back_up(shelf, tmp_path / f"kept-{nth}.sqlite")
                assert made.is_whole
                assert made.counts["lick"] == len(demo.licks) * made.counts["lesson"]
        finally:
            stop.set()
            thread.join()


def test_a_file_that_is_there_stays(full: Shelf, tmp_path: Path) -> None:
    file = tmp_path / "notes.txt"
    file.write_text("mine")
    with pytest.raises(ShelfError, match="a file already"):
        back_up(full, file)
    assert file.read_text() == "mine"
    assert back_up(full, file, replace=True).is_whole
    with Shelf(file) as copy:
        assert rows(copy) == rows(full)
    (tmp_path / "folder").mkdir()
    with pytest.raises(ShelfError, match="no plain file"):
        back_up(full, tmp_path / "folder", replace=True)
    with pytest.raises(ShelfError, match="cannot be written"):
        back_up(full, tmp_path / "missing" / "kept.sqlite")
    if full.file is not None:
        for deed in (back_up, put_back):
            with pytest.raises(ShelfError, match="the shelf itself"):
                deed(full, full.file, replace=True)


def test_a_damaged_shelf_does_not_take_the_place_of_a_good_backup(
    full: Shelf, tmp_path: Path
) -> None:
    file = tmp_path / "kept.sqlite"
    back_up(full, file)
    good = file.read_bytes()
    with full.writing() as connection:
        connection.execute(text("UPDATE lesson SET text = 'gone' WHERE id = 3"))
    with pytest.raises(ShelfError, match="the text of lesson 3 is not what was kept"):
        back_up(full, file, replace=True)
    assert file.read_bytes() == good
    assert not list(tmp_path.glob(".lickwright*"))


def _cut(file: Path) -> None:
    file.write_bytes(file.read_bytes()[: file.stat().st_size // 2])


def _scribble(file: Path) -> None:
    data = bytearray(file.read_bytes())
    middle = len(data) // 2
    data[middle : middle + 8192] = b"\x5a" * 8192
    file.write_bytes(data)


def _change(statement: str) -> Callable[[Path], None]:
    def change(file: Path) -> None:
        connection = sqlite3.connect(file)
        with connection:
            connection.execute(statement)
        connection.close()

    return change


@pytest.mark.parametrize(
    ("damage", "said"),
    [
        (_cut, "damaged|malformed|cannot be"),
        (_scribble, "damaged|malformed|cannot be"),
        (lambda file: file.write_bytes(b""), "no backup"),
        (lambda file: file.write_text("some words"), "no backup"),
        (lambda file: file.unlink(), "no such file"),
        (_change("DELETE FROM lick_body WHERE lick_id = 3"), "lick 3 has no row in lick_body"),
        (_change("UPDATE lick_body SET score = '{}' WHERE lick_id = 3"), "notes of lick 3"),
        (_change("UPDATE lick SET place = 'x' WHERE id = 3"), "lick.place holds something else"),
        (_change("DELETE FROM lesson WHERE id = 3"), "belongs to a lesson that is not there"),
        (_change("DROP TABLE lick_band"), "no such table"),
        (_change("UPDATE shelf_version SET version = 99"), "version 99"),
        (_change("DROP TABLE shelf_version"), "something else"),
    ],
)
def test_what_is_damaged_is_not_put_back(
    full: Shelf, tmp_path: Path, damage: Callable[[Path], object], said: str
) -> None:
    file = tmp_path / "kept.sqlite"
    back_up(full, file)
    kept = rows(full)
    damage(file)
    with pytest.raises(ShelfError, match=said) as caught:
        put_back(full, file, replace=True)
    assert "\n" not in str(caught.value)
    assert rows(full) == kept


def test_another_database_and_an_export_are_no_backups(full: Shelf, tmp_path: Path) -> None:
    other = tmp_path / "other.sqlite"
    _change("CREATE TABLE songs (a)")(other)
    with pytest.raises(ShelfError, match="no backup"):
        put_back(full, other, replace=True)
    export_file(full, tmp_path / "all.jsonl")
    with pytest.raises(ShelfError, match="shelf import"):
        put_back(full, tmp_path / "all.jsonl", replace=True)
    assert len(lessons(full)) == 6


def test_a_restore_that_fails_midway_leaves_the_shelf_as_it_was(
    full: Shelf, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "kept.sqlite"
    back_up(full, file)
    remove_lesson(full, 1)
    kept = rows(full)
    real = backup.add_words

    def fail(*asked: Any) -> None:
        real(*asked)
        raise RuntimeError

    monkeypatch.setattr(backup, "add_words", fail)
    with pytest.raises(RuntimeError):
        put_back(full, file, replace=True)
    monkeypatch.setattr(backup, "add_words", lambda *_: None)
    with pytest.raises(ShelfError, match="not every row arrived"):
        put_back(full, file, replace=True)
    assert rows(full) == kept


# --- verify --------------------------------------------------------------------------------------


def test_a_whole_shelf_is_whole_and_counted(full: Shelf, demo: ShelvedLesson) -> None:
    found = verify(full)
    assert found.faults == ()
    assert found.version == len(STEPS)
    assert found.counts["lesson"] == 6
    assert found.counts["lick"] == found.counts["lick_body"] == found.counts["lick_words"]
    assert found.as_data()["whole"] is True


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE lesson SET text = 'x' WHERE id = 4", "the text of lesson 4 is not"),
        ("UPDATE lick_body SET score = 'x' WHERE lick_id = 3", "the notes of lick 3 are not"),
        ("DELETE FROM lick_body WHERE lick_id = 3", "lick 3 has no row in lick_body"),
        ("DELETE FROM lick WHERE id = 1 OR place = 0", "examples of lesson"),
    ],
)
def test_what_is_amiss_on_either_database_is_named(full: Shelf, statement: str, said: str) -> None:
    with full.writing() as connection:
        connection.execute(text(statement))
    faults = verify(full).faults
    assert any(said in fault for fault in faults), faults


@pytest.fixture
def loose(tmp_path: Path, demo: ShelvedLesson) -> Iterator[tuple[Shelf, sqlite3.Connection]]:
    """A SQLite shelf, and a connection that heeds none of its rules."""
    with Shelf(tmp_path / "loose.sqlite") as shelf:
        keep_lesson(shelf, demo)
        connection = sqlite3.connect(tmp_path / "loose.sqlite", isolation_level=None)
        yield shelf, connection
        connection.close()


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("DELETE FROM lesson", "lick 1 belongs to a lesson that is not there"),
        ("INSERT INTO lick_technique VALUES (99, 'sweep')", "lick_technique holds rows of lick 99"),
        ("INSERT INTO lick_words (rowid, words) VALUES (99, 'x')", "lick_words holds rows of lick"),
        ("DELETE FROM lick_words WHERE rowid = 2", "lick 2 has no row in lick_words"),
        ("UPDATE lick_words_content SET c0 = 'other' WHERE id = 1", "index of words is damaged"),
        ("UPDATE lick SET target_bpm = 'fast' WHERE id = 1", "lick.target_bpm holds something"),
    ],
)
def test_what_a_foreign_program_left_in_sqlite_is_named(
    loose: tuple[Shelf, sqlite3.Connection], statement: str, said: str
) -> None:
    shelf, connection = loose
    connection.execute("PRAGMA foreign_keys = OFF")
    connection.execute(statement)
    faults = verify(shelf).faults
    assert any(said in fault for fault in faults), faults


def test_a_scribbled_page_is_found(tmp_path: Path, demo: ShelvedLesson) -> None:
    place = tmp_path / "shelf.sqlite"
    with Shelf(place) as shelf:
        with shelf.writing() as connection:
            for lesson in series(30):
                write_lesson(connection, lesson)
        whole = verify(shelf)
    assert whole.is_whole
    size = place.stat().st_size
    data = bytearray(place.read_bytes())
    data[size // 2 : size // 2 + 4096] = bytes(4096)
    place.write_bytes(data)
    with Shelf(place) as shelf:
        faults = verify(shelf).faults
    assert faults
    assert all("damaged" in fault or "cannot be read" in fault for fault in faults)


def test_a_shelf_with_many_faults_is_told_in_bounds(full: Shelf) -> None:
    with full.writing() as connection:
        connection.execute(text("UPDATE lesson SET digest = 'x'"))
        connection.execute(text("UPDATE lick SET digest = 'x'"))
        connection.execute(
            insert(tables.lesson),
            [
                {
                    "title": "x",
                    "number": number,
                    "teacher": "x",
                    "file": "x",
                    "digest": "x",
                    "text": "",
                }
                for number in range(80)
            ],
        )
    faults = verify(full).faults
    assert len(faults) == 51
    assert faults[-1] == "there are more"


def test_a_shelf_that_may_only_be_read_is_verified(
    tmp_path: Path, demo: ShelvedLesson, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "shelf.sqlite"
    with Shelf(place) as shelf:
        keep_lesson(shelf, demo)
    shutil.copy(place, tmp_path / "only.sqlite")
    monkeypatch.setattr("lickwright.shelf.store.soundness.os.access", lambda *_: False)
    with Shelf(tmp_path / "only.sqlite") as shelf:
        assert verify(shelf).is_whole
