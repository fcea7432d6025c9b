"""``lickwright analyse`` and ``lickwright journey`` from the outside."""

from __future__ import annotations

import json

import pytest
import typer
from typer.testing import CliRunner

from lickwright.cli import changes
from lickwright.errors import LickwrightError, TheoryError


def run(*arguments: str) -> str:
    app = typer.Typer()
    app.callback()(lambda: None)
    changes.register(app)
    result = CliRunner().invoke(app, arguments)
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    assert result.exit_code == 0
    assert result.stderr == ""
    return result.stdout


def test_analyse_says_numeral_function_and_scale_of_every_chord() -> None:
    out = run("analyse", "|: Bm9 | E13 | Amaj9 F#7b9 :|", "--key", "A", "--show", "1").splitlines()
    assert out[0].startswith("bar 1  Bm9 iim9  subdominant: ")
    assert out[1].strip().startswith("B dorian: ")
    assert out[6].startswith("bar 3  F#7b9 V7b9/ii  secondary dominant: it falls a fifth to Bm9")


def test_analyse_prints_for_machines() -> None:
    answer = json.loads(run("analyse", "Bm9 | E13", "--key", "A major", "--json"))
    assert [role["function"] for role in answer] == ["subdominant", "dominant"]
    assert answer[0]["scales"][0]["notes"] == ["B", "C#", "D", "E", "F#", "G#", "A"]


def test_analyse_finds_the_keys_where_none_is_given() -> None:
    out = run("analyse", "C | F | G | C | Am | D7 | G | Am | D7 | G", "--show", "1").splitlines()
    assert [line for line in out if line.startswith("in ")] == [
        "in C major",
        "in G major, by way of Am",
    ]
    answer = json.loads(run("analyse", "Dm7 | G7 | Cmaj7", "--json"))
    assert {role["key"] for role in answer} == {"C major"}


def test_journey_prints_changes_and_reasons() -> None:
    out = run("journey", "D", "F#m", "--stops", "3", "--from", "B", "--show", "1").splitlines()
    assert out[0].count("|") == 2
    assert out[1].strip().startswith("over B: Bm9")
    assert len(out) == 4


def test_journey_prints_for_machines() -> None:
    answer = json.loads(run("journey", "D", "F#m", "--show", "2", "--json"))
    assert len(answer) == 2
    assert answer[0]["cost"] <= answer[1]["cost"]


@pytest.mark.parametrize(
    "arguments",
    [
        ("analyse", "Bm9 | Q7"),
        ("analyse", "iim9"),
        ("analyse", "Bm9", "--key", "B dorain"),
        ("analyse", "Bm9", "--time", "4/5"),
        ("journey", "Dmajj"),
        ("journey", "D", "--from", "H"),
    ],
)
def test_what_cannot_be_read_is_told(arguments: tuple[str, ...]) -> None:
    with pytest.raises(LickwrightError) as caught:
        run(*arguments)
    assert caught.value.mend


def test_a_round_of_two_is_refused() -> None:
    with pytest.raises(TheoryError):
        run("journey", "D", "F#m", "--stops", "2", "--from", "B", "--to", "B")
