"""Which licks hold these words and marks?

Words are cut here, once and for every database, so that a search finds the same on each: small
letters, no accents, sharps kept (``f#m``).  SQLite keeps them in an FTS5 table, Postgres in a
``tsvector`` under a GIN index; both give the licks that hold every word at once, newest first.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from sqlalchemy import Column, Connection, FromClause, MetaData, Table, TextClause, bindparam, text
from sqlalchemy.types import Integer

#: The last word of a search, from so many letters on, is found by its beginning too: ``swee``
#: finds ``sweep`` while it is being typed.
PREFIX_LETTERS = 3
#: The longest word that is kept, and the most words of one search.
LONGEST_WORD = 40
MOST_WORDS = 16

#: Signs that may stand in a word or a mark beside letters and figures.
_SIGNS = "#:/(),+-"
_WORD = re.compile(r"[^\W_#]+(?:#+[^\W_#]*)*")

#: The index as a query sees it: SQLite knows a row by its ``rowid``.
INDEX = {
    "sqlite": Table("lick_words", MetaData(), Column("rowid", Integer)),
    "postgresql": Table("lick_words", MetaData(), Column("lick_id", Integer)),
}


@dataclass(frozen=True, slots=True)
class Holding:
    """How a query asks the index: its table, the column of lick ids, the condition."""

    index: FromClause
    lick_id: Column[int]
    condition: TextClause


def words_of(*texts: str) -> list[str]:
    """The different words of some texts, in order.

    >>> words_of("F♯ minor, *swept*", "Über den F# Ton")
    ['f#', 'minor', 'swept', 'uber', 'den', 'ton']
    """
    signs = " ".join(texts).replace("♯", "#").replace("♭", "b")
    plain = unicodedata.normalize("NFKD", signs)
    letters = "".join(sign for sign in plain if not unicodedata.combining(sign))
    found = (match[0][:LONGEST_WORD] for match in _WORD.finditer(letters.casefold()))
    return list(dict.fromkeys(found))


def make_index(connection: Connection) -> None:
    """Make the table of words."""
    if connection.dialect.name == "sqlite":
        connection.exec_driver_sql(
            "CREATE VIRTUAL TABLE lick_words USING fts5(words, detail=none,"
            f" tokenize=\"unicode61 remove_diacritics 0 tokenchars '{_SIGNS}'\")"
        )
        return
    connection.exec_driver_sql(
        "CREATE TABLE lick_words (lick_id integer PRIMARY KEY REFERENCES lick(id)"
        " ON DELETE CASCADE, words tsvector NOT NULL)"
    )
    connection.exec_driver_sql("CREATE INDEX lick_words_found ON lick_words USING gin (words)")


def add_words(connection: Connection, words: Iterable[tuple[int, Sequence[str]]]) -> None:
    """Index the words and marks of some licks, by their ids."""
    rows = [{"lick_id": lick_id, "words": " ".join(each)} for lick_id, each in words]
    if not rows:
        return
    if connection.dialect.name == "sqlite":
        statement = text("INSERT INTO lick_words (rowid, words) VALUES (:lick_id, :words)")
    else:
        statement = text(
            "INSERT INTO lick_words (lick_id, words)"
            " VALUES (:lick_id, array_to_tsvector(string_to_array(:words, ' ')))"
        )
    connection.execute(statement, rows)


def drop_words(connection: Connection, lick_ids: Sequence[int]) -> None:
    """Take some licks out of the index, before the licks themselves go."""
    if connection.dialect.name == "sqlite" and lick_ids:
        statement = text("DELETE FROM lick_words WHERE rowid = :lick_id")
        connection.execute(statement, [{"lick_id": lick_id} for lick_id in lick_ids])


def holding(words: str, marks: Sequence[str], dialect: str) -> Holding | None:
    """How to ask for the licks that hold every word and mark; ``None`` where none is asked for."""
    wanted_words = words_of(words)[:MOST_WORDS]
    terms = [(term, False) for term in (*marks, *wanted_words)]
    if wanted_words:
        terms[-1] = (wanted_words[-1], len(wanted_words[-1]) >= PREFIX_LETTERS)
    if not terms:
        return None
    if dialect == "sqlite":
        wanted = " AND ".join(f'"{term}"{"*" * by_beginning}' for term, by_beginning in terms)
        condition = "lick_words MATCH :wanted"
    else:
        wanted = " & ".join(f"'{term}'{':*' * by_beginning}" for term, by_beginning in terms)
        condition = "lick_words.words @@ CAST(:wanted AS tsquery)"
    index = INDEX[dialect]
    bound = text(condition).bindparams(bindparam("wanted", wanted, unique=True))
    return Holding(index, index.columns[0], bound)


def drop_every_word(connection: Connection) -> None:
    """Empty the index."""
    connection.execute(text("DELETE FROM lick_words"))


def kept_words(connection: Connection) -> Iterator[tuple[int, list[str]]]:
    """The words and marks of every lick, by its id, in no order of meaning."""
    statement = "SELECT rowid, words FROM lick_words ORDER BY rowid"
    if connection.dialect.name == "postgresql":
        statement = (
            "SELECT lick_id, array_to_string(tsvector_to_array(words), ' ')"
            " FROM lick_words ORDER BY lick_id"
        )
    for lick_id, words in connection.execute(text(statement)):
        yield lick_id, words.split()
