"""A row written into the chord vocabulary is read, printed and found; nothing else need be told."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

import lickwright

_ASK = """
import json
from lickwright import implied_chords
from lickwright.theory import parse_chord
chord = parse_chord({symbol!r})
readings = implied_chords({notes!r}, over="C")
print(json.dumps([str(chord), [each.symbol for each in readings if each.named]]))
"""


@pytest.mark.parametrize(
    ("row", "symbol", "notes"),
    [
        ("m(b9)     | 1 b3 5 b9          |  | {min}b9    | added     | -", "Cm(b9)", "C Eb G Db"),
        ("7maj7     | 1 3 5 b7 7         |  |            | seventh   | -", "C7maj7", "C E G Bb B"),
        ("(addb9)   | 1 3 5 b9           |  | addb9      | added     | -", "C(addb9)", "C E G Db"),
        ("sus2sus#4 | 1 2 #11            |  |            | suspended | -", "Csus2sus#4", "C D F#"),
    ],
    ids=["m(b9)", "both sevenths", "addb9", "without a fifth"],
)
def test_a_new_row_is_read_printed_and_found(
    tmp_path: Path, row: str, symbol: str, notes: str
) -> None:
    package = Path(shutil.copytree(Path(lickwright.__file__).parent, tmp_path / "lickwright"))
    table = package / "theory" / "symbols" / "kinds.py"
    text = table.read_text("utf-8")
    last = "7alt        | 1 3 b7"
    assert text.count(last) == 1
    assert row.split("|")[0].strip() not in [
        line.split("|")[0].strip() for line in text.splitlines() if line.count("|") == 5
    ]
    table.write_text(text.replace(last, f"{row}\n{last}"), "utf-8")
    done = subprocess.run(
        [sys.executable, "-c", _ASK.format(symbol=symbol, notes=notes)],
        env=os.environ | {"PYTHONPATH": str(tmp_path)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stderr == ""
    printed, found = json.loads(done.stdout)
    assert printed == symbol
    assert symbol in found
