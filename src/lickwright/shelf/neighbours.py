"""Which licks of the shelf are like this one?  You taught this shape in lesson 3, a fourth lower.

The prints (:mod:`lickwright.shelf.likeness.fingerprints`) offer candidates from any number of
licks; each is then compared note by note (:mod:`lickwright.shelf.likeness.comparing`).
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

from sqlalchemy import Connection, func, select

from lickwright.score import Score
from lickwright.shelf.licks import LickCard, ShelvedLesson, score_from_json
from lickwright.shelf.likeness import Likeness, Prints, compare, prints_of
from lickwright.shelf.searching import cards, lick_card
from lickwright.shelf.store import Shelf, same_lesson, tables

#: How many candidates of each kind are compared note by note.
CANDIDATES = 40


@dataclass(frozen=True, slots=True)
class Near:
    """A lick of the shelf, and how it is like the one that was asked about."""

    card: LickCard
    likeness: Likeness

    def __str__(self) -> str:
        return self.likeness.in_words(f"{self.card.home}, '{self.card.name}'")


def near(shelf: Shelf, score: Score, limit: int = 5, leave_out: Collection[int] = ()) -> list[Near]:
    """The licks of the shelf that are like one, the closest first.

    Parameters
    ----------
    leave_out : ids of licks that are not to be offered, such as the lick itself.
    """
    prints = prints_of(score)
    if prints is None:
        return []
    with shelf.reading() as connection:
        ids = [each for each in _candidates(connection, prints) if each not in leave_out]
        scores = _scores(connection, ids)
        found = [
            (likeness, lick_id)
            for lick_id, other in scores.items()
            if (likeness := compare(score, other)) is not None
        ]
        found.sort(key=lambda pair: (pair[0].closeness, pair[1]))
        known = cards(connection, [lick_id for _, lick_id in found[:limit]])
    return [Near(known[lick_id], likeness) for likeness, lick_id in found[:limit]]


def near_lick(shelf: Shelf, lick_id: int, limit: int = 5) -> list[Near]:
    """The licks that are like one of the shelf's own.

    Raises
    ------
    ShelfError
        When there is no such lick.
    """
    _, score, _ = lick_card(shelf, lick_id)
    return near(shelf, score, limit, leave_out={lick_id})


def own_licks(shelf: Shelf, lesson: ShelvedLesson) -> set[int]:
    """The ids of a lesson's own licks, where it is on the shelf already."""
    query = (
        select(tables.lick.c.id)
        .join(tables.lesson, tables.lick.c.lesson_id == tables.lesson.c.id)
        .where(*same_lesson(lesson))
    )
    with shelf.reading() as connection:
        return set(connection.execute(query).scalars())


def _candidates(connection: Connection, prints: Prints) -> list[int]:
    """Ids of licks that share a print or a band, each once."""
    table = tables.prints.c
    found: list[int] = []
    for same in (
        (table.line == prints.line,),
        (table.shape == prints.shape,),
        (table.tones == prints.tones,),
        (table.contour == prints.contour, table.rhythm == prints.rhythm),
    ):
        query = select(table.lick_id).where(*same).order_by(table.lick_id).limit(CANDIDATES)
        found += connection.execute(query).scalars()
    band = tables.band.c
    meetings = func.count().label("meetings")
    query_bands = (
        select(band.lick_id)
        .where(band.band.in_(sorted(set(prints.bands))))
        .group_by(band.lick_id)
        .order_by(meetings.desc(), band.lick_id)
        .limit(CANDIDATES)
        .add_columns(meetings)
    )
    found += (row.lick_id for row in connection.execute(query_bands))
    return list(dict.fromkeys(found))


def _scores(connection: Connection, ids: Sequence[int]) -> dict[int, Score]:
    query = select(tables.body.c.lick_id, tables.body.c.score).where(tables.body.c.lick_id.in_(ids))
    return {row.lick_id: score_from_json(row.score) for row in connection.execute(query)}
