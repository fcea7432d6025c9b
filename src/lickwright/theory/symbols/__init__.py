"""How is a chord symbol read, and how is it written?

Nouns:

* :class:`ChordKind`: a kind of chord, free of any root.
"""

from __future__ import annotations

from lickwright.theory.symbols.kinds import KIND_BY_DEGREES, KIND_BY_MASK, VOCABULARY, ChordKind
from lickwright.theory.symbols.reading import parse_suffix, tidy
from lickwright.theory.symbols.writing import (
    CHORD_DEGREES,
    kind_from_degrees,
    normal_degrees,
    plain_kind,
)

__all__ = [
    "CHORD_DEGREES",
    "KIND_BY_DEGREES",
    "KIND_BY_MASK",
    "VOCABULARY",
    "ChordKind",
    "kind_from_degrees",
    "normal_degrees",
    "parse_suffix",
    "plain_kind",
    "tidy",
]
