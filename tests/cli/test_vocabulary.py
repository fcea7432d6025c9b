"""The commands that list what can be written: each row is read back by what it names."""

from __future__ import annotations

import json
from typing import Any

import pytest
import typer
from typer.testing import CliRunner

from lickwright.cli import vocabulary
from lickwright.neck.tunings import parse_tuning
from lickwright.theory.chord import parse_chord
from lickwright.theory.scales import find_scale

APP = typer.Typer()
vocabulary.register(APP)


def run(*words: str) -> str:
    result = CliRunner().invoke(APP, list(words), catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.output


def data(*words: str) -> Any:
    return json.loads(run(*words, "--json"))


def test_every_tuning_that_is_listed_is_read() -> None:
    rows = data("tunings")
    assert len(rows) > 20
    for row in rows:
        strings = [str(pitch) for pitch in reversed(parse_tuning(row["tuning"]))]
        assert strings == row["strings"]


def test_every_chord_that_is_listed_is_read() -> None:
    rows = data("chords")
    assert len(rows) > 80
    for row in rows:
        for suffix in (row["chord"], *row["also"]):
            assert parse_chord(f"C{suffix}").kind.degrees == tuple(row["degrees"])


def test_every_scale_that_is_listed_is_read() -> None:
    rows = data("scales")
    assert len(rows) > 30
    for row in rows:
        for name in (row["scale"], *row["also"]):
            assert find_scale(name).degrees == tuple(row["degrees"])


@pytest.mark.parametrize("name", ["tunings", "chords", "scales"])
def test_people_and_machines_are_told_the_same(name: str) -> None:
    head, *lines = run(name).splitlines()
    rows = data(name)
    assert head.split("  ")[0] == next(iter(rows[0]))
    assert [line.split("  ")[0] for line in lines] == [next(iter(row.values())) for row in rows]


def test_words_choose_rows() -> None:
    assert [row["tuning"] for row in data("tunings", "drop", "f#2")] == ["drop B"]
    assert run("scales", "tide") == "No row holds 'tide'.\n"
    assert data("scales", "tide") == []
