"""A small lesson that each test bends a little."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

SMALL = """\
lesson: A Small One
key: B dorian
tempo: {slow: 60, target: 90}
examples:
  - name: The pair
    triads: [D, F#m]
    over: B
    implies: Bm9
    frets: 9-16
    contour: up down
    rhythm: 16ths
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


@pytest.fixture(scope="session")
def small() -> str:
    return SMALL


@pytest.fixture
def write(tmp_path: Path) -> Callable[[str], Path]:
    """Write a lesson file and give its path."""

    def write(text: str) -> Path:
        path = tmp_path / "lesson.yaml"
        path.write_text(text, encoding="utf-8")
        return path

    return write
