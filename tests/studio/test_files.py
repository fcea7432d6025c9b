"""Files that the studio reaches: no link followed, no name that breaks it, nothing waited for."""

from __future__ import annotations

import asyncio
import io
import os
import subprocess
import sys
import threading
import time
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pytest

from lickwright.errors import LickwrightError, OutputError
from lickwright.lesson.edit.document import LessonDocument
from lickwright.studio.server.folder import Folder, packed, plain_files
from lickwright.studio.server.lessons_page import begin_lesson, take_in
from lickwright.studio.work import disk
from lickwright.studio.work.disk import at_disk

from .conftest import _SERVE, Running
from .test_safety import ask, form, own

TIDE = Path(__file__).with_name("tide.yaml")


def start(folder: Path, log: Path, first: str = "") -> Running:
    """A studio whose log can be read afterwards."""
    clean = {key: value for key, value in os.environ.items() if not key.startswith("PYTEST")}
    with log.open("w") as errors:
        process = subprocess.Popen(
            [sys.executable, "-c", f"{first}\n{_SERVE}", str(folder), "127.0.0.1"],
            stdout=subprocess.PIPE,
            stderr=errors,
            text=True,
            env=clean,
        )
    assert process.stdout is not None
    address = process.stdout.readline().split(" at ")[1].split(" ")[0]
    return Running(folder, process, address)


def built(folder: Path, name: str, said: str = "built") -> Path:
    out = folder / "built" / name
    out.mkdir(parents=True)
    (out / "index.html").write_text(said, "utf-8")
    return out


@pytest.fixture
def folder(tmp_path: Path) -> Folder:
    """A folder with one lesson that is built, beside things that nobody may reach."""
    root = tmp_path / "lessons"
    root.mkdir()
    (root / "tide.yaml").write_bytes(TIDE.read_bytes())
    built(root, "tide")
    secrets = tmp_path / "secrets"
    secrets.mkdir()
    (secrets / "index.html").write_text("secret", "utf-8")
    return Folder(root)


# --- links ----------------------------------------------------------------------------------------


def packs(folder: Folder, name: str) -> dict[str, str]:
    with zipfile.ZipFile(io.BytesIO(folder.built_zip(name))) as archive:
        return {each: archive.read(each).decode() for each in archive.namelist()}


def test_links_in_a_built_lesson_are_neither_served_nor_packed(folder: Folder) -> None:
    out, secrets = folder.out("tide.yaml"), folder.root.parent / "secrets"
    (out / "file.html").symlink_to(secrets / "index.html")
    (out / "within.html").symlink_to("index.html")
    (out / "folder").symlink_to(secrets)
    (out / "examples").mkdir()
    (out / "examples" / "one.mid").write_text("notes", "utf-8")
    (out / ".hidden").write_text("hidden", "utf-8")
    os.mkfifo(out / "pipe")
    for name in ("file.html", "within.html", "folder/index.html", "pipe", ".hidden", "folder"):
        with pytest.raises(LickwrightError):
            folder.built_file("tide.yaml", name)
    assert folder.built_file("tide.yaml", "examples/one.mid").read_text("utf-8") == "notes"
    assert list(packs(folder, "tide.yaml")) == [
        "tide/tide.yaml",
        "tide/examples/one.mid",
        "tide/index.html",
    ]


@pytest.mark.parametrize("linked", ["built", "built/tide"])
def test_a_link_in_place_of_the_built_lesson_is_not_followed(folder: Folder, linked: str) -> None:
    place = folder.root / linked
    away = folder.root.parent / "away"
    place.rename(away)
    place.symlink_to(away)
    assert folder.root.joinpath("built/tide/index.html").is_file()
    assert not folder.is_built("tide.yaml", "index.html")
    with pytest.raises(LickwrightError):
        folder.built_file("tide.yaml", "index.html")
    with pytest.raises(LickwrightError):
        folder.built_zip("tide.yaml")
    with pytest.raises(LickwrightError, match="a link stands where"):
        folder.build_place("tide.yaml")


def test_a_folder_that_is_itself_a_link_is_served(folder: Folder) -> None:
    link = folder.root.with_name("link")
    link.symlink_to(folder.root)
    assert folder.is_built("tide.yaml", "index.html")
    assert Folder(link).built_file("tide.yaml", "index.html").read_text("utf-8") == "built"


def test_the_same_files_are_the_same_zip(folder: Folder) -> None:
    files = plain_files(folder.out("tide.yaml"))
    assert packed("x", files) == packed("x", files)


# --- names ----------------------------------------------------------------------------------------


def test_no_two_lessons_are_built_in_one_place(folder: Folder) -> None:
    names = ["small.yaml", "small.yml", "small.yml.yaml", "small.yaml.yml", "small.yaml.yaml"]
    names += ["small.yml.yml", "small.yml.yaml.yaml", "Small.yaml"]
    places = [folder.out(name) for name in names]
    assert len(set(places)) == len(names)
    assert places[0] == folder.root / "built" / "small", "where it was in version 0.1.0"


def test_one_lessons_page_is_not_shown_for_another(folder: Folder) -> None:
    (folder.root / "tide.yml").write_bytes(TIDE.read_bytes())
    with pytest.raises(LickwrightError):
        folder.built_file("tide.yml", "index.html")
    built(folder.root, "tide.yml", "the other")
    assert folder.built_file("tide.yml", "index.html").read_text("utf-8") == "the other"
    assert folder.built_file("tide.yaml", "index.html").read_text("utf-8") == "built"
    assert packs(folder, "tide.yml")["tide.yml/index.html"] == "the other"


ODD = [
    "x" * 5_000,
    "x" * 5_000 + ".yaml",
    "x" * 200 + ".yaml",
    "%00",
    "tide%00.yaml",
    "%00.yaml",
    "%0A.yaml",
    "tide.yaml%0A",
    "%FF%FE.yaml",
    "%ED%A0%80.yaml",
    "%E2%80%A8.yaml",
    "%C2%9B.yaml",
    "%2e%2e",
    "..%2f..%2fsecrets%2findex.html",
    "..%5c..%5ctide.yaml",
    "C:%5Ctide.yaml",
    "%2Fetc%2Fpasswd",
    "*.yaml",
    "%20",
    ".",
    "-",
    "a/" * 1_500 + "b.yaml",
    "pipe.yaml",
    "%25s%25n.yaml",
    "{name}.yaml",
]


@pytest.fixture(scope="module")
def logged(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Running, Path]]:
    place = tmp_path_factory.mktemp("odd")
    folder, log = place / "lessons", place / "log"
    folder.mkdir()
    (folder / "tide.yaml").write_bytes(TIDE.read_bytes())
    os.mkfifo(folder / "pipe.yaml")
    os.mkfifo(built(folder, "tide") / "pipe.yaml")
    studio = start(folder, log)
    yield studio, log
    studio.end()
    assert "Traceback" not in log.read_text("utf-8")


@pytest.mark.parametrize("name", ODD, ids=range(len(ODD)))
@pytest.mark.parametrize(
    "route",
    [
        "/lesson/{}",
        "/built/{}/index.html",
        "/built/tide.yaml/{}",
        "/download/{}",
        "/own/{}",
        "/sound/{}/lead.wav",
        "/sound/x/{}.wav",
        "/{}",
        "/_nicegui/{}",
        "/_nicegui/3.0/{}",
        "/_nicegui/3.0/static/{}",
        "/_nicegui/3.0/components/{}",
        "/_nicegui/3.0/resources/x/{}",
        "/_nicegui/client/{}/x",
    ],
)
def test_an_odd_name_is_answered(logged: tuple[Running, Path], route: str, name: str) -> None:
    running, log = logged
    before = log.stat().st_size
    status, headers, body = ask(running, "GET", route.format(name))
    assert status in ({400, 404} if name not in {".", "%2e%2e"} else {200, 307, 400, 404})
    assert "default-src 'self'" in headers["content-security-policy"]
    assert b"Traceback" not in body
    assert log.read_text("utf-8")[before:].count("Traceback") == 0


@pytest.mark.parametrize("name", [*ODD, "", "tide.yaml;x=y"], ids=range(len(ODD) + 2))
def test_a_file_with_an_odd_name_is_not_brought_in(logged: tuple[Running, Path], name: str) -> None:
    running, log = logged
    before = sorted(running.folder.iterdir())
    size = log.stat().st_size
    body, kind = form(name, b"lesson: x")
    assert ask(running, "POST", "/bring", body, **kind, **own(running))[0] in {400, 422}
    assert sorted(running.folder.iterdir()) == before
    assert log.read_text("utf-8")[size:].count("Traceback") == 0


@pytest.mark.parametrize("title", ["\ud800", "x" * 5_000, "\0", "♯" * 120, "..", "%00", "a\nb"])
def test_an_odd_title_makes_a_lesson_or_a_sentence(folder: Folder, title: str) -> None:
    before = sorted(folder.root.iterdir())
    try:
        name = begin_lesson(folder, title, "D dorian")
    except LickwrightError:
        assert sorted(folder.root.iterdir()) == before
    else:
        lesson = LessonDocument.open(folder.root / name).lesson
        assert lesson is not None
        assert lesson.entry.lesson == title


# --- nothing is waited for ------------------------------------------------------------------------


def test_a_pipe_keeps_nobody_waiting(tmp_path: Path) -> None:
    """In a studio of its own: one visitor holds only so many pages at a time."""
    folder = tmp_path / "lessons"
    folder.mkdir()
    (folder / "tide.yaml").write_bytes(TIDE.read_bytes())
    os.mkfifo(folder / "pipe.yaml")
    running = start(folder, tmp_path / "log")
    try:
        status, _, body = ask(running, "GET", "/")
    finally:
        running.end()
    assert status == 200
    assert b"tide.yaml" in body
    assert b"pipe.yaml" not in body


def test_a_brought_file_never_takes_the_name_of_a_pipe(folder: Folder) -> None:
    os.mkfifo(folder.root / "pipe.yaml")
    (folder.root / "pipe-2.yaml").symlink_to("nowhere.yaml")
    assert take_in(folder, "pipe.yaml", TIDE.read_bytes()) == "pipe-3.yaml"


#: Makes the disk hang at every lesson whose name begins with ``slow``.
HANG = """
import time
from lickwright.lesson.edit import kept_file
read = kept_file.lesson_bytes
def hang(path):
    while path.name.startswith("slow"):
        time.sleep(60)
    return read(path)
kept_file.lesson_bytes = hang
"""


def test_a_disk_that_hangs_keeps_no_other_page_waiting(tmp_path: Path) -> None:
    folder = tmp_path / "lessons"
    folder.mkdir()
    for name in ("tide.yaml", "slow.yaml"):
        (folder / name).write_bytes(TIDE.read_bytes())
    log = tmp_path / "log"
    running = start(folder, log, HANG)
    try:
        ask(running, "GET", "/")
        answers: list[tuple[int, dict[str, str], bytes]] = []
        slow = threading.Thread(
            target=lambda: answers.append(ask(running, "GET", "/lesson/slow.yaml"))
        )
        slow.start()
        for path in ("/lesson/tide.yaml", "/", "/own/studio.css"):
            assert ask(running, "GET", path)[0] == 200
        assert slow.is_alive(), "the others were answered while it still waits"
        slow.join()
    finally:
        running.process.terminate()
        assert running.process.wait(20) is not None, "it ends although the disk never answered"
    status, _, body = answers[0]
    assert status == 503
    assert b"The disk does not answer" in body or b"the disk does not answer" in body
    assert "Traceback" not in log.read_text("utf-8")


def test_jobs_for_the_disk_leave_the_loop_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(disk, "_waiting", threading.BoundedSemaphore(2))
    hangs = threading.Event()

    def fail() -> None:
        raise FileNotFoundError("x")

    async def look() -> None:
        assert await at_disk(lambda: 7) == 7
        with pytest.raises(FileNotFoundError):
            await at_disk(fail)
        for _ in range(2):
            with pytest.raises(OutputError, match="does not answer"):
                await at_disk(hangs.wait, within_s=0.01)
        began_s = time.monotonic()
        with pytest.raises(OutputError, match="does not answer"):
            await at_disk(lambda: 7)  # too many wait already
        assert time.monotonic() - began_s < 5.0
        hangs.set()
        until = time.monotonic() + 10.0
        while time.monotonic() < until:
            await asyncio.sleep(0.01)
            try:
                assert await at_disk(lambda: 8) == 8
                return
            except OutputError:
                continue
        raise AssertionError("the places were never free again")

    asyncio.run(look())
