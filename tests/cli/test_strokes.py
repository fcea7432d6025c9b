"""``lickwright strokes`` from the outside."""

from __future__ import annotations

import json

import pytest
import typer
from typer.testing import CliRunner

from lickwright.cli import strokes
from lickwright.errors import HandError

LINE = ["4/10", "4/14", "3/10", "2/10", "1/12"]


def run(*arguments: str) -> tuple[int, str, str]:
    app = typer.Typer()
    app.callback()(lambda: None)
    strokes.register(app)
    result = CliRunner().invoke(app, ["strokes", *arguments])
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result.exit_code, result.stdout, result.stderr


def test_the_best_strokes_are_printed_under_the_notes() -> None:
    code, out, err = run(*LINE)
    assert code == 0
    assert err == ""
    assert out.splitlines()[1].split() == ["stroke", *"UDDDU"]
    assert "sweeps  1 (notes 2-4 D)" in out


def test_json_says_the_same() -> None:
    code, out, _ = run(*LINE, "--json", "--rhythm", "16ths")
    answer = json.loads(out)
    assert code == 0
    assert [note["stroke"] for note in answer["notes"]] == list("UDDDU")
    assert answer["report"]["up_on_beat"] == [0, 4]
    assert answer["problems"] == []


def test_own_strokes_are_checked_and_fail_by_note() -> None:
    code, out, err = run(*LINE, "--own", "DDDDU")
    assert code == 2
    assert out.splitlines()[1].split() == ["stroke", *"DDDDU"]
    assert "Note 2 is a second note on string 4" in err


@pytest.mark.parametrize(
    ("arguments", "words"),
    [(["4-10"], "'4-10' is not a note"), ([*LINE, "--policy", "swoop"], "no picking policy")],
)
def test_bad_input_is_one_sentence(arguments: list[str], words: str) -> None:
    with pytest.raises(HandError) as raised:
        run(*arguments)
    assert words in str(raised.value)
