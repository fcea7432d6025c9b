"""Which licks of the shelf have this chord, these triads, this technique, these words?

Every condition narrows the search; what is not given does not matter.  The newest come first.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Connection, Row, Select, func, select

from lickwright.errors import did_you_mean
from lickwright.score import Score
from lickwright.shelf.errors import ShelfError
from lickwright.shelf.licks import (
    FAMILIES,
    TECHNIQUES,
    LessonCard,
    LickCard,
    chord_mark,
    family_mark,
    key_mark,
    score_from_json,
    technique_mark,
    triad_mark,
    tuning_mark,
)
from lickwright.shelf.store import Shelf, holding, tables
from lickwright.theory import parse_key

Range = tuple[int, int]


@dataclass(frozen=True, slots=True)
class LickSearch:
    """What is looked for; ``None`` and empty do not matter.

    Parameters
    ----------
    words : each must stand in the title, the name, the text, or among the facts.
    chord : ``"Dm9"`` on that root, ``"Dm9/G"`` over that bass too, ``"m9"`` on any root.
    family : of a printed chord, one of :data:`~lickwright.shelf.licks.families.FAMILIES`.
    triads : all of them, whatever the order.
    techniques : all of them; see :data:`~lickwright.shelf.licks.facts.TECHNIQUES`.
    tuning : by name or notes.
    key : such as ``"D dorian"``.
    strings, frets : the lick stays within them.
    playable_at : its estimated ceiling is at least so many quarter notes a minute.
    tempo : its target lies between two tempi.
    lesson : the number of its lesson.
    """

    words: str = ""
    chord: str | None = None
    family: str | None = None
    triads: tuple[str, ...] = ()
    techniques: tuple[str, ...] = ()
    tuning: str | None = None
    key: str | None = None
    strings: Range | None = None
    frets: Range | None = None
    playable_at: float | None = None
    tempo: tuple[float, float] | None = None
    lesson: int | None = None


@dataclass(frozen=True, slots=True)
class FoundLicks:
    """Some licks, the newest first; ``more`` says that there are others."""

    licks: tuple[LickCard, ...]
    more: bool


def find(
    shelf: Shelf, search: LickSearch, limit: int = 20, before: int | None = None
) -> FoundLicks:
    """Search the shelf.

    Parameters
    ----------
    limit : how many at most.
    before : go on after a lick that was found, by its id.

    Raises
    ------
    ShelfError, TheoryError, NeckError
        When a condition cannot be read.
    """
    lick_id: ColumnElement[int] = tables.lick.c.id
    query = _cards()
    asked = holding(search.words, list(_marks(search)), shelf.dialect)
    if asked is not None:
        # The index gives its licks newest first, and need not give more than are shown.
        lick_id = asked.lick_id
        query = query.join(asked.index, lick_id == tables.lick.c.id).where(asked.condition)
    if before is not None:
        query = query.where(lick_id < before)
    query = query.where(*_ranges(search)).order_by(lick_id.desc()).limit(limit + 1)
    with shelf.reading() as connection:
        rows = connection.execute(query).all()
    return FoundLicks(tuple(map(_card, rows[:limit])), len(rows) > limit)


def lick_card(shelf: Shelf, lick_id: int) -> tuple[LickCard, Score, str]:
    """One lick of the shelf: in short, whole, and what its teacher says about it.

    Raises
    ------
    ShelfError
        When there is no such lick.
    """
    query = (
        _cards()
        .add_columns(tables.body.c.score, tables.body.c.text)
        .join(tables.body, tables.body.c.lick_id == tables.lick.c.id)
    )
    with shelf.reading() as connection:
        row = connection.execute(query.where(tables.lick.c.id == lick_id)).first()
    if row is None:
        raise ShelfError(f"there is no lick {lick_id} on the shelf", mend="Look for it with find")
    return _card(row), score_from_json(row.score), row.text


def cards(connection: Connection, lick_ids: Sequence[int]) -> dict[int, LickCard]:
    """Some licks in short, by their ids."""
    rows = connection.execute(_cards().where(tables.lick.c.id.in_(lick_ids)))
    return {row.id: _card(row) for row in rows}


def lessons(shelf: Shelf) -> list[LessonCard]:
    """Every lesson of the shelf, by number and title."""
    lesson = tables.lesson
    count = func.count(tables.lick.c.id).label("licks")
    query = (
        select(lesson.c.id, lesson.c.title, lesson.c.number, lesson.c.teacher, lesson.c.file, count)
        .outerjoin(tables.lick, tables.lick.c.lesson_id == lesson.c.id)
        .group_by(lesson.c.id)
        .order_by(lesson.c.number.is_(None), lesson.c.number, lesson.c.title, lesson.c.id)
    )
    with shelf.reading() as connection:
        return [LessonCard(*row) for row in connection.execute(query)]


def _cards() -> Select[tuple[object, ...]]:
    lick, lesson = tables.lick.c, tables.lesson.c
    return select(
        lick.id,
        lick.name,
        lick.file,
        lesson.title,
        lesson.number,
        lick.chords,
        lick.triads,
        lick.techniques,
        lick.key,
        lick.tuning,
        lick.lowest_string,
        lick.highest_string,
        lick.lowest_fret,
        lick.highest_fret,
        lick.target_bpm,
        lick.ceiling_bpm,
    ).outerjoin_from(tables.lick, tables.lesson, lick.lesson_id == lesson.id)


def _card(row: Row[tuple[object, ...]]) -> LickCard:
    return LickCard(
        id=row.id,
        name=row.name,
        lesson=row.title or row.file,
        number=row.number,
        chords=row.chords,
        triads=row.triads,
        techniques=row.techniques,
        key=row.key,
        tuning=row.tuning,
        strings=(row.lowest_string, row.highest_string),
        frets=(row.lowest_fret, row.highest_fret),
        target_bpm=row.target_bpm,
        ceiling_bpm=row.ceiling_bpm,
    )


# --- conditions ----------------------------------------------------------------------------------


def _marks(search: LickSearch) -> Iterator[str]:
    if search.chord is not None:
        yield chord_mark(search.chord)
    if search.family is not None:
        yield family_mark(_known(search.family, FAMILIES, "family of chords"))
    yield from map(triad_mark, search.triads)
    for technique in search.techniques:
        yield technique_mark(_known(technique, TECHNIQUES, "technique"))
    if search.tuning is not None:
        yield tuning_mark(search.tuning)
    if search.key is not None:
        yield key_mark(str(parse_key(search.key)))


def _ranges(search: LickSearch) -> Iterator[ColumnElement[bool]]:
    lick = tables.lick.c
    if search.strings is not None:
        low, high = sorted(search.strings)
        yield lick.lowest_string >= low
        yield lick.highest_string <= high
    if search.frets is not None:
        low, high = sorted(search.frets)
        yield lick.lowest_fret >= low
        yield lick.highest_fret <= high
    if search.playable_at is not None:
        yield lick.ceiling_bpm >= search.playable_at
    if search.tempo is not None:
        slowest, fastest = sorted(search.tempo)
        yield lick.target_bpm.between(slowest, fastest)
    if search.lesson is not None:
        numbered = select(tables.lesson.c.id).where(tables.lesson.c.number == search.lesson)
        yield lick.lesson_id.in_(numbered)


def _known(text: str, names: Sequence[str], noun: str) -> str:
    word = " ".join(text.lower().replace("-", " ").split())
    for name in names:
        if name.replace("-", " ") == word:
            return name
    raise ShelfError(
        f"there is no {noun} '{text}'",
        mend=did_you_mean(text, names) or f"Use one of: {', '.join(names)}",
    )
