"""What may a lesson file say of a line as a phrase, and of one that is carried?

What each key does stands in :mod:`lickwright.changes.carry.wishes` and in the room
:mod:`lickwright.lick.phrase`.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction
from typing import Annotated, Any, Literal

from pydantic import Field

from lickwright.changes.carry import CarryWish
from lickwright.errors import LessonError, LickwrightError
from lickwright.lesson.file.keys import Entry, as_text, checked, read_text
from lickwright.lick.phrase import (
    Approach,
    Landing,
    parse_approach,
    parse_cells,
    parse_landing,
)
from lickwright.lick.rhythm import RhythmValue, parse_rhythm
from lickwright.theory import TriadQuality, degree_semitones, parse_pitch

_FAMILIES = {
    "major": TriadQuality.MAJOR,
    "minor": TriadQuality.MINOR,
    "diminished": TriadQuality.DIMINISHED,
    "augmented": TriadQuality.AUGMENTED,
    "sus2": TriadQuality.SUS2,
    "sus4": TriadQuality.SUS4,
}


def _words(value: Any) -> list[str]:
    """The words of a list, or of a text parted by blanks or commas."""
    found = value if isinstance(value, list) else re.split(r"[,\s]+", str(value).strip())
    if isinstance(value, bool) or not found or not all(isinstance(w, str | int) for w in found):
        raise LessonError(f"'{value}' is no list of words", mend="Write it so: [9, 13]")
    return [str(word) for word in found]


def parse_tones(value: Any) -> tuple[str, ...]:
    """Degrees over the root of a chord, such as ``[9, b13]`` or ``"9 b13"``.

    Raises
    ------
    LickwrightError
        With the word that is none.
    """
    words = _words(value)
    for word in words:
        degree_semitones(word)
    return tuple(words)


def parse_families(value: Any) -> tuple[TriadQuality, ...]:
    """Kinds of triad, such as ``[major, minor]``.

    Raises
    ------
    LessonError
        With the word that is none.
    """
    words = [word.lower() for word in _words(value)]
    for word in words:
        if word not in _FAMILIES:
            raise LessonError(
                f"'{word}' is no family of triads", mend=f"Choose from: {', '.join(_FAMILIES)}"
            )
    return tuple(_FAMILIES[word] for word in words)


def parse_note_range(text: str) -> tuple[int, int]:
    """The lowest and the highest note of a line, as MIDI keys: ``D3-A5``.

    Raises
    ------
    LickwrightError
        When they are no notes.
    """
    note = r"\s*([A-Ga-g][#bx]{0,2}\d)\s*"
    match = re.fullmatch(f"{note}(?:-|–|to){note}", text)
    if match is None:
        raise LessonError(
            f"'{text}' is no range of notes", mend="Write the lowest and the highest note: D3-A5"
        )
    low, high = sorted(parse_pitch(word[0].upper() + word[1:]).midi for word in match.groups())
    return low, high


def parse_value(text: str) -> Fraction:
    """One note value, in quarter notes.

    Raises
    ------
    LickwrightError
        When it is not one value.
    """
    items = parse_rhythm(text).items
    if len(items) != 1 or not isinstance(items[0], RhythmValue) or items[0].rest:
        raise LessonError(f"'{text}' is not one note value", mend="Write one, such as e or s")
    return items[0].length


def _list_of(parse: Callable[[Any], Any]) -> Any:
    """A validator that reads a list or a text."""

    def read(value: Any) -> Any:
        try:
            return parse(value)
        except LickwrightError as error:
            raise LessonError(error.what, mend=error.mend) from error

    return checked(read)


TonesKey = Annotated[
    tuple[str, ...], _list_of(parse_tones), as_text("9 13", "degrees over each chord's root")
]
FamiliesKey = Annotated[
    tuple[TriadQuality, ...], _list_of(parse_families), as_text("major minor", "kinds of triad")
]
RangeOfNotesKey = Annotated[
    tuple[int, int],
    read_text("a range of notes", parse_note_range),
    as_text("D3-A5", "the lowest and the highest note, as they sound"),
]
LandingKey = Annotated[
    Landing,
    read_text("a landing", parse_landing),
    as_text("guide tone on 1 for 2", "a tone, the beat of its bar, how many beats it is held"),
]


CellsKey = Annotated[
    tuple[int, ...],
    read_text("cells", parse_cells),
    as_text("3 + 3 + 2", "notes of each triad in turn"),
]
ApproachKey = Annotated[
    Approach,
    read_text("an approach", parse_approach),
    as_text("half step below", "half step or scale step, below or above; enclosure"),
]
ValueKey = Annotated[
    Fraction,
    read_text("a note value", parse_value),
    as_text("e", "a note value, such as e for an eighth"),
]


class WishKeys(Entry):
    """What may be said of a carried line, for all of it or for one bar."""

    near: bool | None = Field(None, description="stay near the lick's own place and pitch")
    range: RangeOfNotesKey | None = Field(None, description="between which notes the line keeps")
    rootless: bool | None = Field(None, description="leave the root to the band")
    require: TonesKey | None = Field(None, description="degrees that must sound over each chord")
    avoid: TonesKey | None = Field(None, description="degrees that must not")
    families: FamiliesKey | None = Field(None, description="which kinds of triad may be taken")
    guide_tones: bool | None = Field(None, description="begin every chord on a guide tone")
    turned: bool | None = Field(
        None, description="a chord may have the lick turned round, a fall for every rise"
    )

    def wish(self) -> CarryWish:
        """The same for the room that carries."""
        return CarryWish(
            self.near,
            self.range,
            self.rootless,
            self.require,
            self.avoid,
            self.families,
            self.guide_tones,
            self.turned,
        )


WISHES = frozenset(
    {"near", "range", "rootless", "require", "avoid", "families", "guide_tones", "turned"}
)
#: Keys of a line as a phrase, for an example that is composed from triads.
PHRASES = frozenset({"landing", "cells", "approach", "again", "displaced"})


class PhraseKeys(WishKeys):
    """What may be said of a line as a phrase."""

    landing: LandingKey | None = Field(
        None, description="where the line lands: a tone, the beat of its last bar, held how long"
    )
    cells: CellsKey | None = Field(
        None,
        description="how many notes of each triad in turn: 1 for note by note, 3 + 3 + 2; whole"
        " triads, run by run, where left out",
    )
    approach: ApproachKey | None = Field(
        None, description="how the first note of each triad is approached"
    )
    again: Literal["runs on", "bar"] = Field(
        "runs on", description="whether the line of an example of several bars begins again in each"
    )
    displaced: ValueKey | None = Field(
        None, description="by which note value the whole line comes later"
    )
