"""Lickwright: from one lesson file to a published lead-guitar lesson.

    >>> from lickwright import implied_chords
    >>> implied_chords("D F# A C#", over="B")[0].symbol
    'Bm9'

The names below are the public surface.  Each is loaded when it is first used, so that importing
the package costs nothing.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from lickwright.changes.carry import carry
    from lickwright.changes.progression import parse_changes
    from lickwright.errors import Finding, LickwrightError
    from lickwright.lesson.build import BuildReport, build
    from lickwright.lesson.checks import check
    from lickwright.lesson.read import Lesson, load_lesson
    from lickwright.lick.fingers import assign_fingers, best_fingerings
    from lickwright.lick.playability import playability
    from lickwright.lick.string_choice import choose_strings
    from lickwright.lick.strokes import assign_strokes, check_strokes
    from lickwright.neck.instrument import Guitar
    from lickwright.neck.shapes import find_joined_shapes, find_shapes
    from lickwright.score import Score
    from lickwright.theory.implied import Reading, implied_chords
    from lickwright.theory.pairs import pairs_for

__version__ = "0.1.0"

__all__ = [
    "BuildReport",
    "Finding",
    "Guitar",
    "Lesson",
    "LickwrightError",
    "Reading",
    "Score",
    "assign_fingers",
    "assign_strokes",
    "best_fingerings",
    "build",
    "carry",
    "check",
    "check_strokes",
    "choose_strings",
    "find_joined_shapes",
    "find_shapes",
    "implied_chords",
    "load_lesson",
    "pairs_for",
    "parse_changes",
    "playability",
]

_HOMES = {
    "BuildReport": "lesson.build",
    "Finding": "errors",
    "Guitar": "neck.instrument",
    "Lesson": "lesson.read",
    "LickwrightError": "errors",
    "Reading": "theory.implied",
    "Score": "score",
    "assign_fingers": "lick.fingers",
    "assign_strokes": "lick.strokes",
    "best_fingerings": "lick.fingers",
    "build": "lesson.build",
    "carry": "changes.carry",
    "check": "lesson.checks",
    "check_strokes": "lick.stroke_check",
    "choose_strings": "lick.string_choice",
    "find_joined_shapes": "neck.shapes",
    "find_shapes": "neck.shapes",
    "implied_chords": "theory.implied",
    "load_lesson": "lesson.read",
    "pairs_for": "theory.pairs",
    "parse_changes": "changes.progression",
    "playability": "lick.playability",
}


def __getattr__(name: str) -> Any:
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(f"module 'lickwright' has no attribute '{name}'")
    return getattr(importlib.import_module(f"lickwright.{home}"), name)
