"""A fixed fiftieth of the trial of every parser; the whole of it: ``make soak``."""

from __future__ import annotations

import os

import pytest

from .laws import EXAMPLES, KEYS_READ
from .lessons import every_key
from .targets import TARGETS, Target
from .trial import each_input
from .watch import accepts, memory_limit

#: Inputs a target; more by the environment, for a longer look.
INPUTS = int(os.environ.get("LICKWRIGHT_FUZZ_INPUTS", "480"))


@pytest.mark.parametrize(
    "target",
    [pytest.param(each, id=each.name.replace(" ", "-")) for each in TARGETS],
)
def test_made_inputs_get_in_and_the_others_are_refused_in_a_sentence(target: Target) -> None:
    taken: list[bool] = []
    with memory_limit():
        each_input(
            target, INPUTS, 1, lambda text: taken.append(accepts(target.parse, text)), shrink=True
        )
    assert len(taken) >= INPUTS * 0.9
    # Half come past the first gate; what was bent or damaged tries the gate itself.
    assert sum(taken) >= len(taken) / 2
    assert target.refuses == (sum(taken) < len(taken))
    if target.name == "lesson":
        _check_reach()


def _check_reach() -> None:
    """Every key of the schema was read, and every kind of example became a Score."""
    assert every_key() - set(KEYS_READ) == set()
    for kind in ("triads", "parts", "tab", "lick"):
        assert EXAMPLES[f"{kind} worked out"] >= EXAMPLES[f"{kind} read"] / 2, EXAMPLES
