"""Keys and modes: a tonic, a scale of seven notes, a signature."""

from __future__ import annotations

from dataclasses import dataclass

from lickwright.theory.pitch import NoteName


@dataclass(frozen=True, slots=True)
class Key:
    """A tonic and a mode, such as D dorian."""

    tonic: NoteName
    mode: str = "major"
