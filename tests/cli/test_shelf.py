"""The shelf on the command line: what is typed, what is said, what is left behind."""

from __future__ import annotations

import json
import sqlite3
from pathlib import Path

import pytest
import typer
from typer.testing import CliRunner

from lickwright.cli import shelf
from lickwright.errors import LickwrightError
from lickwright.formats.musicxml.writing import musicxml
from lickwright.lesson.compile.examples import Workshop
from lickwright.lesson.file.reading import load_lesson

LESSON = """\
lesson: The Same Door
number: 3
teacher: Tern Street Guitar Room
key: F# dorian
examples:
  - name: The old pair
    text: Learnt in another *season*.
    over: F#
    triads: [A, C#m]
    tab: |
      e|----------5-4----|
      B|-------5------5--|
      G|----6------------|
      D|--7--------------|
      A|-----------------|
      E|-----------------|
    rhythm: 8ths
"""


@pytest.fixture
def app() -> typer.Typer:
    made = typer.Typer()
    made.command()(lambda: None)
    shelf.register(made)
    return made


class Shell:
    """Types commands; an error of ours is given back as its sentence."""

    def __init__(self, app: typer.Typer, place: Path) -> None:
        self.app = app
        self.place = place

    def __call__(self, *words: object) -> str:
        result = CliRunner().invoke(
            self.app, ["shelf", *map(str, words)], env={"LICKWRIGHT_SHELF": str(self.place)}
        )
        if isinstance(result.exception, LickwrightError):
            return str(result.exception)
        if result.exception is not None and not isinstance(result.exception, SystemExit):
            raise result.exception
        return result.output


@pytest.fixture
def shell(app: typer.Typer, tmp_path: Path) -> Shell:
    return Shell(app, tmp_path / "shelf.sqlite")


@pytest.fixture
def lesson(tmp_path: Path) -> Path:
    path = tmp_path / "door.yaml"
    path.write_text(LESSON, encoding="utf-8")
    return path


def test_from_an_empty_shelf_to_a_plan(shell: Shell, lesson: Path, demo_path: Path) -> None:
    assert shell("lessons").strip() == "There are no lessons on the shelf."
    assert "No lick" in shell("find")
    assert shell("add", lesson).strip() == "The Same Door: added."
    assert shell("add", lesson).strip() == "The Same Door: there already."
    said = shell("add", demo_path)
    assert "lesson 3, 'The old pair', a fourth lower" in said
    table = shell("lessons").splitlines()
    assert [line.split()[1] for line in table[1:]] == ["3", "12"]
    assert "season" in shell("show", 1)
    found = shell("find", "another", "seas")
    assert [line.split()[0] for line in found.splitlines()] == ["id", "1"]
    near = shell("near", lesson)
    assert "The old pair\n" in near
    assert "a fourth higher" in near
    plan = shell("gaps")
    assert "Not covered yet:" in plan
    assert "altered dominant" in plan


def test_for_machines(shell: Shell, lesson: Path, demo_path: Path) -> None:
    shell("add", lesson, demo_path)
    cards = json.loads(shell("find", "--chord", "m9", "--show", 2, "--json"))
    assert len(cards["licks"]) == 2
    assert cards["more"] is True
    whole = json.loads(shell("show", 1, "--json"))
    assert whole["score"]["places"].split()[0] == "4/7"
    assert json.loads(shell("lessons", "--json"))[0]["number"] == 3
    near = json.loads(shell("near", 1, "--json"))["lick 1"][0]
    assert near["likeness"]["semitones"] == 5
    assert near["said"].startswith("All its 6 notes stand in lesson 12, 'Over the tide line'")
    assert "a fourth higher" in near["said"]
    gaps = json.loads(shell("gaps", "--json"))
    assert {"family", "technique", "strings", "licks"} == set(gaps["covered"][0])
    assert len(gaps["next"]) == 5


def test_out_and_in_and_off(shell: Shell, lesson: Path, tmp_path: Path) -> None:
    shell("add", lesson)
    file = tmp_path / "all.jsonl"
    assert "Wrote 1 entry to" in shell("export", file)
    assert shell("import", file).strip() == "1 there already."
    assert "an example of a lesson" in shell("remove", "--lick", 1)
    assert shell("remove", "--lesson", 1).strip() == "Taken off the shelf."
    assert "No lick" in shell("find")
    assert shell("import", file).strip() == "1 added."
    assert "Give --lesson ID or --lick ID" in shell("remove")


def test_a_lick_from_musicxml_and_back_into_a_lesson(
    shell: Shell, lesson: Path, tmp_path: Path
) -> None:
    score = Workshop(load_lesson(lesson)).worked(0).score
    file = tmp_path / "door.musicxml"
    file.write_text(musicxml(score), encoding="utf-8")
    assert shell("add", file).splitlines()[0].endswith(": added.")
    example = shell("show", 1, "--example")
    head = "lesson: Again\nkey: F# dorian\nexamples:\n"
    again = tmp_path / "again.yaml"
    again.write_text(head + example, encoding="utf-8")
    notes = Workshop(load_lesson(again)).worked(0).score.lick.notes
    assert [note.position for note in notes] == [note.position for note in score.lick.notes]
    bare = musicxml(score).replace("<harmony", "<!--").replace("</harmony>", "-->")
    other = tmp_path / "bare.musicxml"
    other.write_text(bare, encoding="utf-8")
    shell("add", other, "--over", "F#", "--bars", "1-1")
    assert "bare" in shell("find", "--chord", "F#m9")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("add", "missing.yaml"), "no such file"),
        (("add", "missing.mxl"), "cannot be read"),
        (("find", "--technique", "swep"), "Did you mean 'sweep'?"),
        (("find", "--frets", "low"), "'low' is no range of frets"),
        (("find", "--chord", "H7"), "not a chord"),
        (("show", "7"), "no lick 7"),
        (("near", "7"), "no lick 7"),
        (("import", "missing.jsonl"), "cannot be read"),
        (("lessons", "--shelf", "mysql://x/y"), "cannot stand in 'mysql'"),
    ],
)
def test_errors_are_sentences(shell: Shell, words: tuple[str, ...], said: str) -> None:
    output = shell(*words)
    assert said in output
    assert "Traceback" not in output


def test_backup_restore_and_verify(shell: Shell, lesson: Path, tmp_path: Path) -> None:
    file = tmp_path / "kept.sqlite"
    assert "there is no shelf here" in shell("backup", file)
    assert "there is no shelf here" in shell("verify")
    assert not (tmp_path / "shelf.sqlite").exists()
    shell("add", lesson)
    assert shell("backup", file).strip().startswith("Wrote 1 lesson and 1 lick to ")
    assert "add --replace" in shell("backup", file)
    data = json.loads(shell("backup", file, "--replace", "--json"))
    assert data["whole"] is True
    assert data["counts"]["lick_words"] == 1
    shell("remove", "--lesson", 1)
    assert shell("restore", file).strip() == "Put back 1 lesson and 1 lick."
    assert "not empty" in shell("restore", file)
    said = shell("restore", file, "--replace").splitlines()
    assert said == ["Put back 1 lesson and 1 lick.", "Taken off: 1 lesson and 1 lick."]
    done = json.loads(shell("restore", file, "--replace", "--json"))
    assert done["taken off"]["lesson"] == 1
    assert shell("verify").strip().endswith("1 lesson and 1 lick: all is whole.")
    assert json.loads(shell("verify", "--json"))["whole"] is True


def test_verify_names_what_is_amiss_and_exits_2(
    app: typer.Typer, shell: Shell, lesson: Path, tmp_path: Path
) -> None:
    shell("add", lesson)
    place = tmp_path / "shelf.sqlite"
    with sqlite3.connect(place) as connection:
        connection.execute("UPDATE lesson SET text = 'other'")
    connection.close()
    for words in (["verify"], ["verify", "--json"]):
        result = CliRunner().invoke(app, ["shelf", *words, "--shelf", str(place)])
        assert result.exit_code == 2
        assert "the text of lesson 1 is not what was kept" in result.output


def test_adding_carrying_and_removing_speak_to_machines(
    shell: Shell, lesson: Path, tmp_path: Path
) -> None:
    (added,) = json.loads(shell("add", lesson, "--json"))
    assert (added["name"], added["done"], added["alike"]) == ("The Same Door", "added", [])
    assert json.loads(shell("add", lesson, "--json"))[0]["done"] == "there already"
    file = tmp_path / "all.jsonl"
    assert json.loads(shell("export", file, "--json")) == {"file": str(file), "entries": 1}
    (card,) = json.loads(shell("lessons", "--json"))
    said = json.loads(shell("remove", "--lesson", card["id"], "--json"))
    assert said == {"removed": {"lesson": card["id"], "lick": None}}
    assert sum(json.loads(shell("import", file, "--json")).values()) >= 1
    assert len(json.loads(shell("lessons", "--json"))) == 1
