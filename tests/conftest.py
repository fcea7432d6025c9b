"""What every room's tests share."""

from __future__ import annotations

import fcntl
import os
import subprocess
import sys
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


@pytest.fixture(scope="session")
def shipped(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's output folder, built by the command that a teacher types.

    It is built once for all test processes: the first that asks builds, the others wait.
    """
    mine = tmp_path_factory.getbasetemp()
    shared = mine if _WORKER == "alone" else mine.parent
    out, said = shared / "demo" / "out", shared / "demo-said.txt"
    with (shared / "demo.lock").open("w") as lock:
        fcntl.flock(lock, fcntl.LOCK_EX)
        if not said.exists():
            done = subprocess.run(
                [sys.executable, "-m", "lickwright", "build", str(DEMO), "-o", str(out)],
                capture_output=True,
                text=True,
                check=True,
            )
            assert done.stderr == ""
            said.write_text(done.stdout)
    assert str(out / "index.html") in said.read_text()
    return out
