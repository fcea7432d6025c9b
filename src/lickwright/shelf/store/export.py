"""How is a whole shelf carried to another place without losing anything?  As JSON lines.

The first line says what it is; then each lesson is one line, with the very text of its file and
all its licks, and then each lick that stands alone.  Carrying a shelf out and in again, to the
same or another database, gives the same lines.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import IO, Any

from sqlalchemy import Connection, select

from lickwright.errors import LickwrightError, Spot
from lickwright.shelf.errors import ShelfError
from lickwright.shelf.licks import (
    TECHNIQUES,
    ChordFact,
    LickFacts,
    ShelvedLesson,
    ShelvedLick,
    score_from,
)
from lickwright.shelf.store import tables
from lickwright.shelf.store.keeping import Kept, write_lesson, write_lick
from lickwright.shelf.store.store import Shelf
from lickwright.theory import parse_chord, parse_key, parse_triad

FORMAT, VERSION = "lickwright shelf", 1
#: No lesson is longer; a longer line is refused before it is read.
LONGEST_LINE = 8_000_000
#: How many lessons, or licks, are read from the shelf at once.
BATCH = 100

_MEND = "Export the shelf once more"


def export_lines(shelf: Shelf) -> Iterator[str]:
    """Every line of the shelf, each with its line end."""
    yield _line({"format": FORMAT, "version": VERSION})
    with shelf.reading() as connection:
        for lesson_ids in _batches(connection, tables.lesson.c.id):
            yield from _lesson_lines(connection, lesson_ids)
        alone = tables.lick.c.lesson_id.is_(None)
        for lick_ids in _batches(connection, tables.lick.c.id, alone):
            licks = _licks(connection, tables.lick.c.id.in_(lick_ids))
            for lick_id in lick_ids:
                file, _, data = licks[lick_id]
                yield _line({"file": file, "lick": data})


def export_file(shelf: Shelf, path: Path) -> int:
    """Write the whole shelf to a file; a former file stays until the new one is whole.

    Returns
    -------
    How many lines were written.

    Raises
    ------
    ShelfError
        When the file cannot be written.
    """
    fresh = path.with_name(f".{path.name}.new")
    count = 0
    try:
        with fresh.open("w", encoding="utf-8", newline="\n") as file:
            for line in export_lines(shelf):
                file.write(line)
                count += 1
        fresh.replace(path)
    except OSError as error:
        fresh.unlink(missing_ok=True)
        raise ShelfError(
            f"the file cannot be written ({(error.strerror or str(error)).lower()})",
            mend="Name a file that you may write, on a disk with room",
            where=Spot(str(path)),
        ) from error
    return count


def import_file(shelf: Shelf, path: Path) -> Counter[Kept]:
    """Take in what :func:`export_lines` wrote; all of it, or where a line is damaged nothing.

    Returns
    -------
    How many lessons and lone licks were added, replaced, or there already.

    Raises
    ------
    ShelfError
        With the file and the line.
    """
    try:
        with path.open("rb") as file, shelf.writing() as connection:
            return _taken_in(connection, file, str(path))
    except OSError as error:
        raise ShelfError(
            f"the file cannot be read ({(error.strerror or str(error)).lower()})",
            mend="Name a file that was exported from a shelf",
            where=Spot(str(path)),
        ) from error


def _line(data: Mapping[str, Any]) -> str:
    return json.dumps(data, ensure_ascii=False, separators=(",", ":")) + "\n"


# --- out -----------------------------------------------------------------------------------------


def _batches(connection: Connection, column: Any, *where: Any) -> Iterator[list[int]]:
    """Ids in order, some at a time."""
    last = -1
    while True:
        query = select(column).where(column > last, *where).order_by(column).limit(BATCH)
        ids = list(connection.execute(query).scalars())
        if not ids:
            return
        yield ids
        last = ids[-1]


def _lesson_lines(connection: Connection, lesson_ids: Sequence[int]) -> Iterator[str]:
    licks = _licks(connection, tables.lick.c.lesson_id.in_(lesson_ids))
    lesson = tables.lesson
    query = select(lesson).where(lesson.c.id.in_(lesson_ids)).order_by(lesson.c.id)
    for row in connection.execute(query):
        yield _line(
            {
                "lesson": {
                    "title": row.title,
                    "number": row.number,
                    "teacher": row.teacher,
                    "file": row.file,
                    "text": row.text,
                },
                "licks": [data for _, home, data in licks.values() if home == row.id],
            }
        )


def _licks(connection: Connection, where: Any) -> dict[int, tuple[str, int | None, dict[str, Any]]]:
    """File, lesson and data of some licks, in the order of their places."""
    lick, body, chord = tables.lick, tables.body, tables.chord
    ids = select(lick.c.id).where(where)
    chords: dict[int, list[list[Any]]] = {}
    found = select(chord).where(chord.c.lick_id.in_(ids)).order_by(chord.c.lick_id, chord.c.nth)
    for row in connection.execute(found):
        chords.setdefault(row.lick_id, []).append([row.place, row.symbol, row.printed])
    query = (
        select(lick, body)
        .join(body, body.c.lick_id == lick.c.id)
        .where(where)
        .order_by(lick.c.lesson_id, lick.c.place, lick.c.id)
    )
    return {
        row.id: (
            row.file,
            row.lesson_id,
            {
                "score": json.loads(row.score),
                "chords": chords.get(row.id, []),
                "triads": row.triads,
                "techniques": row.techniques,
                "key": row.key,
                "tuning": row.tuning,
                "strings": [row.lowest_string, row.highest_string],
                "frets": [row.lowest_fret, row.highest_fret],
                "ceiling_bpm": row.ceiling_bpm,
                "contour": row.contour,
                "rhythm": row.rhythm,
                "text": row.text,
            },
        )
        for row in connection.execute(query)
    }


# --- in ------------------------------------------------------------------------------------------


def _taken_in(connection: Connection, file: IO[bytes], name: str) -> Counter[Kept]:
    done: Counter[Kept] = Counter()
    number = 0
    while line := file.readline(LONGEST_LINE + 1):
        number += 1
        try:
            data = _parsed(line)
            if number == 1:
                _check_head(data)
            elif "lesson" in data:
                done[write_lesson(connection, _lesson(data))] += 1
            else:
                done[write_lick(connection, _lick(data.get("lick")), _text(data, "file"))] += 1
        except LickwrightError as error:
            raise ShelfError(
                error.what, mend=error.mend or _MEND, where=Spot(name, number)
            ) from error
    if number == 0:
        raise ShelfError("the file is empty", mend=_MEND, where=Spot(name))
    return done


def _parsed(line: bytes) -> Mapping[str, Any]:
    if len(line) > LONGEST_LINE:
        raise ShelfError("the line is longer than a lesson can be", mend=_MEND)
    try:
        data = json.loads(line)
    except (ValueError, RecursionError) as error:
        raise ShelfError("the line cannot be read", mend=_MEND) from error
    if not isinstance(data, dict):
        raise ShelfError("the line holds no lesson and no lick", mend=_MEND)
    return data


def _check_head(data: Mapping[str, Any]) -> None:
    if data.get("format") != FORMAT:
        raise ShelfError("the file was not exported from a shelf", mend="Name one that was")
    if data.get("version") != VERSION:
        raise ShelfError(
            f"the file is of version {data.get('version')!r:.20}",
            mend="Use the newer Lickwright that made it",
        )


def _lesson(data: Mapping[str, Any]) -> ShelvedLesson:
    about, licks = data["lesson"], data.get("licks")
    if not isinstance(about, dict) or not isinstance(licks, list):
        raise ShelfError("the lesson is damaged", mend=_MEND)
    number = about.get("number")
    if number is not None and (isinstance(number, bool) or not isinstance(number, int)):
        raise ShelfError("the lesson's number is damaged", mend=_MEND)
    if number is not None and not 0 <= number <= 9999:
        raise ShelfError("the lesson's number is damaged", mend=_MEND)
    return ShelvedLesson(
        title=_text(about, "title"),
        number=number,
        teacher=_text(about, "teacher"),
        file=_text(about, "file"),
        text=_text(about, "text"),
        licks=tuple(map(_lick, licks)),
    )


def _lick(data: object) -> ShelvedLick:
    if not isinstance(data, dict):
        raise ShelfError("a lick is missing", mend=_MEND)
    techniques = tuple(filter(None, _text(data, "techniques").split(", ")))
    if not set(techniques) <= set(TECHNIQUES):
        raise ShelfError("a lick has an unknown technique", mend=_MEND)
    facts = LickFacts(
        chords=tuple(map(_chord, _rows(data.get("chords")))),
        triads=tuple(map(parse_triad, _text(data, "triads").split())),
        techniques=techniques,
        key=str(parse_key(_text(data, "key"))),
        tuning=_text(data, "tuning"),
        strings=_range(data.get("strings")),
        frets=_range(data.get("frets")),
        ceiling_bpm=_tempo(data.get("ceiling_bpm")),
        contour=_text(data, "contour"),
        rhythm=_text(data, "rhythm"),
        text=_text(data, "text"),
    )
    return ShelvedLick(score_from(data.get("score")), facts)


def _rows(value: object) -> list[object]:
    if not isinstance(value, list) or len(value) > 10_000:
        raise ShelfError("a lick's chords are damaged", mend=_MEND)
    return value


def _chord(row: object) -> ChordFact:
    if not (isinstance(row, list) and len(row) == 3):
        raise ShelfError("a chord is damaged", mend=_MEND)
    place, symbol, printed = row
    if isinstance(place, bool) or not isinstance(place, int) or not 0 <= place < 10_000:
        raise ShelfError("a chord is damaged", mend=_MEND)
    if not isinstance(symbol, str) or not isinstance(printed, bool):
        raise ShelfError("a chord is damaged", mend=_MEND)
    return ChordFact(place, parse_chord(symbol), printed)


def _text(data: Mapping[str, Any], name: str) -> str:
    value = data.get(name)
    if not isinstance(value, str) or "\x00" in value:
        raise ShelfError(f"'{name}' is damaged", mend=_MEND)
    try:
        value.encode()
    except UnicodeEncodeError as error:
        raise ShelfError(f"'{name}' is damaged", mend=_MEND) from error
    return value


def _range(value: object) -> tuple[int, int]:
    whole = isinstance(value, list) and all(
        isinstance(each, int) and not isinstance(each, bool) and 0 <= each < 100 for each in value
    )
    if not whole or not isinstance(value, list) or len(value) != 2:
        raise ShelfError("a range of strings or frets is damaged", mend=_MEND)
    return value[0], value[1]


def _tempo(value: object) -> float | None:
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 < value < 1e6:
        raise ShelfError("a tempo ceiling is damaged", mend=_MEND)
    return float(value)
