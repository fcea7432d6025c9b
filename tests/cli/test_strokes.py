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
    assert out.splitlines()[1].split() == ["stroke", *"UDDDD"]
    assert "sweeps  1 (notes 2-5 D)" in out


def test_json_says_the_same() -> None:
    code, out, _ = run(*LINE, "--json", "--rhythm", "16ths")
    answer = json.loads(out)
    assert code == 0
    assert [note["stroke"] for note in answer["notes"]] == list("UDDDD")
    assert answer["report"]["up_on_beat"] == [0]
    assert answer["report"]["down_on_beat"] == [4]
    assert answer["problems"] == []


def test_start_tempo_and_habit_of_the_pick_are_heard() -> None:
    def strokes_of(*arguments: str) -> str:
        code, out, _ = run("3/5", "3/7", "2/5", "2/8", "--rhythm", "16ths", *arguments)
        assert code == 0
        return "".join(out.splitlines()[1].split()[1:])

    assert strokes_of("--policy", "alternate") == "DUDU"
    assert strokes_of("--policy", "alternate", "--start", "u") == "UDUD"
    assert strokes_of("--policy", "alternate", "--escape", "down") == "UDUD"
    scale = [f"{string}/{fret}" for string in (6, 5, 4) for fret in (5, 7, 8)]
    at = {
        bpm: run(*scale, "--rhythm", "8ths", "--tempo", bpm)[1].splitlines()[1].split()[1:]
        for bpm in ("60", "320")
    }
    assert at["320"] == list("DUDDUDDUD")
    assert run(*scale, "--policy", "sweep", "--rhythm", "8ths", "--tempo", "60")[0] == 0


def test_own_strokes_are_checked_and_fail_by_note() -> None:
    code, out, err = run(*LINE, "--own", "DDDDU")
    assert code == 2
    assert out.splitlines()[1].split() == ["stroke", *"DDDDU"]
    assert "Note 2 is a second note on string 4" in err


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["4-10"], "'4-10' is not a note"),
        ([*LINE, "--policy", "swoop"], "no picking policy"),
        ([*LINE, "--start", "X"], "'X' is not a stroke to begin with"),
        ([*LINE, "--start", "D", "--own", "DUDUD"], "told twice"),
        ([*LINE, "--escape", "upp"], "Did you mean 'up'"),
        ([*LINE, "--tempo", "120"], "without a rhythm"),
    ],
)
def test_bad_input_is_one_sentence(arguments: list[str], words: str) -> None:
    with pytest.raises(HandError) as raised:
        run(*arguments)
    assert words in str(raised.value)
