"""A studio that runs, a browser that looks at it, and a hand that counts what it does."""

from __future__ import annotations

import os
import re
import shutil
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser")
#: What a browser in a container needs, and no traffic of its own.
BROWSER_ARGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--autoplay-policy=no-user-gesture-required",
)
#: A hand takes so long from one thing to the next, once the page stands still.
HAND_MS = 150
STILL = """(ms) => new Promise((done) => {
  let timer = setTimeout(end, ms);
  const watch = new MutationObserver(() => { clearTimeout(timer); timer = setTimeout(end, ms); });
  watch.observe(document.body, {childList: true, subtree: true});
  const last = setTimeout(end, 5000);
  function end() { clearTimeout(last); watch.disconnect(); done(); }
})"""
_SERVE = (
    "import sys; from pathlib import Path; from lickwright.studio.server.serve import serve;"
    " serve(Path(sys.argv[1]), host=sys.argv[2], opens_browser=False,"
    " say=lambda words: print(words, flush=True))"
)


@dataclass
class Running:
    """A studio in a process of its own."""

    folder: Path
    process: subprocess.Popen[str]
    address: str

    @property
    def port(self) -> int:
        return int(self.address.rstrip("/").rsplit(":", 1)[1])

    def end(self) -> None:
        """End it as Ctrl+C does, where it still runs."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT)
            try:
                self.process.wait(10)
            except subprocess.TimeoutExpired:
                self.kill()

    def kill(self) -> None:
        """End it as a power cut does."""
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()


def start_studio(folder: Path, host: str = "127.0.0.1", **env: str) -> Running:
    # The library behind the pages behaves otherwise when it believes itself under test.
    clean = {key: value for key, value in os.environ.items() if not key.startswith("PYTEST")}
    process = subprocess.Popen(
        [sys.executable, "-c", _SERVE, str(folder), host],
        stdout=subprocess.PIPE,
        text=True,
        env=clean | env,
    )
    assert process.stdout is not None
    line = process.stdout.readline()
    found = re.search(r"http://\S+/", line)
    assert found, f"the studio said: {line!r}"
    return Running(folder, process, found[0])


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Callable[..., Running]]:
    """Starts studios and ends them."""
    running: list[Running] = []

    def start(folder: Path = tmp_path / "lessons", **env: str) -> Running:
        running.append(start_studio(folder, **env))
        return running[-1]

    yield start
    for each in running:
        each.end()


@pytest.fixture(scope="session")
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Running]:
    """One studio for every test that only works at a lesson of its own."""
    running = start_studio(tmp_path_factory.mktemp("house"))
    yield running
    running.end()


@dataclass(frozen=True)
class OwnLesson:
    """A lesson in the studio that is shared: its file, and the address of its page."""

    path: Path
    address: str


@pytest.fixture
def own(house: Running) -> OwnLesson:
    """A lesson with one example of each kind, for one test alone."""
    number = len(list(house.folder.glob("*.yaml"))) + 1
    path = house.folder / f"tide-{number}.yaml"
    shutil.copy(Path(__file__).with_name("tide.yaml"), path)
    return OwnLesson(path, f"{house.address}lesson/{path.name}")


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    sync_api = pytest.importorskip("playwright.sync_api", reason="Playwright is not installed")
    if CHROMIUM is None:
        pytest.skip("there is no chromium on this machine")
    with sync_api.sync_playwright() as playwright:
        chromium = playwright.chromium.launch(executable_path=CHROMIUM, args=list(BROWSER_ARGS))
        yield chromium
        chromium.close()


@dataclass
class Hand:
    """A teacher's hand on mouse and keys; it counts every action.

    An action is a click, a choice, or a line of text typed; keys are those struck one by one.
    """

    page: Any
    clicks: int = 0
    typed: int = 0
    keys: int = 0
    began_s: float = field(default_factory=time.monotonic)

    @property
    def actions(self) -> int:
        return self.clicks + self.typed + self.keys

    @property
    def seconds(self) -> float:
        return time.monotonic() - self.began_s

    def open(self, address: str) -> None:
        """Go to a page and wait until it listens."""
        self.page.goto(address)
        self.page.locator("body[data-ready]").wait_for()

    def click(self, name: str, role: str = "button", *, within: str = "") -> None:
        self.clicks += 1
        place = self.page.locator(within) if within else self.page
        place.get_by_role(role, name=name, exact=True).first.click()
        self.rest()

    def write(self, label: str, text: str) -> None:
        self.typed += 1
        box = self.page.get_by_label(label, exact=True)
        box.fill(text)
        box.blur()
        self.rest()

    def rest(self) -> None:
        """Look on until the page stands still, as a person does before the next move."""
        from playwright.sync_api import Error

        try:
            self.page.evaluate(STILL, HAND_MS)
        except Error as error:
            if "context was destroyed" not in str(error):
                raise
            # The last click led to another page: look on until that one listens and stands still.
            self.page.locator("body[data-ready]").wait_for()
            self.page.evaluate(STILL, HAND_MS)

    def key(self, name: str) -> None:
        self.keys += 1
        self.page.keyboard.press(name)

    def wait_saved(self, path: Path, said: str) -> str:
        """Wait until the file says something, and hand its text over."""
        self.wait_for(lambda: path.is_file() and said in path.read_text("utf-8"), said)
        return path.read_text("utf-8")

    def wait_for(self, true: Callable[[], bool], what: str = "it") -> None:
        """Wait until something holds, as long as a person would."""
        until = time.monotonic() + 20
        while time.monotonic() < until:
            if true():
                return
            self.page.wait_for_timeout(30)
        told = self.page.locator(".alert").all_inner_texts()
        raise AssertionError(f"waited in vain for {what!r} ({told})")


@pytest.fixture
def hand(browser: Any) -> Iterator[Callable[..., Hand]]:
    """Hands, each in a window of its own; an error in the browser fails the test."""
    opened: list[Any] = []
    errors: list[str] = []

    def new(**options: Any) -> Hand:
        context = browser.new_context(
            **{"viewport": {"width": 1280, "height": 900}, "reduced_motion": "reduce"} | options
        )
        opened.append(context)
        context.set_default_timeout(20_000)
        page = context.new_page()
        page.on("pageerror", lambda error: errors.append(str(error)))
        return Hand(page)

    yield new
    for context in opened:
        context.close()
    assert not errors


@pytest.fixture
def tide(tmp_path: Path) -> Path:
    """A lesson with one example of each kind, alone in a folder."""
    folder = tmp_path / "lessons"
    folder.mkdir()
    return Path(shutil.copy(Path(__file__).with_name("tide.yaml"), folder))


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """One browser and one studio at a time: all tests of this folder go to one test process."""
    here = Path(__file__).parent
    for item in items:
        if here in item.path.parents:
            item.add_marker(pytest.mark.xdist_group("studio"))
