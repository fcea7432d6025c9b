"""Where is the shelf, and how is it opened?  A SQLite file, or a Postgres database by its URL."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Self

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError

from lickwright.errors import Spot
from lickwright.library.errors import ShelfError
from lickwright.library.versions import STEPS, bring_up_to_date, version_of

#: How long a program waits while another writes, in seconds.
WAIT_S = 30


class Shelf:
    """An open shelf; use it in a ``with`` statement, or :meth:`close` it.

    Parameters
    ----------
    where : the path of a SQLite file (made where it is missing), or a URL such as
        ``postgresql://user@host/lessons``.

    Attributes
    ----------
    name : the place, without a password.
    upgraded_from : the version that the shelf had before it was opened; 0 for a new one.

    Raises
    ------
    ShelfError
        When there is no such place, it cannot be read, or holds something else.
    """

    def __init__(self, where: str | os.PathLike[str]) -> None:
        url = _url(where)
        self.name = url.render_as_string(hide_password=True)
        if url.get_backend_name() == "sqlite":
            self.name = url.database or ""
        self._engine = _engine(url)
        with self.reading() as connection:
            had = version_of(connection)
        if had != len(STEPS):
            with self.writing() as connection:
                had = bring_up_to_date(connection)
        self.upgraded_from = had

    @property
    def dialect(self) -> str:
        """``sqlite`` or ``postgresql``."""
        return self._engine.dialect.name

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection to read through; everything read belongs to one moment."""
        engine = self._engine
        if self.dialect == "postgresql":
            engine = engine.execution_options(isolation_level="REPEATABLE READ")
        with self._told(), engine.connect() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A connection to write through; all of it is kept, or on an error nothing."""
        engine = self._engine.execution_options(writes=True)
        with self._told(), engine.begin() as connection:
            if self.dialect == "postgresql":
                # One writer at a time, as SQLite has it: nothing is then on the shelf twice.
                connection.exec_driver_sql("SELECT pg_advisory_xact_lock(7212904)")
            yield connection

    @contextmanager
    def _told(self) -> Iterator[None]:
        """Turns the database's word on a failure into one sentence."""
        try:
            yield
        except ShelfError as error:
            raise error.at(Spot(self.name)) from error
        except DBAPIError as error:
            reason = str(error.orig).strip().splitlines() or [type(error.orig).__name__]
            raise ShelfError(
                f"the shelf cannot be used ({reason[0]})",
                mend="Check its name, whether you may write there, and that the database runs",
                where=Spot(self.name),
            ) from error

    def close(self) -> None:
        """Let the database go."""
        self._engine.dispose()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()


def _url(where: str | os.PathLike[str]) -> URL:
    text = os.fspath(where)
    if "://" not in text:
        return URL.create("sqlite", database=text)
    try:
        url = make_url(text)
    except ArgumentError as error:
        raise ShelfError(
            "the URL of the shelf cannot be read",
            mend="Write it as postgresql://user@host/database",
        ) from error
    if url.drivername == "postgresql":
        url = url.set(drivername="postgresql+psycopg")
    if url.get_backend_name() not in ("sqlite", "postgresql"):
        raise ShelfError(
            f"a shelf cannot stand in '{url.drivername}'",
            mend="Name a SQLite file, or a URL such as postgresql://user@host/database",
        )
    return url


def _engine(url: URL) -> Engine:
    if url.get_backend_name() == "sqlite":
        return _sqlite_engine(url)
    try:
        return create_engine(url, pool_pre_ping=True)
    except (ImportError, NoSuchModuleError) as error:
        raise ShelfError(
            "a shelf in Postgres needs its driver",
            mend="Install it with: pip install 'lickwright[postgres]'",
        ) from error


def _sqlite_engine(url: URL) -> Engine:
    folder = Path(url.database or "").parent
    if url.database and not folder.is_dir():
        raise ShelfError(
            "there is no such folder for the shelf",
            mend="Make the folder, or name another",
            where=Spot(str(folder)),
        )
    engine = create_engine(url, connect_args={"timeout": WAIT_S})

    @event.listens_for(engine, "connect")
    def _set_up(connection: Any, _: object) -> None:
        # We begin transactions ourselves, so that making tables belongs to them too.
        connection.isolation_level = None
        connection.execute("PRAGMA foreign_keys = ON")

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        # A writer claims its turn at once: two that read first and then write would both fail.
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine
