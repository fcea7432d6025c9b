"""A shelf on each database: SQLite always, Postgres where its server can be started here."""

from __future__ import annotations

import getpass
import os
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterator
from itertools import count
from pathlib import Path

import pytest

from lickwright.lesson.file.reading import load_lesson
from lickwright.shelf.licks.shelved import ShelvedLesson
from lickwright.shelf.licks.shelving import shelved_lesson
from lickwright.shelf.store.store import Shelf

START_S = 60
_numbers = count(1)


def _server_folder() -> Path | None:
    """Where Debian's package, or any other, has put the server's programs."""
    found = shutil.which("initdb")
    if found is not None:
        return Path(found).parent
    folders = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
    return folders[-1].parent if folders else None


@pytest.fixture(scope="session")
def postgres() -> Iterator[str]:
    """The URL of a server of our own, without a database; skipped where none can be started."""
    programs = _server_folder()
    if programs is None:
        pytest.skip("no Postgres server is installed (Debian: postgresql)")
    as_user: list[str] = []
    if os.geteuid() == 0:
        # The server refuses to run as root; Debian's package brings a user for it.
        if shutil.which("runuser") is None:
            pytest.skip("Postgres does not run as root, and there is no runuser")
        as_user = ["runuser", "-u", "postgres", "--"]
    user = "postgres" if as_user else getpass.getuser()
    folder = Path(tempfile.mkdtemp(prefix="lickwright-pg-"))
    if as_user:
        shutil.chown(folder, user)
    data = folder / "data"
    options = f"-c listen_addresses='' -c unix_socket_directories={folder} -c fsync=off"

    def run(*command: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [*as_user, str(programs / command[0]), *command[1:]],
            cwd=folder,
            capture_output=True,
            text=True,
            check=False,
            timeout=START_S,
            stdin=subprocess.DEVNULL,
        )

    try:
        made = run("initdb", "-D", str(data), "-A", "trust", "-E", "UTF8", "--no-locale", "-N")
        if made.returncode:
            pytest.skip(f"Postgres cannot be set up here: {made.stderr.strip()}")
        started = run(
            "pg_ctl", "-D", str(data), "-l", str(folder / "log"), "-o", options, "-w", "start"
        )
        if started.returncode:
            pytest.skip(f"Postgres cannot be started here: {started.stdout.strip()}")
        try:
            yield f"postgresql://{user}@/{{name}}?host={folder}"
        finally:
            run("pg_ctl", "-D", str(data), "-m", "immediate", "stop")
    finally:
        shutil.rmtree(folder, ignore_errors=True)


@pytest.fixture(params=["sqlite", "postgres"])
def place(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    """Where a new, empty shelf may stand."""
    if request.param == "sqlite":
        return str(tmp_path / "shelf.sqlite")
    psycopg = pytest.importorskip("psycopg", reason="the driver of Postgres is not installed")
    url = request.getfixturevalue("postgres")
    name = f"shelf_{os.getpid()}_{next(_numbers)}"
    with psycopg.connect(url.format(name="postgres"), autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}")
    return str(url.format(name=name))


@pytest.fixture
def shelf(place: str) -> Iterator[Shelf]:
    """A new, empty shelf."""
    with Shelf(place) as opened:
        yield opened


@pytest.fixture(scope="session")
def demo(demo_path: Path) -> ShelvedLesson:
    """The demo lesson, worked out."""
    return shelved_lesson(load_lesson(demo_path))


FOURTH_LOWER = """\
lesson: The Same Door
number: 3
teacher: Tern Street Guitar Room
key: F# dorian
tempo: {slow: 60, target: 90}
examples:
  - name: The old pair
    text: One shape, learnt in another *season*.
    over: F#
    triads: [A, C#m]
    tab: |
      e|---------------|
      B|-------10------|
      G|----11----12---|
      D|-12----------14|
      A|---------------|
      E|---------------|
    rhythm: q
"""


@pytest.fixture
def write(tmp_path: Path) -> Callable[..., Path]:
    """Write a file and give its path."""

    def write(text: str, name: str = "lesson.yaml") -> Path:
        path = tmp_path / name
        path.write_text(text, encoding="utf-8")
        return path

    return write
