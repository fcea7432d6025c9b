"""What every room's tests share."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import settings

settings.register_profile("lickwright", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("lickwright")

DEMO = Path(__file__).parent.parent / "examples" / "two-triads-one-chord.yaml"


@pytest.fixture(scope="session")
def demo_path() -> Path:
    """The demo lesson file."""
    return DEMO
