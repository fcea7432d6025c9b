"""What README and docs show is so: every lesson reads, every command runs, every import is there.

A command that would take long, or wait for a person, is asked for its options alone: a key that it
does not know is refused before anything is done.
"""

from __future__ import annotations

import ast
import re
import shlex
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest
from ruamel.yaml import YAML
from typer.main import get_command
from typer.testing import CliRunner

import lickwright
from lickwright.cli.app import app

ROOT = Path(__file__).parent.parent
PAGES = (ROOT / "README.md", *sorted((ROOT / "docs").glob("*.md")))
DEMO = ROOT / "examples" / "two-triads-one-chord.yaml"
#: Commands that only parse here: they build, serve, wait for a recording or write a whole shelf.
_LONG = {"build", "studio", "take", "film", "doctor"}
#: Commands that do what they do without a word more.
_ALONE = {"tunings", "chords", "scales", "schema"}
_BLOCK = re.compile(r"^```(\w*)\n(.*?)^```", re.MULTILINE | re.DOTALL)
_INLINE = re.compile(r"`(lickwright [^`\n]*(?:\n[^`\n]+)?)`")
#: What stands for something of the reader's.
_STANDS_FOR = {
    "LESSON": "lesson.yaml",
    "EXAMPLE": "Two pairs, one lick",
    "FOLDER": ".",
    "OUT": "out",
}


class Shown(NamedTuple):
    """Something that a page shows, and the line where it begins."""

    page: str
    line: int
    text: str

    def __str__(self) -> str:
        return f"{self.page}:{self.line}"


def _blocks(kind: str) -> list[Shown]:
    return [
        Shown(page.name, text[: found.start()].count("\n") + 2, found[2])
        for page in PAGES
        for text in [page.read_text("utf-8")]
        for found in _BLOCK.finditer(text)
        if found[1] == kind
    ]


def _commands() -> Iterator[Shown]:
    """Every command: a line of a block, or one in the text; what it does is left out."""
    for block in _blocks(""):
        for number, line in enumerate(block.text.splitlines()):
            words = line.removeprefix("$ ").strip()
            if words.startswith("lickwright "):
                # Two spaces or more part a command from what it does.
                yield Shown(block.page, block.line + number, re.split(r" {2,}", words)[0])
    for page in PAGES:
        text = page.read_text("utf-8")
        for found in _INLINE.finditer(_BLOCK.sub(lambda block: "\n" * block[0].count("\n"), text)):
            words = " ".join(found[1].split())
            if not re.search(r"lickwright \W|\[", words):
                yield Shown(page.name, text[: found.start()].count("\n") + 1, words)
        for found in re.finditer(r"^    (lickwright .*)$", text, re.MULTILINE):
            yield Shown(page.name, text[: found.start()].count("\n") + 1, found[1])


LESSONS, COMMANDS, PYTHON = _blocks("yaml"), list(_commands()), _blocks("python")


def test_there_is_something_to_look_at() -> None:
    assert len(LESSONS) >= 4
    assert len(COMMANDS) >= 45
    assert len(PYTHON) >= 6


def _whole(text: str, beside: str) -> str:
    """A lesson; a list of examples alone is put below those of a lesson that the page shows."""
    if not text.lstrip().startswith("- "):
        return text
    return beside + text


@pytest.mark.parametrize("shown", LESSONS, ids=str)
def test_every_lesson_that_is_shown_is_in_order(shown: Shown, tmp_path: Path) -> None:
    head = "lesson: Shown\nkey: A minor\nexamples:\n"
    path = tmp_path / "lesson.yaml"
    path.write_text(_whole(shown.text, head), "utf-8")
    assert YAML(typ="safe").load(path.read_text("utf-8"))["examples"]
    findings = lickwright.check(lickwright.load_lesson(path))
    assert [str(finding) for finding in findings] == []


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A folder with what the commands name: lessons, an old lick, a shelf with one lesson."""
    small = re.split(r"\n(?=  - name: (?!Two pairs, one lick))", DEMO.read_text("utf-8"))[0] + "\n"
    (tmp_path / "lessons").mkdir()
    for name in ("lesson.yaml", "new-lesson.yaml", "lessons/one.yaml"):
        (tmp_path / name).write_text(small, "utf-8")
    shop = lickwright.load_lesson(tmp_path / "lesson.yaml")
    from lickwright.formats.musicxml import musicxml
    from lickwright.lesson.compile import Workshop

    (tmp_path / "old-lick.musicxml").write_text(musicxml(Workshop(shop).worked(0).score), "utf-8")
    shutil.copytree(DEMO.parent, tmp_path / "examples")
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("LICKWRIGHT_SHELF", str(tmp_path / "shelf.sqlite"))
    return tmp_path


def _run(words: list[str]) -> str:
    result = CliRunner().invoke(app, words, catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.output


def _before(words: list[str]) -> None:
    """What must be there before a command of the shelf can be asked."""
    if words[0] != "shelf" or words[1] == "add":
        return
    _run(["shelf", "add", "lessons/one.yaml"])
    if words[1] == "import":
        _run(["shelf", "export", words[2]])
    if words[1] == "restore":
        _run(["shelf", "backup", words[2]])
        _run(["shelf", "remove", "--lesson", "1"])


@pytest.mark.parametrize("shown", COMMANDS, ids=str)
def test_every_command_that_is_shown_runs(shown: Shown, place: Path) -> None:
    words = [_STANDS_FOR.get(word, word) for word in shlex.split(shown.text)[1:]]
    words = [each for word in words for each in (sorted(_globbed(word)) or [word])]
    words = ["1" if word == "41" else word for word in words]
    if words[0] == "COMMAND":
        words[0] = "implies"
    if words[0] in _ALONE or (len(words) > 1 and words[0] not in _LONG):
        _before(words)
        _run(words)
    elif len(words) == 1 and not words[0].startswith("-"):
        _run([*words, "--help"])
    else:
        _parses(words)


def _globbed(word: str) -> list[str]:
    return [str(path) for path in Path().glob(word)] if "*" in word else []


def _parses(words: list[str]) -> None:
    """That the command and each of its options are there, without doing anything."""
    command = get_command(app)
    if words[0].startswith("-"):
        assert any(words[0] in option.opts for option in command.params)
        return
    room = command.commands[words[0]]  # type: ignore[attr-defined]
    room.make_context(words[0], words[1:], resilient_parsing=False)


@pytest.mark.parametrize("shown", PYTHON, ids=str)
def test_every_import_that_is_shown_is_there_and_goes_no_deeper_than_a_room(shown: Shown) -> None:
    tree = ast.parse(shown.text)
    for node in ast.walk(tree):
        if isinstance(node, ast.ImportFrom) and (node.module or "").startswith("lickwright"):
            home = Path(lickwright.__file__).parent.parent.joinpath(*(node.module or "").split("."))
            assert (home / "__init__.py").is_file(), f"{node.module} is inside a room"
            found = __import__(node.module or "", fromlist=["x"])
            assert [each.name for each in node.names if not hasattr(found, each.name)] == []


def test_what_prints_for_people_prints_for_machines() -> None:
    """README says that all of its commands take ``--json``."""
    shown = (ROOT / "README.md").read_text("utf-8").split("## Ask one thing at a time")[1]
    names = set(re.findall(r"^lickwright (\S+)(?: (add))?", shown.split("```")[1], re.MULTILINE))
    assert len(names) > 12
    for name, inner in names:
        command = get_command(app).commands[name]  # type: ignore[attr-defined]
        command = command.commands[inner] if inner else command
        assert any("--json" in option.opts for option in command.params), name
