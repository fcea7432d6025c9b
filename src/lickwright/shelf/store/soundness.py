"""Is everything on a shelf whole?

The database's own check of its pages and indexes, where it has one; then what only we can know: the
text of a lesson and the notes of a lick still have the hash that they were kept under, a lick has
all that belongs to it, and nothing is left of one that is gone.
"""

from __future__ import annotations

import hashlib
import os
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Connection, FromClause, func, select
from sqlalchemy.exc import DBAPIError

from lickwright.errors import LickwrightError
from lickwright.shelf.licks import score_from_json
from lickwright.shelf.store import tables
from lickwright.shelf.store.store import Shelf
from lickwright.shelf.store.text_index import INDEX

#: How many rows are read at once.
BATCH = 500
#: How many faults are told; a shelf with more is past telling one by one.
MOST_FAULTS = 50
#: The tables that hold what was kept, those that others point at first.
CARRIED = tuple(each for each in tables.metadata.sorted_tables if each is not tables.version)
#: Tables whose every row belongs to a lick, and whether every lick must have one.
_OF_A_LICK = (
    (tables.body, True),
    (tables.chord, False),
    (tables.technique, False),
    (tables.prints, False),
    (tables.band, False),
)


@dataclass(frozen=True, slots=True)
class Soundness:
    """What was found of a shelf.

    Parameters
    ----------
    version : of its tables.
    counts : rows by table; none where they cannot be counted.
    faults : one sentence each; none where the shelf is whole.
    """

    version: int
    counts: Mapping[str, int]
    faults: tuple[str, ...]

    @property
    def is_whole(self) -> bool:
        return not self.faults

    def as_data(self) -> dict[str, Any]:
        """The same as plain data, for ``--json``."""
        return {
            "version": self.version,
            "whole": self.is_whole,
            "counts": dict(self.counts),
            "faults": list(self.faults),
        }


def verify(shelf: Shelf) -> Soundness:
    """Look whether a shelf is whole; nothing is changed.

    Raises
    ------
    ShelfError
        When it cannot be read at all.
    """
    # Only a writer may ask SQLite's index of words whether it is whole; it writes nothing.
    may_write = shelf.file is not None and os.access(shelf.file, os.W_OK)
    with shelf.writing() if may_write else shelf.reading() as connection:
        found = soundness_of(connection)
        connection.rollback()  # a damaged index would refuse to be kept, though nothing was changed
        return found


def soundness_of(connection: Connection) -> Soundness:
    """As :func:`verify`, inside a transaction."""
    version = int(connection.execute(select(tables.version.c.version)).scalar_one())
    counts: dict[str, int] = {}
    faults: list[str] = []
    try:
        counts |= counts_of(connection)
        for fault in _faults(connection):
            faults.append(fault)
            if len(faults) == MOST_FAULTS:
                faults.append("there are more")
                break
    except DBAPIError as error:
        # A damaged page ends the reading; what was found before it is still told.
        faults.append(f"the database cannot be read to its end ({_first_line(error)})")
    return Soundness(version, counts, tuple(faults))


def counts_of(connection: Connection) -> dict[str, int]:
    """The rows of every table that holds what was kept, and of the words."""
    found = {
        each.name: each for each in tables.metadata.sorted_tables if each is not tables.version
    }
    counted: dict[str, FromClause] = {**found, "lick_words": _words(connection)}
    return {
        name: int(connection.execute(select(func.count()).select_from(each)).scalar_one())
        for name, each in counted.items()
    }


def _words(connection: Connection) -> FromClause:
    return INDEX[connection.dialect.name]


def _faults(connection: Connection) -> Iterator[str]:
    if connection.dialect.name == "sqlite":
        damage = connection.exec_driver_sql("PRAGMA integrity_check(20)").scalars().all()
        if damage != ["ok"]:
            # What stands on damaged pages says nothing more.
            yield from (f"the file is damaged ({str(line).splitlines()[0]})" for line in damage)
            return
        if connection.get_execution_options().get("writes"):
            yield from _words_amiss(connection)
    yield from _columns_amiss(connection)
    yield from _orphans(connection)
    yield from _lessons(connection)
    yield from _licks(connection)


def _words_amiss(connection: Connection) -> Iterator[str]:
    """Whether the index of words holds what its rows say."""
    try:
        connection.exec_driver_sql(
            "INSERT INTO lick_words (lick_words, rank) VALUES ('integrity-check', 1)"
        )
    except DBAPIError as error:
        yield f"the index of words is damaged ({_first_line(error)})"


def _columns_amiss(connection: Connection) -> Iterator[str]:
    """Numbers that are none: SQLite lets anything stand anywhere."""
    if connection.dialect.name != "sqlite":
        return
    for each in tables.metadata.sorted_tables:
        for column in each.columns:
            wanted = {str: ("text",), float: ("real", "integer")}
            allowed = [*wanted.get(column.type.python_type, ("integer",))]
            if column.nullable:
                allowed.append("null")
            kind = func.typeof(column)
            amiss = select(func.count()).select_from(each).where(kind.not_in(allowed))
            number = connection.execute(amiss).scalar_one()
            if number:
                yield f"{each.name}.{column.name} holds something else {_times(number)}"


def _times(number: int) -> str:
    return "once" if number == 1 else f"{number} times"


def _orphans(connection: Connection) -> Iterator[str]:
    """Rows of licks and lessons that are gone, and licks that lack what belongs to them."""
    lick = tables.lick
    lessons = select(tables.lesson.c.id)
    for row in connection.execute(
        select(lick.c.id)
        .where(lick.c.lesson_id.is_not(None), lick.c.lesson_id.not_in(lessons))
        .order_by(lick.c.id)
    ):
        yield f"lick {row.id} belongs to a lesson that is not there"
    words = _words(connection)
    beside: list[tuple[FromClause, Any, bool]] = [
        (each, each.c.lick_id, wanted) for each, wanted in _OF_A_LICK
    ]
    beside.append((words, words.columns[0], True))
    for each, lick_id, wanted in beside:
        name = getattr(each, "name", "")
        lost = select(lick_id).where(lick_id.not_in(select(lick.c.id))).distinct().order_by(lick_id)
        for number in connection.execute(lost).scalars():
            yield f"{name} holds rows of lick {number}, which is not there"
        if wanted:
            lacks = select(lick.c.id).where(lick.c.id.not_in(select(lick_id))).order_by(lick.c.id)
            for number in connection.execute(lacks).scalars():
                yield f"lick {number} has no row in {name}"


def _lessons(connection: Connection) -> Iterator[str]:
    lesson, lick = tables.lesson, tables.lick
    for row in _rows(connection, lesson.c.id, lesson.c.text, lesson.c.digest):
        if hashlib.sha256(row.text.encode()).hexdigest() != row.digest:
            yield f"the text of lesson {row.id} is not what was kept"
    places = (
        select(lick.c.lesson_id, func.count(), func.min(lick.c.place), func.max(lick.c.place))
        .where(lick.c.lesson_id.is_not(None))
        .group_by(lick.c.lesson_id)
        .order_by(lick.c.lesson_id)
    )
    for lesson_id, number, first, last in connection.execute(places):
        if (first, last) != (0, number - 1):
            yield f"examples of lesson {lesson_id} are missing"


def _licks(connection: Connection) -> Iterator[str]:
    lick, body = tables.lick, tables.body
    joined = lick.join(body, body.c.lick_id == lick.c.id)
    for row in _rows(connection, lick.c.id, body.c.score, lick.c.digest, joined=joined):
        if hashlib.sha256(row.score.encode()).hexdigest() != row.digest:
            yield f"the notes of lick {row.id} are not what was kept"
            continue
        try:
            score_from_json(row.score)
        except LickwrightError as error:
            yield f"the notes of lick {row.id} cannot be read ({error.what})"


def _rows(
    connection: Connection, number: Any, *columns: Any, joined: FromClause | None = None
) -> Iterator[Any]:
    """Rows in the order of their numbers, some at a time."""
    last = -1
    while True:
        query = select(number, *columns).where(number > last).order_by(number).limit(BATCH)
        if joined is not None:
            query = query.select_from(joined)
        batch = connection.execute(query).all()
        if not batch:
            return
        yield from batch
        last = batch[-1][0]


def _first_line(error: DBAPIError) -> str:
    return (str(error.orig).strip().splitlines() or [type(error.orig).__name__])[0]
