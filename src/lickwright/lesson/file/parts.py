"""What may one part of an example say in the lesson file?

What the links of a part mean stands in :mod:`lickwright.lick.phrase.parts`.
"""

from __future__ import annotations

from typing import Any, Literal, Self

from pydantic import Field, model_validator

from lickwright.lesson.file.keys import (
    ChordKey,
    ContourKey,
    Entry,
    FretsKey,
    LastsKey,
    ModelKey,
    NoteKey,
    RangeKey,
    RhythmKey,
    StrokesKey,
    TriadsKey,
    fault,
)
from lickwright.lick import PartLink

Joined = Literal["run by run", "merged"]
Filled = Literal["held", "rest", "round"]

#: What a part may say for itself beside its link, by link; the rest is its model's.
_ALWAYS = {"name", "over", "implies"}
_WHERE = {"triads", "joined", "frets", "strings"}
OWN_KEYS: dict[PartLink, set[str]] = {
    PartLink.REPEAT: _ALWAYS,
    PartLink.MIRROR: _ALWAYS | _WHERE,
    PartLink.ANSWER: _ALWAYS | _WHERE | {"contour", "lasts", "filled", "strokes"},
    PartLink.VARY: _ALWAYS | _WHERE | {"contour", "rhythm", "lasts", "filled", "strokes"},
}


class PartEntry(Entry):
    """One part of an example: its own triads, or an earlier part taken up again."""

    name: str | None = Field(
        None, min_length=1, max_length=40, description="Part 1, Part 2 ... where it is left out"
    )
    triads: TriadsKey | None = Field(None, description="one to four; merged two or three")
    joined: Joined | None = Field(None, description="instead of the example's")
    frets: FretsKey | None = Field(None, description="instead of the example's")
    strings: RangeKey | None = Field(None, description="instead of the example's")
    contour: ContourKey | None = Field(None, description="instead of the example's")
    rhythm: RhythmKey | None = Field(None, description="instead of the example's")
    lasts: LastsKey = Field(
        None, description="half a bar, a bar, 2 bars; or as written, in its rhythm"
    )
    filled: Filled = Field(
        "held",
        description="what comes after its last note: it is held, there is rest, or the shapes go"
        " round until the time is over",
    )
    strokes: StrokesKey | None = Field(None, description="picking hand of this part")
    over: NoteKey | None = Field(None, description="the sounding bass from this part on")
    implies: ChordKey | None = Field(None, description="your claim from this part on")

    mirror: ModelKey | None = Field(
        None, description="an earlier part with its contour and strokes turned round"
    )
    repeat: ModelKey | None = Field(None, description="an earlier part once more")
    answer: ModelKey | None = Field(
        None, description="an earlier part's rhythm, the other way, coming home"
    )
    vary: ModelKey | None = Field(None, description="an earlier part with something else in it")

    @property
    def link(self) -> PartLink | None:
        """What it does with an earlier part."""
        return next((link for link in PartLink if getattr(self, link.value) is not None), None)

    @property
    def model(self) -> str | int | None:
        """The name or the number (from 1) of that part."""
        return None if self.link is None else getattr(self, self.link.value)

    def says(self, key: str) -> bool:
        """Whether the file gives a key of its own."""
        return key in self.model_fields_set

    @model_validator(mode="before")
    @classmethod
    def _is_not_written_over_twice(cls, data: Any) -> Any:
        links = [link.value for link in PartLink if isinstance(data, dict) and link.value in data]
        if len(links) > 1:
            raise fault(f"the part is linked twice: {' and '.join(links)}", "Choose one", links[1])
        return data

    @model_validator(mode="after")
    def _keys_fit_the_link(self) -> Self:
        if self.link is None:
            return self
        given = self.model_fields_set - {self.link.value}
        for key in sorted(given - OWN_KEYS[self.link]):
            raise fault(
                f"'{key}' has no place in a part that says '{self.link.value}'",
                f"Take '{key}' out" + (", or write vary" if key in OWN_KEYS[PartLink.VARY] else ""),
                key,
            )
        if self.link is PartLink.VARY and not given - _ALWAYS:
            raise fault("the part varies nothing", "Say what is different, or write repeat", "vary")
        return self


def part_names(parts: list[PartEntry]) -> list[str]:
    """The parts' names, given or by number."""
    return [part.name or f"Part {number}" for number, part in enumerate(parts, start=1)]


def model_of(parts: list[PartEntry], index: int) -> int | None:
    """Which earlier part the part at ``index`` is linked to, by index.

    Raises
    ------
    PydanticCustomError
        Where there is no such part above it.
    """
    part = parts[index]
    if part.link is None:
        return None
    earlier = part_names(parts)[:index]
    model = part.model
    if isinstance(model, int) and 1 <= model <= index:
        return model - 1
    if model in earlier:
        return earlier.index(str(model))
    raise fault(
        f"there is no earlier part '{model}'",
        f"Name one that stands above it: {', '.join(earlier)}"
        if earlier
        else "The first part can link to none: give it triads",
        "parts",
        index,
        part.link.value,
    )
