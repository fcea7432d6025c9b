"""A short, fixed slice of the fuzzing; the whole of it: python bench/odd_inputs.py."""

from __future__ import annotations

import os

import pytest

from .mutate import inputs
from .targets import TARGETS, Target
from .watch import accepts

#: Inputs a target; more by the environment, for a longer look.
INPUTS = int(os.environ.get("LICKWRIGHT_FUZZ_INPUTS", "240"))


@pytest.mark.parametrize("target", TARGETS, ids=lambda target: target.name.replace(" ", "-"))
def test_odd_inputs_are_taken_or_refused_in_a_sentence(target: Target) -> None:
    count = max(12, int(INPUTS * target.weight))
    taken = sum(
        accepts(target.parse, text) for text in inputs(target.seeds(), target.words, count, seed=1)
    )
    # The seeds and the mildest changes are taken, the wild ones are not: both ends are tried.
    assert 0 < taken < count
