"""What stands on a shelf: lessons and licks as they come and as they are kept."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass

from lickwright.score import Score
from lickwright.shelf.licks.facts import LickFacts
from lickwright.shelf.licks.scores import score_json


@dataclass(frozen=True, slots=True)
class ShelvedLick:
    """One lick to keep: its Score, and what it is found by."""

    score: Score
    facts: LickFacts


@dataclass(frozen=True, slots=True)
class ShelvedLesson:
    """A lesson to keep: what its file says, word for word, and its examples in order.

    Parameters
    ----------
    file : the name of the file, without its folder.
    text : all that the file holds.
    """

    title: str
    number: int | None
    teacher: str
    file: str
    text: str
    licks: tuple[ShelvedLick, ...]

    @property
    def digest(self) -> str:
        """The hash by which the same text is known."""
        return hashlib.sha256(self.text.encode()).hexdigest()


def score_digest(score: Score) -> str:
    """The hash by which the same lick is known."""
    return hashlib.sha256(score_json(score).encode()).hexdigest()


@dataclass(frozen=True, slots=True)
class LessonCard:
    """A lesson of the shelf, in short."""

    id: int
    title: str
    number: int | None
    teacher: str
    file: str
    licks: int

    def __str__(self) -> str:
        return self.title if self.number is None else f"lesson {self.number}, {self.title}"


@dataclass(frozen=True, slots=True)
class LickCard:
    """A lick of the shelf, in short.

    Parameters
    ----------
    lesson : its lesson's title, or the file that it came from alone.
    chords, triads, techniques : as a list of licks shows them.
    strings, frets : lowest and highest.
    """

    id: int
    name: str
    lesson: str
    number: int | None
    chords: str
    triads: str
    techniques: str
    key: str
    tuning: str
    strings: tuple[int, int]
    frets: tuple[int, int]
    target_bpm: float
    ceiling_bpm: float | None

    @property
    def home(self) -> str:
        """Where it stands, in words."""
        return self.lesson if self.number is None else f"lesson {self.number}"
