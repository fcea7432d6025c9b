"""What the studio needs of the page library that it does not document, tried with one version."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable
from importlib import metadata, resources
from pathlib import Path

from .conftest import Hand, OwnLesson

PYPROJECT = Path(__file__).parents[2] / "pyproject.toml"
#: Names of the page library in the browser that it does not document.
PRIVATE = re.compile(r"did_handshake|window\.socket|emitEvent|window\.clientId")


def scripts() -> dict[str, str]:
    folder = resources.files("lickwright.studio")
    return {f.name: f.read_text("utf-8") for f in folder.iterdir() if f.name.endswith(".js")}


def test_one_version_is_asked_for_and_said() -> None:
    asked = tomllib.loads(PYPROJECT.read_text("utf-8"))["project"]["dependencies"]
    assert "nicegui>=3.18,<3.19" in asked
    assert metadata.version("nicegui").startswith("3.18.")
    assert "NiceGUI 3.18" in scripts()["page_library.js"]


def test_only_one_script_knows_its_names() -> None:
    assert {name for name, text in scripts().items() if PRIVATE.search(text)} == {"page_library.js"}


def test_it_is_known_whether_the_page_is_connected(
    own: OwnLesson, hand: Callable[..., Hand]
) -> None:
    teacher = hand()
    teacher.open(own.address)
    page = teacher.page
    connected = "window.lickwrightPage.isConnected()"
    assert page.evaluate(connected) is True
    page.evaluate("window.socket.disconnect()")
    page.wait_for_function(f"!{connected}")
    teacher.click("Shape", within=".rooms")  # kept until the connection is back
    page.evaluate("window.socket.connect()")
    page.wait_for_function(connected)
    page.get_by_role("heading", name="The line").wait_for()
