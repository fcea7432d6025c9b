"""The commands for neck and left hand: what they print, and what they refuse."""

from __future__ import annotations

import json

import pytest
import typer
from typer.testing import CliRunner

from lickwright.cli import hands
from lickwright.errors import LickwrightError

app = typer.Typer()
hands.register(app)

SWEEP = ["5/12", "5/15", "4/14", "3/14", "2/13", "1/12", "1/17"]


def run(*words: str) -> str:
    result = CliRunner().invoke(app, list(words), catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.output


def test_shapes_of_a_triad_are_listed() -> None:
    said = run("shapes", "Am", "--frets", "12-17", "--strings", "1-3", "--show", "1")
    assert "3/14 2/13 1/12" in said
    assert "root position" in said
    assert "mm" in said
    assert "more: --show" in said


def test_shapes_come_as_json() -> None:
    found = json.loads(run("shapes", "Am", "--frets", "12-14", "--json", "--show", "3"))
    assert len(found) == 3
    assert {"triad", "notes", "notes_per_string", "inversion", "frame_mm"} == set(found[0])


def test_two_triads_are_joined_with_reasons() -> None:
    said = run("shapes", "F", "Am", "--frets", "9-14", "--show", "2", "--contour", "up-down")
    assert "(up)" in said
    assert "(down)" in said
    assert "at the join" in said
    found = json.loads(run("shapes", "F", "Am", "--frets", "9-14", "--show", "2", "--json"))
    assert found[0]["reasons"]
    assert found[0]["cost"] <= found[1]["cost"]


def test_an_empty_window_is_said() -> None:
    assert "No shape" in run("shapes", "F", "--frets", "1-1")
    assert "No two shapes" in run("shapes", "F", "Am", "--frets", "1-1", "--notes-per-string", "2")


def test_fingers_are_printed_under_their_notes() -> None:
    said = run("fingers", *SWEEP, "--tempo", "120", "--best", "2", "--why")
    rows = [line.split() for line in said.splitlines()]
    assert rows[0] == ["note", *SWEEP]
    assert rows[1] == ["finger", "1", "4", "3", "3", "2", "1", "4"]
    assert rows[2][:2] == ["position", "12"]
    assert rows[3] != rows[1]
    assert "Next best:" in said


def test_fingers_come_as_json() -> None:
    found = json.loads(run("fingers", *SWEEP, "--rhythm", "16ths", "--tempo", "96", "--json"))
    notes = found[0]["notes"]
    assert [note["finger"] for note in notes] == [1, 4, 3, 3, 2, 1, 4]
    assert sum(term["cost"] for note in notes for term in note["costs"]) == found[0]["cost"]


def test_bare_pitches_get_their_strings_too() -> None:
    said = run("fingers", "A3", "C4", "E4", "--frets", "5-9", "--pin", "1=3")
    assert said.splitlines()[0].split() == ["note", "4/7", "3/5", "2/5"]


def test_another_instrument() -> None:
    said = run("fingers", "7/8", "7/10", "--tuning", "7-string", "--hand", "small", "--capo", "1")
    assert "7/8" in said


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["shapes", "H"], "'H' is not a triad"),
        (["shapes", "F", "Am", "C"], "3 triads"),
        (["shapes", "F", "--contour", "up-down"], "a contour or a loop is for two triads"),
        (["shapes", "F", "--loop"], "a contour or a loop is for two triads"),
        (["shapes", "F", "--tuning", "drp D"], "drop D"),
        (["fingers", "5/12", "2"], "'2' is not a note of a line"),
        (["fingers", "5/12", "x/2"], "'x/2' is not a note of a line"),
        (["fingers", "5/12", "--pin", "one=1"], "'one=1' is not a pin"),
        (["fingers", "5/12", "--pin", "2=1"], "note 2 of 1"),
        (["fingers", "1/1", "--pin", "1=4"], "behind the nut"),
        (["fingers", "5/12", "--frets", "5-9"], "have their frets"),
        (["fingers", "5/33"], "note 1: there is no string 5 fret 33"),
        (["fingers", "E1"], "below its lowest"),
    ],
)
def test_what_cannot_be_is_one_sentence(words: list[str], said: str) -> None:
    with pytest.raises(LickwrightError, match=said):
        run(*words)


def test_merged_triads_are_listed_with_whose_each_note_is() -> None:
    said = run("shapes", "C", "Am", "--merged", "--frets", "5-8", "--strings", "2-4")
    rows = [line.split() for line in said.splitlines()[:4]]
    assert rows == [
        ["4/5", "4/7", "3/5", "2/5", "2/8"],
        ["G", "A", "C", "E", "G"],
        ["C", "G", ".", "C", "E", "G"],
        ["Am", ".", "A", "C", "E", "."],
    ]
    assert "3 of 5 notes in one sweep, between two turns; 78 mm" in said
    found = json.loads(
        run("shapes", "C", "Am", "--merged", "--frets", "5-8", "--strings", "2-4", "--json")
    )
    assert found["found"] == len(found["arpeggios"]) == 3
    assert found["why_no_sweep"] == ""
    first = found["arpeggios"][0]
    assert first["notes"][2] == {"string": 3, "fret": 5, "note": "C", "triads": ["C", "Am"]}
    assert (first["sweep"], first["breaks"]) == (3, [])


def test_no_merged_sweep_gets_its_reason() -> None:
    said = run("shapes", "C", "D", "--merged", "--frets", "5-9", "--strings", "1-5", "--show", "1")
    assert "breaks on strings 4 and 3, with two notes" in said
    assert "C and D have no sweep there; they have one at frets 5-10 on these strings." in said
    said = run("shapes", "C", "Am", "--merged", "--frets", "5-6")
    assert said.startswith("C and Am have no sweep there; they have one at frets 5-7")


@pytest.mark.parametrize("option", [("--contour", "up-down"), ("--notes-per-string", "2")])
def test_merged_refuses_what_it_cannot_use(option: tuple[str, str]) -> None:
    with pytest.raises(LickwrightError, match=f"{option[0]} is not for merged"):
        run("shapes", "C", "Am", "--merged", *option)
