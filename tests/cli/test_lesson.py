"""The commands on a lesson file, as a person types them."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from lickwright.cli import main

LESSON = """\
lesson: A Small One
key: B dorian
examples:
  - name: The pair
    triads: [D, F#m]
    over: B
    implies: Bm9
    frets: 9-16
  - name: Own notes
    over: B
    tab: |
      e|--------------9-|
      B|-------10-------|
      G|----11----------|
      D|-12-------------|
      A|----------------|
      E|----------------|
    rhythm: q
"""

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def run(monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]) -> Run:
    """Run the command line in this process: exit code, stdout, stderr."""

    def run(*words: object) -> tuple[int, str, str]:
        monkeypatch.setattr(sys, "argv", ["lickwright", *map(str, words)])
        code = 0
        try:
            main()
        except SystemExit as left:
            code = int(left.code or 0)
        out, err = capfd.readouterr()
        return code, out, err

    return run


@pytest.fixture
def lesson(tmp_path: Path) -> Path:
    path = tmp_path / "lesson.yaml"
    path.write_text(LESSON, encoding="utf-8")
    return path


def test_check_of_a_sound_lesson(run: Run, lesson: Path) -> None:
    code, out, err = run("check", lesson)
    assert (code, err) == (0, "")
    assert "nothing to mend" in out
    assert json.loads(run("check", lesson, "--json")[1]) == []


def test_check_lists_findings_and_exits_2(run: Run, lesson: Path) -> None:
    lesson.write_text(LESSON.replace("Bm9", "B7"), encoding="utf-8")
    code, out, _ = run("check", lesson)
    assert code == 2
    assert re.match(rf"{re.escape(str(lesson))}:7: error: B7 has a 3, but D sounds", out)
    (finding,) = json.loads(run("check", lesson, "--json")[1])
    assert finding["line"] == 7
    assert finding["severity"] == "error"


def test_warnings_alone_exit_0(run: Run, lesson: Path) -> None:
    lesson.write_text(LESSON.replace("Bm9", "Bm11"), encoding="utf-8")
    code, out, _ = run("check", lesson)
    assert code == 0
    assert "warning" in out


def test_schema_is_json_schema_that_knows_every_key(run: Run) -> None:
    code, out, _ = run("schema")
    schema = json.loads(out)
    assert code == 0
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert {"lesson", "key", "examples"} <= set(schema["required"])
    assert {"triads", "tab", "lick"} <= set(schema["$defs"]["ExampleEntry"]["properties"])
    for model in schema["$defs"].values():
        for key, value in model["properties"].items():
            assert value.get("description"), f"{key} is not documented"


def test_carry_prints_an_example_that_loads(run: Run, lesson: Path) -> None:
    code, out, _ = run("carry", lesson, "The pair", "--changes", "Bm9 | E13")
    assert code == 0
    lesson.write_text(LESSON + out, encoding="utf-8")
    assert run("check", lesson)[0] == 0
    data = json.loads(run("carry", lesson, "The pair", "--changes", "E13", "--json")[1])
    assert data["chords"][0]["chord"] == "E13"


#: What is changed in the lesson, and what the one sentence says.
BAD = [
    ("triads: [D, F#m]", "triad: [D, F#m]", r"no key 'triad'.*Did you mean 'triads'"),
    ("lesson: A Small One", "lesson: [", r"not YAML"),
    ("over: B\n    implies", "over: H\n    implies", r"'H' is not a note name"),
    ("  - name: Own notes", "  - name: Empty\n  - name: Own notes", r"has no music"),
    ("D|-12-", "D|-30-", r"30"),
    ("D|-12-------------|", "D|-12------------|", r"long"),
    ("rhythm: q", "rhythm: h", r"bar"),
    ("rhythm: q", "rhythm: s\n    strokes: UUUU", r"Note 2 sweeps against its direction"),
]


@pytest.mark.parametrize("command", ["build", "check"])
@pytest.mark.parametrize(("old", "new", "says"), BAD)
def test_bad_input_is_one_sentence_exit_2_and_nothing_written(
    run: Run, lesson: Path, command: str, old: str, new: str, says: str
) -> None:
    assert old in LESSON
    lesson.write_text(LESSON.replace(old, new, 1), encoding="utf-8")
    out_folder = lesson.parent / "out"
    code, out, err = run(command, lesson, *(["-o", out_folder] if command == "build" else []))
    said = (out + err).strip()
    assert code == 2
    assert re.search(says, said), said
    assert re.match(rf"{re.escape(str(lesson))}:\d+: ", said), said
    assert "Traceback" not in said
    assert not out_folder.exists()


def test_a_missing_file(run: Run, tmp_path: Path) -> None:
    code, out, err = run("build", tmp_path / "none.yaml", "-o", tmp_path / "out")
    assert (code, out) == (2, "")
    assert err.count("\n") == 1
    assert "there is no such file" in err
    assert not (tmp_path / "out").exists()


def test_an_unwritable_folder(run: Run, lesson: Path) -> None:
    (lesson.parent / "out").write_text("a file stands here")
    code, _, err = run("build", lesson, "-o", lesson.parent / "out")
    assert code == 2
    assert "cannot be written" in err
    assert err.count("\n") == 1
    assert (lesson.parent / "out").read_text() == "a file stands here"


def test_build_says_where_to_look_and_then_that_nothing_changed(run: Run, lesson: Path) -> None:
    out_folder = lesson.parent / "out"
    code, out, err = run("build", lesson, "-o", out_folder)
    assert (code, err) == (0, "")
    assert str(out_folder / "index.html") in out
    assert str(out_folder / "lesson.pdf") in out
    again = run("build", lesson, "-o", out_folder)[1]
    assert "Nothing has changed" in again
    report = json.loads(run("build", lesson, "-o", out_folder, "--json")[1])
    assert report["built"] == []
    assert "lesson.pdf" in report["files"]


def test_help_loads_no_heavy_library() -> None:
    script = (
        "import sys; sys.argv = ['lickwright', '--help']\n"
        "from lickwright.cli import main\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "heavy = {'numpy', 'scipy', 'verovio', 'typst', 'pydantic', 'ruamel', 'soundfile',"
        " 'librosa', 'nicegui', 'sqlalchemy', 'av'}\n"
        "print(sorted(heavy & set(sys.modules)))"
    )
    environment = os.environ | {"NO_COLOR": "1"}
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, env=environment, check=True
    )
    assert done.stdout.splitlines()[-1] == "[]"
    assert "build" in done.stdout


def test_an_unknown_command_exits_2(run: Run) -> None:
    code, _, err = run("biuld")
    assert code == 2
    assert "Traceback" not in err


def test_check_for_a_player_of_another_level(run: Run, lesson: Path) -> None:
    assert "nothing to mend" in run("check", lesson)[1]
    code, out, _ = run("check", lesson, "--level", "beginning")
    assert code == 0
    assert "above the estimated ceiling" in out
    assert "for a beginning player" in out
    code, _, err = run("check", lesson, "--level", "begining")
    assert code == 2
    assert "Did you mean 'beginning'?" in err
