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
    from lickwright.lesson import check
    from lickwright.lesson.file import Lesson, load_lesson
    from lickwright.lick.fingering import assign_fingers, best_fingerings
    from lickwright.lick.hands import playability
    from lickwright.lick.picking import assign_strokes, check_strokes
    from lickwright.lick.strings import choose_strings
    from lickwright.neck import Guitar
    from lickwright.neck.shapes import find_joined_shapes, find_shapes
    from lickwright.publish import BuildReport, build
    from lickwright.score import Score
    from lickwright.theory.finding import pairs_for
    from lickwright.theory.hearing import Reading, implied_chords

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
    "BuildReport": "publish",
    "Finding": "errors",
    "Guitar": "neck",
    "Lesson": "lesson.file",
    "LickwrightError": "errors",
    "Reading": "theory.hearing",
    "Score": "score",
    "assign_fingers": "lick.fingering",
    "assign_strokes": "lick.picking",
    "best_fingerings": "lick.fingering",
    "build": "publish",
    "carry": "changes.carry",
    "check": "lesson",
    "check_strokes": "lick.picking",
    "choose_strings": "lick.strings",
    "find_joined_shapes": "neck.shapes",
    "find_shapes": "neck.shapes",
    "implied_chords": "theory.hearing",
    "load_lesson": "lesson.file",
    "pairs_for": "theory.finding",
    "parse_changes": "changes.progression",
    "playability": "lick.hands",
}


def __getattr__(name: str) -> Any:
    home = _HOMES.get(name)
    if home is None:
        raise AttributeError(f"module 'lickwright' has no attribute '{name}'")
    return getattr(importlib.import_module(f"lickwright.{home}"), name)
