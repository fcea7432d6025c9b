"""A chord as MusicXML's ``harmony`` element says it: root, kind, changed degrees, bass.

Source: MusicXML 4.0, W3C Music Notation Community Group 2021, the ``harmony`` element, its
``kind-value`` enumeration and the meaning of ``degree-alter``: an altered or subtracted degree
counts from the degree in the chord, an added one from a dominant chord (major and perfect
intervals, a minor seventh).

The kinds stack every third below their name there, so a ``dominant-13th`` holds an 11 that
players leave out; it is subtracted here, and reading the element back gives exactly our notes.
A reader that prints should show ``root_text`` and ``kind_text`` and none of the degrees: the
text already says them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from lickwright.theory import (
    MAJOR_SEMITONES,
    PLAIN_DEGREES,
    Chord,
    as_tension,
    degree_alter,
    degree_between,
    degree_number,
    degree_semitones,
    engraved_degree,
    stacked,
)
from lickwright.theory.symbols import CHORD_DEGREES, normal_degrees

#: ``kind-value`` -> its degrees, in the order of the enumeration's documentation.
KIND_VALUES: dict[str, tuple[str, ...]] = {
    "major": ("1", "3", "5"),
    "minor": ("1", "b3", "5"),
    "augmented": ("1", "3", "#5"),
    "diminished": ("1", "b3", "b5"),
    "dominant": ("1", "3", "5", "b7"),
    "major-seventh": ("1", "3", "5", "7"),
    "minor-seventh": ("1", "b3", "5", "b7"),
    "diminished-seventh": ("1", "b3", "b5", "bb7"),
    "augmented-seventh": ("1", "3", "#5", "b7"),
    "half-diminished": ("1", "b3", "b5", "b7"),
    "major-minor": ("1", "b3", "5", "7"),
    "major-sixth": ("1", "3", "5", "6"),
    "minor-sixth": ("1", "b3", "5", "6"),
    "dominant-ninth": ("1", "3", "5", "b7", "9"),
    "major-ninth": ("1", "3", "5", "7", "9"),
    "minor-ninth": ("1", "b3", "5", "b7", "9"),
    "dominant-11th": ("1", "3", "5", "b7", "9", "11"),
    "major-11th": ("1", "3", "5", "7", "9", "11"),
    "minor-11th": ("1", "b3", "5", "b7", "9", "11"),
    "dominant-13th": ("1", "3", "5", "b7", "9", "11", "13"),
    "major-13th": ("1", "3", "5", "7", "9", "11", "13"),
    "minor-13th": ("1", "b3", "5", "b7", "9", "11", "13"),
    "suspended-second": ("1", "2", "5"),
    "suspended-fourth": ("1", "4", "5"),
    "power": ("1", "5"),
}

#: The degree that an added number stands on before its ``degree-alter``.
_DOMINANT_SEVENTH = 10


@dataclass(frozen=True, slots=True)
class HarmonyDegree:
    """One ``degree`` element: ``value`` 1-13, ``alter`` in semitones."""

    value: int
    alter: int
    type: Literal["add", "alter", "subtract"]


@dataclass(frozen=True, slots=True)
class Harmony:
    """What one ``harmony`` element holds.

    Parameters
    ----------
    root_step, root_alter : letter and semitones of the root (of the lower chord of a polychord).
    root_text : what is printed for the root: a polychord's upper chord stands before it.
    kind : a value of the ``kind-value`` enumeration.
    kind_text : what is printed after the root, with the signs of the printed page.
    degrees : what changes the kind into the chord.
    bass_step, bass_alter : of a slash chord, else ``None`` and 0.
    """

    root_step: str
    root_alter: int
    root_text: str
    kind: str
    kind_text: str
    degrees: tuple[HarmonyDegree, ...]
    bass_step: str | None = None
    bass_alter: int = 0


def musicxml_harmony(chord: Chord) -> Harmony:
    """The MusicXML view of a chord.

    MusicXML has no polychord: the lower chord is given with the upper one's notes as added
    degrees, and ``root_text`` prints the upper symbol and a slash before the lower root.
    """
    degrees = chord.kind.degrees
    root_text = str(chord.root)
    kind_text = chord.kind.suffix
    if chord.upper is not None:
        degrees = _stacked_degrees(chord, chord.upper)
        root_text = f"{chord.upper}/{root_text}"
        kind_text = kind_text or "maj"
    kind, changed = _kind_and_degrees(degrees)
    return Harmony(
        chord.root.letter,
        chord.root.alter,
        engraved_degree(root_text),
        kind,
        engraved_degree(kind_text),
        changed,
        None if chord.bass is None else chord.bass.letter,
        0 if chord.bass is None else chord.bass.alter,
    )


def _stacked_degrees(lower: Chord, upper: Chord) -> tuple[str, ...]:
    """The degrees of both chords over the lower root, named as one chord's where that can be."""
    own = {degree_semitones(name) for name in lower.kind.degrees}
    spelled = (as_tension(degree_between(lower.root, note)) for note in upper.tones)
    above = [
        name if name in CHORD_DEGREES else PLAIN_DEGREES[degree_semitones(name)] for name in spelled
    ]
    both = (*lower.kind.degrees, *(name for name in above if degree_semitones(name) not in own))
    return stacked(normal_degrees(both) or both)


@lru_cache(maxsize=4096)
def _kind_and_degrees(degrees: tuple[str, ...]) -> tuple[str, tuple[HarmonyDegree, ...]]:
    """The kind that needs fewest changed degrees; of two such, the one that keeps more of them.

    An added 7 counts double: readers differ on which seventh it is, so a kind that has its own
    seventh is preferred.
    """

    def cost(kind: str, changes: tuple[HarmonyDegree, ...]) -> tuple[int, int, int]:
        sevenths = sum(change.value == 7 and change.type == "add" for change in changes)
        kept = len(set(KIND_VALUES[kind]) & set(degrees))
        return len(changes) + sevenths, -kept, sum(abs(change.alter) for change in changes)

    candidates = ((kind, _changes(tones, degrees)) for kind, tones in KIND_VALUES.items())
    return min(candidates, key=lambda candidate: cost(*candidate))


def _changes(kind: tuple[str, ...], wanted: tuple[str, ...]) -> tuple[HarmonyDegree, ...]:
    # A suspended fourth is the 11 of a kind that has one, and a suspended second the 9.
    wanted = tuple(as_tension(name) if as_tension(name) in kind else name for name in wanted)
    missing = [name for name in kind if name not in wanted]
    extra = [name for name in wanted if name not in kind]
    changes: list[HarmonyDegree] = []
    for name in missing:
        number = degree_number(name)
        other = next((found for found in extra if degree_number(found) == number), None)
        if other is None:
            changes.append(HarmonyDegree(number, 0, "subtract"))
        else:
            extra.remove(other)
            alter = degree_alter(other) - degree_alter(name)
            changes.append(HarmonyDegree(number, alter, "alter"))
    changes.extend(HarmonyDegree(degree_number(name), _added_alter(name), "add") for name in extra)
    return tuple(sorted(changes, key=lambda change: (change.value, change.alter)))


def _added_alter(name: str) -> int:
    """Semitones from the tone of a dominant chord on that letter."""
    number = degree_number(name)
    plain = _DOMINANT_SEVENTH if number == 7 else MAJOR_SEMITONES[(number - 1) % 7]
    return (degree_semitones(name) - plain + 6) % 12 - 6
