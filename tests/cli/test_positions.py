"""The command that shows the same notes elsewhere."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from lickwright.cli import positions, strokes
from lickwright.errors import LickwrightError

app = typer.Typer()
positions.register(app)
strokes.register(app)

LESSON = """\
lesson: One
key: A minor
examples:
  - name: Lick
    over: A
    joined: merged
    strings: 2-4
    rhythm: 16ths
    contour: up
    parts:
      - {triads: [C, Am], frets: 5-8}
      - {name: Back, mirror: 1}
  - name: Whole
    triads: [C]
    over: A
"""


@pytest.fixture
def lesson(tmp_path: Path) -> str:
    path = tmp_path / "lesson.yaml"
    path.write_text(LESSON, encoding="utf-8")
    return str(path)


def run(*words: str) -> str:
    result = CliRunner().invoke(app, ["positions", *words], catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.output


def test_a_part_is_shown_in_every_position(lesson: str) -> None:
    said = run(lesson, "Lick", "--part", "1", "--show", "100")
    assert "4/5 4/7 3/5 2/5 2/8\n  U DDD U\n  frets 5-8, 78 mm, 1 sweep, where it is" in said
    assert "5/10 5/12 4/10 3/9 3/12" in said
    data = json.loads(run(lesson, "Lick", "--part", "Back", "--json", "--frets", "5-8"))
    (here,) = [one for one in data if one["here"]]
    assert here["frets"] == [5, 8]
    assert [note["stroke"] for note in here["notes"]] == ["D", "U", "U", "U", "D"]


def test_a_whole_lick_and_a_window(lesson: str) -> None:
    assert len(json.loads(run(lesson, "Lick", "--json", "--frets", "5-8"))[0]["notes"]) == 10
    assert "under one hand" in run(lesson, "Lick", "--frets", "0-1")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("Lick", "--part", "3"), "has no part '3'"),
        (("Lick", "--part", "Bac"), "Did you mean 'Back'"),
        (("Whole", "--part", "1"), "of one piece"),
        (("Lock",), "Did you mean 'Lick'"),
        (("Lick", "--strings", "1-9"), "not on this instrument"),
    ],
)
def test_what_is_not_there_is_refused(lesson: str, words: tuple[str, ...], said: str) -> None:
    with pytest.raises(LickwrightError, match=said):
        run(lesson, *words)
