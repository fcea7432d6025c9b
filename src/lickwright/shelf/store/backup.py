"""How is all of a shelf kept beside it, and put back?

A backup is itself a shelf: one SQLite file with the same rows under the same numbers, whatever
database it was taken from, so that it goes back into either, and can be searched where it lies.
Of a SQLite shelf it is made by SQLite's online backup, of a Postgres one by reading every row in
one transaction; either way it holds what was there at one moment, while others write.
"""

from __future__ import annotations

import os
import shutil
import sqlite3
import tempfile
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, delete, insert, select, text

from lickwright.errors import Spot
from lickwright.files import is_plain_file
from lickwright.shelf.errors import ShelfError
from lickwright.shelf.store.export import FORMAT
from lickwright.shelf.store.soundness import CARRIED, Soundness, counts_of, soundness_of, verify
from lickwright.shelf.store.store import Shelf
from lickwright.shelf.store.text_index import add_words, drop_every_word, kept_words

#: How many rows are carried at once.
BATCH = 500
_HEAD = b"SQLite format 3\0"


@dataclass(frozen=True, slots=True)
class Restored:
    """What putting a backup back did.

    Parameters
    ----------
    before : rows by table that were taken off.
    now : what is there instead.
    """

    before: Mapping[str, int]
    now: Soundness

    def as_data(self) -> dict[str, Any]:
        """The same as plain data, for ``--json``."""
        return {"taken off": dict(self.before)} | self.now.as_data()


def back_up(shelf: Shelf, path: Path, *, replace: bool = False) -> Soundness:
    """Write a backup; it takes its name only after it was read again and found whole.

    Parameters
    ----------
    replace : whether a file that has the name already may go.

    Raises
    ------
    ShelfError
        When the file is there already or cannot be written, or the shelf is damaged.
    """
    if os.path.lexists(path) and not replace:
        raise ShelfError(
            "there is a file already", mend="Name another, or add --replace", where=Spot(str(path))
        )
    _check_apart(shelf, path)
    if os.path.lexists(path) and not is_plain_file(path):
        raise ShelfError("it is no plain file", mend="Name a file", where=Spot(str(path)))
    try:
        with _draft_beside(path) as draft:
            _take(shelf, draft)
            with Shelf(draft) as copy:
                found = verify(copy)
            _check(found, shelf.name)
            with draft.open("rb+") as file:
                os.fsync(file.fileno())
            draft.replace(path)
    except (OSError, sqlite3.Error) as error:
        raise ShelfError(
            f"the backup cannot be written ({_reason(error)})",
            mend="Name a file that you may write, on a disk with room",
            where=Spot(str(path)),
        ) from error
    return found


def put_back(shelf: Shelf, path: Path, *, replace: bool = False) -> Restored:
    """Put a backup back: read and found whole first, then written in one transaction.

    The backup itself is only read; one that an earlier Lickwright made is brought up to date on
    its way.

    Parameters
    ----------
    replace : whether what is on the shelf may go.

    Raises
    ------
    ShelfError
        When the file is no backup or is damaged, or the shelf holds something; nothing has changed
        then.
    """
    _check_apart(shelf, path)
    with tempfile.TemporaryDirectory(prefix="lickwright-") as folder:
        copy = Path(folder) / "backup.sqlite"
        _fetch(path, copy)
        try:
            source = Shelf(copy)
        except ShelfError as error:
            raise ShelfError(error.what, mend=error.mend, where=Spot(str(path))) from error
        with source:
            if source.upgraded_from == 0:
                raise _no_backup(path)
            _check(verify(source), str(path))
            with source.reading() as old, shelf.writing() as new:
                return _exchanged(old, new, replace)


def _exchanged(old: Connection, new: Connection, replace: bool) -> Restored:
    before = counts_of(new)
    if any(before.values()) and not replace:
        raise ShelfError(
            f"the shelf is not empty (lessons: {before['lesson']}, licks: {before['lick']})",
            mend="Back it up and add --replace, or name an empty one",
        )
    drop_every_word(new)
    for table in reversed(CARRIED):
        new.execute(delete(table))
    _carry(old, new)
    now = soundness_of(new)
    if counts_of(old) != now.counts:
        raise ShelfError("not every row arrived", mend="Try again; nothing has changed")
    _check(now, "the shelf")
    return Restored(before, now)


def _carry(old: Connection, new: Connection) -> None:
    """Write every row of one shelf into another that has none."""
    for table in CARRIED:
        rows = old.execute(
            select(table).order_by(*table.primary_key.columns),
            execution_options={"yield_per": BATCH},
        ).mappings()
        while batch := list(islice(rows, BATCH)):
            new.execute(insert(table), [dict(row) for row in batch])
    words = kept_words(old)
    while some := list(islice(words, BATCH)):
        add_words(new, some)
    if new.dialect.name == "postgresql":
        # The next number is above all that were given; it is never lowered, since it would not
        # come back where the rest of the transaction fails.
        for name in ("lesson", "lick"):
            numbers = f"pg_get_serial_sequence('{name}', 'id')"
            new.execute(
                text(
                    f"SELECT setval({numbers}, GREATEST(nextval({numbers}),"
                    f" (SELECT COALESCE(max(id), 1) FROM {name})))"
                )
            )


def _take(shelf: Shelf, draft: Path) -> None:
    """Copy a shelf into an empty file."""
    if shelf.dialect == "sqlite":
        with shelf.reading() as connection, closing(sqlite3.connect(draft)) as target:
            source = connection.connection.driver_connection
            assert isinstance(source, sqlite3.Connection)
            source.backup(target)
        return
    with Shelf(draft) as copy, copy.writing() as new, shelf.reading() as old:
        _carry(old, new)


def _fetch(path: Path, copy: Path) -> None:
    """Copy a backup to where it may be brought up to date."""
    try:
        if not is_plain_file(path):
            raise ShelfError(
                "there is no such file", mend="Name a backup of a shelf", where=Spot(str(path))
            )
        with path.open("rb") as file:
            head = file.read(len(FORMAT) + len(_HEAD) + 40)
        if not head.startswith(_HEAD):
            raise _no_backup(path, exported=f'"{FORMAT}"'.encode() in head)
        address = f"{path.absolute().as_uri()}?mode=ro"
        with (
            closing(sqlite3.connect(address, uri=True)) as source,
            closing(sqlite3.connect(copy)) as target,
        ):
            source.backup(target)
    except (OSError, sqlite3.Error) as error:
        raise ShelfError(
            f"the backup cannot be read ({_reason(error)})",
            mend="Name another",
            where=Spot(str(path)),
        ) from error


@contextmanager
def _draft_beside(path: Path) -> Iterator[Path]:
    """A new name in a new folder beside a file; both are gone in the end."""
    folder = Path(tempfile.mkdtemp(prefix=".lickwright-backup-", dir=path.absolute().parent))
    try:
        yield folder / "backup.sqlite"
    finally:
        shutil.rmtree(folder)


def _check_apart(shelf: Shelf, path: Path) -> None:
    file = shelf.file
    if file is not None and os.path.exists(file) and os.path.exists(path) and file.samefile(path):
        raise ShelfError(
            "this is the shelf itself", mend="Name another file", where=Spot(str(path))
        )


def _check(found: Soundness, name: str) -> None:
    if found.faults:
        more = f", and {len(found.faults) - 1} more" if len(found.faults) > 1 else ""
        raise ShelfError(
            f"not all is whole: {found.faults[0]}{more}",
            mend="See it all with: lickwright shelf verify --shelf FILE",
            where=Spot(name),
        )


def _no_backup(path: Path, exported: bool = False) -> ShelfError:
    mend = "Take it in with: lickwright shelf import" if exported else "Name one that backup wrote"
    return ShelfError("the file is no backup of a shelf", mend=mend, where=Spot(str(path)))


def _reason(error: OSError | sqlite3.Error) -> str:
    said = error.strerror if isinstance(error, OSError) else None
    return (said or str(error)).lower()
