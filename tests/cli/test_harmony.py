"""The harmony commands as a person and as a machine use them."""

from __future__ import annotations

import json
from typing import Any

import pytest
import typer
from typer.testing import CliRunner

from lickwright.cli import harmony
from lickwright.errors import TheoryError
from lickwright.theory.chord import parse_chord
from lickwright.theory.hearing.implied import implied_chords
from lickwright.theory.triad import parse_triad

APP = typer.Typer()
harmony.register(APP)


def run(*words: str) -> str:
    result = CliRunner().invoke(APP, list(words), catch_exceptions=False)
    assert result.exit_code == 0, result.output
    return result.output


def data(*words: str) -> Any:
    return json.loads(run(*words, "--json"))


def test_implies_prints_the_ranked_readings() -> None:
    shown = run("implies", "Bb", "Dm", "--over", "G")
    assert "Gm9" in shown
    assert "D=5" in shown
    assert shown.index("Gm9") < shown.index("Bbmaj7/G")


def test_implies_says_for_machines_what_the_library_says() -> None:
    readings = data("implies", "Bb", "Dm", "--over", "G", "--key", "G dorian")
    ours = implied_chords([parse_triad("Bb"), parse_triad("Dm")], "G", "G dorian")
    assert [reading["symbol"] for reading in readings] == [reading.symbol for reading in ours]
    first = readings[0]
    assert first["notes"] == ["G", "A", "Bb", "D", "F"]
    assert first["degrees"] == ["1", "9", "b3", "5", "b7"]
    assert first["diatonic"] is True
    assert sum(term["points"] for term in first["why"]) == pytest.approx(
        100 * first["strength"], abs=0.1
    )


def test_implies_explains_the_strength() -> None:
    shown = run("implies", "Bb", "Dm", "--over", "G", "--why", "--show", "1")
    for part in ("support +30", "bass +28", "guides +20", "plainness"):
        assert part in shown


@pytest.mark.parametrize(
    "words",
    [
        ("implies", "C", "--note", "Bb", "--over", "C"),
        ("implies", "C E G Bb", "--over", "C"),
        ("implies", "C,E,G,Bb", "--over", "C"),
        ("implies", "E dim", "--over", "C"),
    ],
)
def test_triads_and_loose_notes_are_told_apart(words: tuple[str, ...]) -> None:
    assert data(*words)[0]["symbol"] == "C7"


def test_no_common_name_is_said_with_degrees() -> None:
    shown = run("implies", "Csus4", "F#sus2", "--over", "B")
    assert "no common name" in shown
    assert "B=1" in shown


def test_rebass_lists_twelve_basses() -> None:
    rows = data("rebass", "Gm", "F")
    assert len(rows) == 12
    assert rows[0]["over"] == "G"
    shown = run("rebass", "Gm", "F")
    assert "Ebmaj13#11" in shown


def test_pairs_finds_what_implies_the_chord() -> None:
    groups = data("pairs", "Ebmaj9", "--rootless", "--alone")
    assert {"Gm", "Bb"} in [set(group["triads"]) for group in groups]
    assert all(group["without_root"] for group in groups)
    assert all(parse_chord(g["reading"]["symbol"]) == parse_chord("Ebmaj9") for g in groups)
    assert "5 7 9 | 3 5 7" in run("pairs", "Ebmaj9", "--alone")


def test_pairs_says_what_to_do_when_there_are_none() -> None:
    assert "--added 1" in run("pairs", "Eb", "--alone")
    assert data("pairs", "Eb", "--alone") == []


def test_pairs_over_a_chord_are_those_of_its_scales() -> None:
    first = data("pairs", "C7alt")[0]
    assert first["triads"] == ["Gb", "Ab"]
    assert first["scale"] == "altered"
    assert first["over"]["leaves"] == ["3"]
    assert "#11 b7 b9 |" in run("pairs", "C7alt")


def test_what_sounds_below_may_be_a_chord() -> None:
    heard = data("implies", "Gb", "Ab", "--under", "C7alt")
    assert heard["leaves"] == ["3"]
    assert heard["together"]["symbol"] == "C7alt"
    assert "leaves 3 to the band" in run("implies", "Gb", "Ab", "--under", "C7alt")
    for wrong in ([], ["--over", "C", "--under", "C7"]):
        with pytest.raises(TheoryError, match="--under"):
            CliRunner().invoke(APP, ["implies", "Gb", *wrong], catch_exceptions=False)


def test_triads_of_a_scale_can_be_read_over_another_bass() -> None:
    (pair,) = [
        p for p in data("triads", "D dorian", "--over", "G")["pairs"] if p["triads"] == ["Dm", "Em"]
    ]
    assert pair["over"] == "G"
    assert pair["reading"]["symbol"] == "G13"


def test_triads_lists_a_scale_and_its_hexatonic_pairs() -> None:
    listed = data("triads", "A dorian")
    assert {"Am", "Bm", "C", "D", "Em", "F#dim", "G"} <= set(listed["triads"])
    pair = next(pair for pair in listed["pairs"] if pair["triads"] == ["C", "D"])
    assert pair["complement"] == ["B"]
    assert "C D" in run("triads", "A dorian", "--sharing", "2")


@pytest.mark.parametrize(
    ("words", "what"),
    [
        (("implies", "Bbx", "--over", "C"), "'Bbx' is not a triad"),
        (("implies", "Bb", "--over", "H"), "'H' is not a note name"),
        (("implies", "Bb", "--over", "C", "--key", "C dorain"), "dorian"),
        (("pairs", "Bbmj9"), "Did you mean 'Bbmaj9'"),
        (("triads", "C lidian"), "lydian"),
    ],
)
def test_bad_input_reaches_the_caller_as_one_sentence(words: tuple[str, ...], what: str) -> None:
    with pytest.raises(TheoryError, match=what):
        CliRunner().invoke(APP, list(words), catch_exceptions=False)


def test_bare_letters_that_are_read_as_triads_say_so() -> None:
    said = "Read as 4 major triads; for the notes alone, write them as one: 'C F Ab Bb'"
    assert said in run("implies", "C", "F", "Ab", "Bb", "--over", "C")
    assert said in run("rebass", "C", "F", "Ab", "Bb")
    for others in (["C", "F"], ["C", "Fm", "Ab"], ["C F Ab Bb"], ["C", "F", "Ab Bb"]):
        assert "Read as" not in run("implies", *others, "--over", "C")


def test_a_line_is_heard_in_time() -> None:
    shown = run("implies", "D E F C# D F", "--over", "D", "--in-turn")
    assert "note 2, E: a passing note to F" in shown
    assert "note 4, C#: an approach note to D" in shown
    heard = data("implies", "D4 E4 F4 C#4 D4 F4", "--over", "D", "--in-turn")
    assert heard["readings"][0]["root"] == "D"
    assert len(heard["leading"]) == 2
    first = data("implies", "C E G Eb E C", "--over", "C", "--in-turn")["readings"][0]
    assert first["symbol"] == "C"
