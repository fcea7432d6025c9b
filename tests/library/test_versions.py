"""A shelf of the first version becomes one of today, with all that it held.

``version-1.json`` is what the first version wrote, row by row.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Connection, insert, inspect, select, text

from lickwright.shelf.errors import ShelfError
from lickwright.shelf.neighbours import near_lick
from lickwright.shelf.searching import LickSearch, find, lessons, lick_card
from lickwright.shelf.store import tables, versions
from lickwright.shelf.store.export import export_lines
from lickwright.shelf.store.store import Shelf
from lickwright.shelf.store.text_index import add_words
from lickwright.shelf.store.versions import STEPS

FIRST: dict[str, Any] = json.loads(
    (Path(__file__).parent / "version-1.json").read_text(encoding="utf-8")
)


def make_first(place: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A shelf as the first version left it."""

    def fill(connection: Connection) -> None:
        made = {table.name: table for table in tables.metadata.sorted_tables}
        for name, rows in FIRST["tables"].items():
            connection.execute(insert(made[name]), rows)
        add_words(
            connection, [(int(lick), words.split()) for lick, words in FIRST["words"].items()]
        )
        if connection.dialect.name == "postgresql":
            for name in ("lesson", "lick"):
                connection.execute(
                    text(
                        f"SELECT setval(pg_get_serial_sequence('{name}', 'id'),"
                        f" (SELECT max(id) FROM {name}))"
                    )
                )

    monkeypatch.setattr("lickwright.shelf.store.store.STEPS", STEPS[:1])
    monkeypatch.setattr(versions, "STEPS", STEPS[:1])
    with Shelf(place) as shelf, shelf.writing() as connection:
        fill(connection)
    monkeypatch.undo()


def test_the_first_version_is_brought_up_to_date(
    place: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_first(place, monkeypatch)
    with Shelf(place) as shelf:
        assert shelf.upgraded_from == 1
        assert [str(card) for card in lessons(shelf)] == ["lesson 3, The Same Door"]
        assert {card.name for card in find(shelf, LickSearch()).licks} == {
            "The old pair",
            "By hand",
            "Alone",
        }
        said = [card.name for card in find(shelf, LickSearch(words="another season")).licks]
        assert said == ["Alone", "The old pair"]
        assert [card.name for card in find(shelf, LickSearch(chord="B13")).licks] == ["By hand"]
        _, score, _ = lick_card(shelf, 2)
        # As the tab in its lesson file has it.
        frets = [note.position.fret for note in score.lick.notes]
        assert frets == [12, 11, 10, 12, 14, 9, 8, 9]
        # What the second version added knows the licks of the first.
        said = [str(one) for one in near_lick(shelf, 1)]
        assert said == ["You taught this, note for note, in alone.musicxml, 'Alone'"]
    with Shelf(place) as again:
        assert again.upgraded_from == len(STEPS)


def test_an_old_shelf_and_a_new_one_are_made_alike(
    place: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    make_first(place, monkeypatch)
    with Shelf(place) as old, Shelf(tmp_path / "new.sqlite") as new:
        assert next(export_lines(old)) == next(export_lines(new))
        with old.reading() as one, new.reading() as two:
            names = {
                name for name in inspect(two).get_table_names() if not name.startswith("lick_words")
            }
            assert names <= set(inspect(one).get_table_names())
            for name in names - {"sqlite_sequence"}:
                columns = [
                    {column["name"] for column in inspect(each).get_columns(name)}
                    for each in (one, two)
                ]
                assert columns[0] == columns[1]


def test_a_step_that_fails_leaves_the_shelf_as_it_was(
    place: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    make_first(place, monkeypatch)
    broken: list[Callable[[Connection], None]] = [*STEPS, _break]
    monkeypatch.setattr("lickwright.shelf.store.store.STEPS", tuple(broken))
    monkeypatch.setattr(versions, "STEPS", tuple(broken))
    with pytest.raises(ShelfError, match="cannot be used"):
        Shelf(place)
    monkeypatch.undo()
    with Shelf(place) as shelf:
        assert shelf.upgraded_from == 1
        with shelf.reading() as connection:
            assert connection.execute(select(tables.version.c.version)).scalar_one() == len(STEPS)


def _break(connection: Connection) -> None:
    connection.execute(text("CREATE TABLE half_made (a INTEGER)"))
    connection.execute(text("SELECT nothing FROM nowhere"))
