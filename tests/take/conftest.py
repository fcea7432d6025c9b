"""The players and the judge of ``bench/take.py``, so that tests and bench measure alike."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import pytest

BENCH = Path(__file__).parents[2] / "bench"


def _load(name: str) -> ModuleType:
    known = sys.modules.get(f"bench_{name}")
    if known is not None:
        return known
    spec = importlib.util.spec_from_file_location(f"bench_{name}", BENCH / f"{name}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="session")
def bench() -> ModuleType:
    """``bench/take.py``."""
    return _load("take")


@pytest.fixture(scope="session")
def players(bench: ModuleType) -> ModuleType:
    """``bench/take_players.py``."""
    module: ModuleType = bench.players
    return module


@pytest.fixture(scope="session")
def scenes(bench: ModuleType) -> ModuleType:
    """``bench/film_scenes.py``."""
    return _load("film_scenes")


@pytest.fixture(scope="session")
def film_bench(scenes: ModuleType) -> ModuleType:
    """``bench/film.py``."""
    return _load("film")
