"""How is a line printed as a text tab block?"""

from __future__ import annotations

from dataclasses import dataclass

from lickwright.lick.notes import Lick, Technique
from lickwright.lick.rhythm import COMMON_TIME, Meter
from lickwright.lick.tab.block import TabBlock, TabColumn, tab_of
from lickwright.neck import Guitar

_USUAL_WIDTH = 100


def print_tab(
    line: Lick | TabBlock,
    guitar: Guitar | None = None,
    *,
    meter: Meter = COMMON_TIME,
    width: int = _USUAL_WIDTH,
) -> str:
    """Write a line as a tab block; reading it gives the same notes again.

    Parameters
    ----------
    line : a lick, whose bar lines fall where ``meter`` says, or a block with its own.
    guitar : the instrument; standard where not given.
    meter : where the bar lines of a lick fall.
    width : characters a line may take before the next system begins, at a bar line.

    Returns
    -------
    str
        One line a string, systems apart by an empty line.

    Examples
    --------
    >>> from lickwright.lick.tab.reading import parse_tab
    >>> tab = "\\n".join(["|-------|", "|-8---6-|", "|---7---|", *["|-------|"] * 3])
    >>> block = parse_tab(tab)
    >>> parse_tab(print_tab(block)) == block
    True
    """
    guitar = guitar or Guitar()
    block = line if isinstance(line, TabBlock) else tab_of(line, meter=meter)
    names = [str(pitch.name) for pitch in guitar.open_strings]
    if names[0] in names[1:]:
        names[0] = names[0].lower()
    margin = max(map(len, names))
    systems: list[list[list[_Cell]]] = []
    for bar in _cells(block):
        if not systems or margin + 1 + sum(map(_bar_width, [*systems[-1], bar])) > width:
            systems.append([])
        systems[-1].append(bar)
    return "\n".join(_print_system(system, names, margin) for system in systems)


@dataclass(frozen=True, slots=True)
class _Cell:
    """One column as it is printed on its string; ``width`` counts all its characters."""

    string: int
    text: str
    palm_mute: bool

    @property
    def width(self) -> int:
        return len(self.text)


def _cells(block: TabBlock) -> list[list[_Cell]]:
    """The cells of each bar."""
    bars: list[list[_Cell]] = [[] for _ in range(block.bars)]
    before: TabColumn | None = None
    for column in block.columns:
        body = "x" if column.marks.dead else str(column.position.fret)
        if column.held:
            body = f"({body})"
        text = (_mark(column, before) or "-") + body + "~" * column.marks.vibrato
        bars[column.bar].append(_Cell(column.position.string, text, column.marks.palm_mute))
        before = column
    return bars


def _mark(column: TabColumn, before: TabColumn | None) -> str:
    if column.technique is Technique.HAMMER_ON:
        return "h"
    if column.technique is Technique.PULL_OFF:
        return "p"
    if column.technique is Technique.SLIDE:
        falls = before is not None and before.position.fret > column.position.fret
        return "\\" if falls else "/"
    return ""


def _bar_width(bar: list[_Cell]) -> int:
    """Characters of a bar with its closing bar line."""
    return sum(cell.width for cell in bar) + 2


def _print_system(bars: list[list[_Cell]], names: list[str], margin: int) -> str:
    rows = [f"{name:<{margin}}|" for name in names]
    mutes = " " * (margin + 1)
    muted = False
    for bar in bars:
        for cell in bar:
            for string in range(len(rows)):
                shown = cell.text if string == cell.string - 1 else "-" * cell.width
                rows[string] += shown
            sign = ("-" if muted else "PM") if cell.palm_mute else " "
            mutes += sign + ("-" if cell.palm_mute else " ") * (cell.width - len(sign))
            muted = cell.palm_mute
        rows = [row + "-|" for row in rows]
        mutes += "--" if muted else "  "
    above = [mutes.rstrip()] if "PM" in mutes else []
    return "\n".join([*above, *rows]) + "\n"
