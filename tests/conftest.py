"""What every room's tests share."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import settings

# Two test processes that fill one cache of compiled functions at once may leave it broken, so each
# has its own. Numba reads this when it is first loaded.
_WORKER = os.environ.get("PYTEST_XDIST_WORKER", "alone")
os.environ["NUMBA_CACHE_DIR"] = str(
    Path(__file__).parent.parent / ".pytest_cache" / "numba" / _WORKER
)

settings.register_profile("lickwright", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("lickwright")

DEMO = Path(__file__).parent.parent / "examples" / "two-triads-one-chord.yaml"


@pytest.fixture(scope="session")
def demo_path() -> Path:
    """The demo lesson file."""
    return DEMO
