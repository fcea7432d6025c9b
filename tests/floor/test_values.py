"""The values that promises are told in cannot be changed under anybody's hands."""

from __future__ import annotations

import importlib
from dataclasses import FrozenInstanceError, fields, is_dataclass

import pytest

MODULES = (
    *("publish.manifest", "publish.versions", "publish.staging", "publish.building"),
    *("take.report", "take.judging.check", "take.judging.words"),
    *("sound.midi", "sound.band.backing", "sound.band.voicing", "sound.band.feel"),
    *("lick.hands.tempo", "lick.hands.practice", "lick.picking.check"),
    *("neck.shapes.joins", "changes.lines.joins", "theory.hearing.strength"),
    *("score.notation.staff", "video.frames.clock"),
)

#: Loaded before any test runs.
LOADED = {name: importlib.import_module(f"lickwright.{name}") for name in MODULES}
#: Not a value but a run that goes on.
GROWING = ("_Build",)


@pytest.mark.parametrize("name", MODULES)
def test_values_are_frozen_and_have_their_fields_only(name: str) -> None:
    module = LOADED[name]
    own = [
        value
        for value in vars(module).values()
        if isinstance(value, type) and value.__module__ == module.__name__
    ]
    for kind in filter(is_dataclass, own):
        if kind.__name__ in GROWING:
            continue
        bare = object.__new__(kind)
        with pytest.raises(FrozenInstanceError):
            setattr(bare, fields(kind)[0].name, None)
        assert not hasattr(bare, "__dict__"), kind.__name__
