"""The public surface at the package root."""

from __future__ import annotations

import subprocess
import sys

import pytest

import lickwright


@pytest.mark.parametrize("name", lickwright.__all__)
def test_every_public_name_is_there_and_documented(name: str) -> None:
    assert getattr(lickwright, name).__doc__


def test_an_unknown_name_is_refused_as_python_does() -> None:
    with pytest.raises(AttributeError, match="no attribute 'licks'"):
        lickwright.licks  # noqa: B018


def test_the_names_that_callers_rely_on_do_what_they_say(demo_path: object) -> None:
    reading = lickwright.implied_chords(["D", "F#", "A", "C#"], "B")[0]
    assert reading.symbol == "Bm9"
    assert str(reading.root) == "B"
    assert set(reading.degrees) == {"1", "b3", "5", "b7", "9"}
    assert lickwright.check(lickwright.load_lesson(str(demo_path))) == []
    fingers = lickwright.assign_fingers([(1, 5), (1, 6), (1, 7), (1, 8)])
    assert [note.finger for note in fingers] == [1, 2, 3, 4]
    assert (
        "".join(lickwright.assign_strokes([(4, 10), (4, 14), (3, 10), (2, 10), (1, 12)])) == "UDDDD"
    )
    assert lickwright.find_shapes("D", frets=(9, 12))
    with pytest.raises(lickwright.LickwrightError):
        lickwright.implied_chords("H", "B")


def test_importing_the_package_loads_nothing_of_it() -> None:
    script = "import sys, lickwright; print(sum(m.startswith('lickwright.') for m in sys.modules))"
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=True
    )
    assert done.stdout.strip() == "0"
