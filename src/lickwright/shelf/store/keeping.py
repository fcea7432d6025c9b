"""How do lessons and licks come onto the shelf, and leave it?

The same lesson (its teacher, number and title) is never there twice: a changed file takes the
place of the former one, an unchanged one is left alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from enum import StrEnum
from typing import Any

from sqlalchemy import ColumnElement, Connection, Table, delete, insert, select

from lickwright.shelf.errors import ShelfError
from lickwright.shelf.licks import ShelvedLesson, ShelvedLick, marks_of, score_digest, score_json
from lickwright.shelf.store import tables
from lickwright.shelf.store.fingerprint_rows import write_prints
from lickwright.shelf.store.store import Shelf
from lickwright.shelf.store.text_index import add_words, drop_words, words_of


class Kept(StrEnum):
    """What putting something on the shelf did."""

    ADDED = "added"
    REPLACED = "put in place of the former one"
    THERE = "there already"


def keep_lesson(shelf: Shelf, lesson: ShelvedLesson) -> Kept:
    """Put a lesson and its licks on the shelf."""
    with shelf.writing() as connection:
        return write_lesson(connection, lesson)


def keep_lick(shelf: Shelf, lick: ShelvedLick, file: str) -> Kept:
    """Put one lick on the shelf that belongs to no lesson; ``file`` is where it came from."""
    with shelf.writing() as connection:
        return write_lick(connection, lick, file)


def same_lesson(lesson: ShelvedLesson) -> list[ColumnElement[bool]]:
    """The conditions by which a lesson is the same one, whatever its text."""
    known = tables.lesson.c
    number = known.number.is_(None) if lesson.number is None else known.number == lesson.number
    return [known.teacher == lesson.teacher, number, known.title == lesson.title]


def write_lesson(connection: Connection, lesson: ShelvedLesson) -> Kept:
    """As :func:`keep_lesson`, inside a transaction."""
    same = select(tables.lesson.c.id, tables.lesson.c.digest).where(*same_lesson(lesson))
    former = connection.execute(same).first()
    if former is not None and former.digest == lesson.digest:
        return Kept.THERE
    if former is not None:
        drop_lessons(connection, [former.id])
    lesson_id = connection.execute(
        insert(tables.lesson)
        .values(
            title=lesson.title,
            number=lesson.number,
            teacher=lesson.teacher,
            file=lesson.file,
            digest=lesson.digest,
            text=lesson.text,
        )
        .returning(tables.lesson.c.id)
    ).scalar_one()
    about = [lesson.title, lesson.teacher]
    write_licks(
        connection,
        [(lick, lesson_id, place, "", about) for place, lick in enumerate(lesson.licks)],
    )
    return Kept.ADDED if former is None else Kept.REPLACED


def write_lick(connection: Connection, lick: ShelvedLick, file: str) -> Kept:
    """As :func:`keep_lick`, inside a transaction."""
    there = select(tables.lick.c.id).where(
        tables.lick.c.digest == score_digest(lick.score), tables.lick.c.lesson_id.is_(None)
    )
    if connection.execute(there).first() is not None:
        return Kept.THERE
    write_licks(connection, [(lick, None, 0, file, [])])
    return Kept.ADDED


#: A lick, the id of its lesson, its place there, the file it came from, words about its lesson.
Placed = tuple[ShelvedLick, int | None, int, str, Sequence[str]]


def write_licks(connection: Connection, licks: Sequence[Placed]) -> None:
    """Write licks and everything they are found by."""
    if not licks:
        return
    made = connection.execute(
        insert(tables.lick).returning(tables.lick.c.id, sort_by_parameter_order=True),
        [
            {"lesson_id": lesson_id, "place": place, "file": file} | _row(lick)
            for lick, lesson_id, place, file, _ in licks
        ],
    )
    ids = list(made.scalars())
    facts: dict[Table, list[dict[str, Any]]] = {
        table: [] for table in (tables.body, tables.chord, tables.technique)
    }
    for lick_id, (lick, *_) in zip(ids, licks, strict=True):
        for table, row in _beside(lick):
            facts[table].append({"lick_id": lick_id} | row)
    for table, rows in facts.items():
        if rows:
            connection.execute(insert(table), rows)
    write_prints(
        connection, [(lick_id, lick.score) for lick_id, (lick, *_) in zip(ids, licks, strict=True)]
    )
    add_words(
        connection,
        [
            (lick_id, _words(lick, about))
            for lick_id, (lick, *_, about) in zip(ids, licks, strict=True)
        ],
    )


def _row(lick: ShelvedLick) -> dict[str, Any]:
    """The columns of a lick that follow from it alone."""
    facts = lick.facts
    printed = dict.fromkeys(str(fact.chord) for fact in facts.chords if fact.printed)
    return {
        "name": lick.score.name,
        "digest": score_digest(lick.score),
        "key": facts.key,
        "tuning": facts.tuning,
        "lowest_string": facts.strings[0],
        "highest_string": facts.strings[1],
        "lowest_fret": facts.frets[0],
        "highest_fret": facts.frets[1],
        "target_bpm": lick.score.target_bpm,
        "ceiling_bpm": facts.ceiling_bpm,
        "chords": " ".join(printed),
        "triads": " ".join(map(str, facts.triads)),
        "techniques": ", ".join(facts.techniques),
    }


def _beside(lick: ShelvedLick) -> Iterable[tuple[Table, dict[str, Any]]]:
    """The rows that stand beside a lick."""
    facts = lick.facts
    yield (
        tables.body,
        {
            "contour": facts.contour,
            "rhythm": facts.rhythm,
            "text": facts.text,
            "score": score_json(lick.score),
        },
    )
    for nth, fact in enumerate(facts.chords):
        chord = fact.chord
        yield (
            tables.chord,
            {
                "nth": nth,
                "place": fact.place,
                "printed": fact.printed,
                "symbol": str(chord),
                "suffix": chord.kind.suffix,
                "root": chord.root.pc,
                "bass": chord.bass_note.pc,
                "family": fact.family,
            },
        )
    for technique in facts.techniques:
        yield tables.technique, {"name": technique}


def _words(lick: ShelvedLick, about: Sequence[str]) -> list[str]:
    """Everything that a lick is found by: the words said of it, its facts by name, its marks."""
    facts = lick.facts
    said = words_of(
        lick.score.name,
        *about,
        facts.text,
        *(str(fact.chord) for fact in facts.chords if fact.printed),
        *map(str, facts.triads),
        *facts.techniques,
        facts.key,
        facts.tuning,
        facts.contour,
        facts.rhythm,
    )
    return [*said, *marks_of(facts)]


def remove_lesson(shelf: Shelf, lesson_id: int) -> None:
    """Take a lesson and its licks off the shelf.

    Raises
    ------
    ShelfError
        When there is no such lesson.
    """
    with shelf.writing() as connection:
        known = select(tables.lesson.c.id).where(tables.lesson.c.id == lesson_id)
        if connection.execute(known).first() is None:
            raise ShelfError(
                f"there is no lesson {lesson_id} on the shelf", mend="Look at the list of lessons"
            )
        drop_lessons(connection, [lesson_id])


def remove_lick(shelf: Shelf, lick_id: int) -> None:
    """Take a lick that belongs to no lesson off the shelf.

    Raises
    ------
    ShelfError
        When there is no such lick, or it is part of a lesson.
    """
    with shelf.writing() as connection:
        known = select(tables.lick.c.lesson_id).where(tables.lick.c.id == lick_id)
        found = connection.execute(known).first()
        if found is None:
            raise ShelfError(
                f"there is no lick {lick_id} on the shelf", mend="Look for it with find"
            )
        if found.lesson_id is not None:
            raise ShelfError(
                f"lick {lick_id} is an example of a lesson",
                mend="Take it out of the lesson file and add that again, or remove the lesson",
            )
        _drop_licks(connection, [lick_id])


def drop_lessons(connection: Connection, lesson_ids: Sequence[int]) -> None:
    """Take lessons away inside a transaction."""
    belongs = tables.lick.c.lesson_id.in_(lesson_ids)
    licks = list(connection.execute(select(tables.lick.c.id).where(belongs)).scalars())
    _drop_licks(connection, licks)
    connection.execute(delete(tables.lesson).where(tables.lesson.c.id.in_(lesson_ids)))


def _drop_licks(connection: Connection, lick_ids: Sequence[int]) -> None:
    drop_words(connection, lick_ids)
    connection.execute(delete(tables.lick).where(tables.lick.c.id.in_(lick_ids)))
