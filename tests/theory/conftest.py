"""The document of disagreements, read as the tests compare with it."""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path

import pytest

DOCUMENT = Path(__file__).parents[2] / "docs" / "harmony-disagreements.md"

Listed = dict[tuple[str, str], tuple[str, str]]


@pytest.fixture(scope="session")
def documented() -> Callable[[str], Listed]:
    """Read a heading's first table: (library, symbol) -> (what it says, what we say)."""

    def read(heading: str) -> Listed:
        text = DOCUMENT.read_text(encoding="utf-8").split(f"\n{heading}\n", 1)[1]
        text = re.split(r"\n#+ ", text, maxsplit=1)[0]
        rows = [[cell.strip() for cell in line.split("|")[1:-1]] for line in text.splitlines()]
        return {
            (row[0], row[1].strip("`")): (row[2], row[3])
            for row in rows
            if len(row) == 5 and row[1].startswith("`") and row[4]
        }

    return read
