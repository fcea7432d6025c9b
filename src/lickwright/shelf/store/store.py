"""Where is the shelf, and how is it opened?  A SQLite file, or a Postgres database by its URL."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Self

from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError, DBAPIError, NoSuchModuleError, SQLAlchemyError

from lickwright.errors import Spot
from lickwright.files import is_plain_file
from lickwright.shelf.errors import ShelfError
from lickwright.shelf.store.versions import STEPS, bring_up_to_date, version_of

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
    file : the file of a SQLite shelf; ``None`` for a server's, or one in memory.
    upgraded_from : the version that the shelf had before it was opened; 0 for a new one.

    Raises
    ------
    ShelfError
        When there is no such place, it cannot be read, or holds something else.
    """

    def __init__(self, where: str | os.PathLike[str]) -> None:
        address = address_of(where)
        self.name, self.file = address.name, address.file
        self._secrets = address.secrets
        try:
            self._engine = _engine(address)
            with self.reading() as connection:
                had = version_of(connection)
        except (SQLAlchemyError, ValueError, TypeError) as error:
            # What a driver says of an option that it does not know, or of a port called "x".
            raise _unreadable() from error
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
            reason = (str(error.orig).strip().splitlines() or [type(error.orig).__name__])[0]
            for secret in self._secrets:
                reason = reason.replace(secret, "***")
            raise ShelfError(
                f"the shelf cannot be used ({reason})",
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


@dataclass(frozen=True, slots=True)
class Address:
    """Where a shelf stands.

    Parameters
    ----------
    name : as it may be printed: without passwords.
    file : the file of a SQLite shelf; ``None`` for a server's, or one in memory.
    secrets : what must never be printed.
    """

    url: URL
    name: str
    file: Path | None
    secrets: tuple[str, ...]


_DRIVERS = {
    "sqlite": "sqlite",
    "sqlite+pysqlite": "sqlite",
    "postgresql": "postgresql+psycopg",
    "postgresql+psycopg": "postgresql+psycopg",
}
#: Words by which a connection's options are known to hold what is secret.
_SECRET_WORDS = ("pass", "secret", "token", "key")


def address_of(where: str | os.PathLike[str]) -> Address:
    """Read the place of a shelf; nothing is opened.

    Raises
    ------
    ShelfError
        Where it cannot be one; the sentence quotes nothing that may be a password.
    """
    text = os.fspath(where)
    if text.startswith(("postgresql:", "postgres:")) and "://" not in text:
        raise _unreadable()  # no file: what follows may hold a password
    if "\0" in text or any("\ud800" <= sign <= "\udfff" for sign in text):
        raise ShelfError(
            "the name of the shelf holds what no name can", mend="Name a file, or a database"
        )
    if "://" not in text:
        url = URL.create("sqlite", database=text)
        return Address(url, text, None if text in {"", ":memory:"} else Path(text), ())
    try:
        url = make_url(text)
    except (ArgumentError, ValueError) as error:
        raise _unreadable() from error
    driver = _DRIVERS.get(url.drivername)
    if driver is None:
        raise ShelfError(
            f"a shelf cannot stand in '{url.drivername}'",
            mend="Name a SQLite file, or a URL such as postgresql://user@host/database",
        )
    url = url.set(drivername=driver)
    if driver == "sqlite":
        file = None if url.database in {None, "", ":memory:"} else Path(str(url.database))
        return Address(url, url.database or "", file, ())
    if "@" in f"{url.host or ''}{url.database or ''}{url.username or ''}":
        raise ShelfError(
            "the URL of the shelf has an @ too many",
            mend="Write %40 for an @ in a name or a password",
        )
    return _server(url)


def _server(url: URL) -> Address:
    """The address of a database on a server; its options may hold secrets too."""
    hidden = {
        name: value
        for name, value in url.query.items()
        if any(word in name.lower() for word in _SECRET_WORDS)
    }
    shown = url.set(query={**url.query, **dict.fromkeys(hidden, "***")})
    secrets = [each for value in hidden.values() for each in _each(value)]
    if url.password:
        secrets.append(str(url.password))
    name = shown.render_as_string(hide_password=True).replace("%2A%2A%2A", "***")
    return Address(url, name, None, tuple(filter(None, secrets)))


def _each(value: str | tuple[str, ...]) -> tuple[str, ...]:
    return (value,) if isinstance(value, str) else value


def _unreadable() -> ShelfError:
    return ShelfError(
        "the URL of the shelf cannot be read",
        mend="Write it as postgresql://user@host/database, or name a file",
    )


def _engine(address: Address) -> Engine:
    url = address.url
    if url.get_backend_name() == "sqlite":
        return _sqlite_engine(address)
    try:
        return create_engine(url, pool_pre_ping=True)
    except (ImportError, NoSuchModuleError) as error:
        raise ShelfError(
            "a shelf in Postgres needs its driver",
            mend="Install it with: pip install 'lickwright[postgres]'",
        ) from error


def _sqlite_engine(address: Address) -> Engine:
    file = address.file
    if file is not None and not os.path.isdir(file.parent):
        raise ShelfError(
            "there is no such folder for the shelf",
            mend="Make the folder, or name another",
            where=Spot(str(file.parent)),
        )
    if file is not None and os.path.exists(file) and not is_plain_file(file):
        raise ShelfError(
            "a shelf cannot stand there, it is no plain file",
            mend="Name a file",
            where=Spot(str(file)),
        )
    engine = create_engine(address.url, connect_args={"timeout": WAIT_S})

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
