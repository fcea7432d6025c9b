"""``lickwright take`` from the outside."""

from __future__ import annotations

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest
import soundfile
import typer
from typer.testing import CliRunner

from lickwright.cli import take
from lickwright.errors import LessonError, OutputError
from lickwright.lesson.compile.examples import Workshop
from lickwright.lesson.file.reading import load_lesson, read_lesson
from lickwright.sound.mix.rendering import Playing, render
from lickwright.take.errors import TakeError

DEMO = Path(__file__).parents[2] / "examples" / "two-triads-one-chord.yaml"


@pytest.fixture(scope="module")
def audio(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's first example as a FLAC file, with its count and its band."""
    path = tmp_path_factory.mktemp("take") / "played.flac"
    score = Workshop(load_lesson(DEMO)).worked(0).score
    soundfile.write(path, render(score, 80, Playing()), 44100)
    return path


@pytest.fixture(scope="module")
def alone(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same without the band."""
    path = tmp_path_factory.mktemp("take") / "alone.wav"
    score = Workshop(load_lesson(DEMO)).worked(0).score
    soundfile.write(path, render(score, 80, Playing(with_backing=False)), 44100)
    return path


def run(*arguments: str | Path) -> tuple[int, str, str]:
    app = typer.Typer()
    app.callback()(lambda: None)
    take.register(app)
    result = CliRunner().invoke(app, ["take", *map(str, arguments)])
    if result.exception is not None and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result.exit_code, result.stdout, result.stderr


def test_a_take_is_told_note_by_note(audio: Path) -> None:
    code, out, _ = run(DEMO, "Two pairs, one lick", audio, "--tempo", "80")
    lines = out.splitlines()
    assert code == 0
    assert lines[0].startswith(
        "Two pairs, one lick: 80.0 quarter notes a minute, first bar line at 3.0"
    )
    assert sum(" played " in line for line in lines) >= 9
    assert "What a recording cannot tell:" in lines


@pytest.mark.parametrize("name", ["two PAIRS, one lick", "1"])
def test_an_example_goes_by_name_or_number(audio: Path, name: str) -> None:
    assert json.loads(run(DEMO, name, audio, "--json")[1])["example"] == "Two pairs, one lick"


def test_json_holds_expected_and_heard(audio: Path) -> None:
    answer = json.loads(run(DEMO, "Two pairs, one lick", audio, "--json")[1])
    assert len(answer["notes"]) == 10
    first = answer["notes"][0]
    assert first["verdict"] == "played"
    assert first["expected"]["midi"] == first["heard"]["midi"]
    assert first["heard"]["onset_s"] == pytest.approx(3.0, abs=0.01)
    assert answer["not_heard"]


def test_a_picture_is_written(audio: Path, tmp_path: Path) -> None:
    path = tmp_path / "take.svg"
    assert run(DEMO, "Two pairs, one lick", audio, "--picture", path)[0] == 0
    assert ElementTree.parse(path).getroot().tag.endswith("svg")
    with pytest.raises(OutputError, match="could not be written"):
        run(DEMO, "Two pairs, one lick", audio, "--picture", tmp_path / "no" / "take.svg")


def test_a_proposal_is_an_entry_of_a_lesson(alone: Path) -> None:
    code, out, err = run(DEMO, "A new one", alone, "--transcribe", "--tempo", "80")
    assert code == 0
    assert "read it through" in err
    entry = "\n".join(f"  {line}" for line in out.splitlines())
    text = f"lesson: New\nkey: B minor\nexamples:\n{entry}\n"
    score = Workshop(read_lesson(text, Path("new.yaml"))).worked(0).score
    printed = Workshop(load_lesson(DEMO)).worked(0).score
    assert score.name == "A new one"
    assert [n.pitch for n in score.lick.notes] == [n.pitch for n in printed.lick.notes]
    answer = json.loads(run(DEMO, "1", alone, "--transcribe", "--tempo", "80", "--json")[1])
    assert answer["tempo_bpm"] == pytest.approx(80, abs=0.5)
    assert len(answer["notes"]) == 10


def test_what_is_not_there_is_told(audio: Path, tmp_path: Path) -> None:
    with pytest.raises(LessonError, match="no example 'Two pears, one lick'") as caught:
        run(DEMO, "Two pears, one lick", audio)
    assert caught.value.mend == "Did you mean 'Two pairs, one lick'?"
    with pytest.raises(TakeError):
        run(DEMO, "Two pairs, one lick", tmp_path / "none.wav")
    with pytest.raises(OutputError, match="beside its example"):
        run(DEMO, "Two pairs, one lick", audio, "--transcribe", "--picture", tmp_path / "x.svg")
