"""Tab made by its grammar: one note after another, its marks, bars, systems."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from hypothesis import strategies as st
from hypothesis.strategies import DrawFn

from lickwright.neck.instrument import Guitar, Position

from .grammar import often, pick, whole


@dataclass(frozen=True, slots=True)
class MadeTab:
    """A block of tab, and how many columns of notes each of its bars has."""

    text: str
    columns: tuple[int, ...]


@dataclass(slots=True)
class _Sheet:
    """The lines being written, string 1 first, and which of their columns are palm-muted."""

    lines: list[str]
    mutes: list[bool]

    def put(self, string: int, sign: str, *, muted: bool = False) -> None:
        for at, line in enumerate(self.lines, 1):
            self.lines[at - 1] = line + (sign if at == string else "-" * len(sign))
        self.mutes += [muted] * len(sign)

    def dashes(self, count: int) -> None:
        self.put(0, "-" * count)

    def bar_line(self) -> None:
        self.lines = [f"{line}|" for line in self.lines]
        self.mutes.append(False)

    def rows(self) -> list[str]:
        """The lines, with one for the palm mutes above them where there are any."""
        above = ""
        for at, muted in enumerate(self.mutes):
            if muted and not (at and self.mutes[at - 1]):
                above = above.ljust(at) + "PM"  # one column more than some notes; a dash follows
            elif muted:
                above = above.ljust(at + 1, "-")
        return [above, *self.lines] if above else self.lines


def positions(draw: DrawFn, guitar: Guitar, before: Position | None) -> Position:
    """A place on the neck, near the one before so that a hand has a chance."""
    if before is None:
        string = whole(draw, 1, guitar.string_count)
        return Position(string, whole(draw, 0, min(17, guitar.last_fret)))
    string = before.string + pick(draw, (-1, -1, 0, 0, 0, 1, 1, 2))
    fret = before.fret + pick(draw, (-4, -3, -2, -1, 0, 1, 2, 3, 4))
    return Position(min(max(1, string), guitar.string_count), min(max(0, fret), guitar.last_fret))


@lru_cache(maxsize=256)
@st.composite
def tabs(
    draw: DrawFn, guitar: Guitar | None = None, bars: tuple[int, ...] | None = None
) -> MadeTab:
    """A block of tab.

    Parameters
    ----------
    guitar : whose strings it has.
    bars : how many columns of notes each bar has; drawn where not given.
    """
    guitar = guitar or Guitar()
    if bars is None:
        bars = tuple(whole(draw, 1, 10) for _ in range(whole(draw, 1, 4)))
    labels = _labels(guitar, pick(draw, ("name", "name", "octave", "none")))
    dense = often(draw, 2)
    break_after = whole(draw, 1, len(bars))
    blocks: list[list[str]] = []
    before, held_allowed = None, False
    sheet = _begun(labels)
    for number, count in enumerate(bars, 1):
        sheet.dashes(1)
        for _ in range(count):
            before, held_allowed = _column(draw, sheet, guitar, before, held_allowed)
            sheet.dashes(1 if dense else whole(draw, 1, 3))
        sheet.bar_line()
        if number == break_after and number < len(bars):
            blocks.append(sheet.rows())
            sheet = _begun(labels)
    blocks.append(sheet.rows())
    return MadeTab("\n\n".join("\n".join(block) for block in blocks) + "\n", bars)


def _labels(guitar: Guitar, way: str) -> list[str]:
    if way == "none":
        return [""] * guitar.string_count
    words = [
        str(pitch if way == "octave" and pitch.octave >= 0 else pitch.name)
        for pitch in guitar.open_strings
    ]
    widest = max(map(len, words))
    return [word.ljust(widest) for word in words]


def _begun(labels: list[str]) -> _Sheet:
    sheet = _Sheet(list(labels), [False] * len(labels[0]))
    if labels[0]:
        sheet.bar_line()
    return sheet


def _column(
    draw: DrawFn, sheet: _Sheet, guitar: Guitar, before: Position | None, ringing: bool
) -> tuple[Position, bool]:
    """Write one note; its place, and whether it can be held or led on from."""
    muted = often(draw, 1)
    if before is not None and ringing and often(draw, 1):
        sheet.put(before.string, f"({before.fret})", muted=muted)
        return before, True
    place = positions(draw, guitar, before)
    if often(draw, 1):
        sheet.put(place.string, pick(draw, "xX"), muted=muted)
        return place, False
    mark = ""
    led = before is not None and ringing and place.string == before.string
    if led and before is not None and place.fret != before.fret and often(draw, 6):
        mark = pick(draw, "h/" if place.fret > before.fret else "p\\")
    vibrato = "~" * whole(draw, 1, 3) if often(draw, 1) else ""
    sheet.put(place.string, f"{mark}{place.fret}{vibrato}", muted=muted)
    return place, True
