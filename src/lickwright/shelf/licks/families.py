"""To which family does a chord belong, by what its third, fifth and seventh do?

The families by which teachers plan a course.  Common practice, no source.
"""

from __future__ import annotations

from lickwright.theory import Chord

#: Every family, in the order in which courses take them.
FAMILIES = (
    "major",
    "minor",
    "dominant",
    "altered dominant",
    "suspended",
    "half-diminished",
    "diminished",
    "augmented",
    "minor-major",
    "without a third",
)

_ALTERATIONS = frozenset({"b9", "#9", "b5", "#5", "b13"})


def family_of(chord: Chord) -> str:
    """The family of a chord; one of :data:`FAMILIES`."""
    degrees = set(chord.kind.degrees)
    if "b3" in degrees:
        if "b5" in degrees and "5" not in degrees:
            return "half-diminished" if "b7" in degrees else "diminished"
        return "minor-major" if "7" in degrees else "minor"
    if "3" in degrees:
        if "b7" in degrees:
            return "altered dominant" if degrees & _ALTERATIONS else "dominant"
        return "augmented" if "#5" in degrees else "major"
    return "suspended" if degrees & {"2", "4", "9", "11"} else "without a third"
