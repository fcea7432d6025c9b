"""What does a text tab block say?  Reading it, with the place of whatever is wrong."""

from __future__ import annotations

import re
from bisect import bisect_right
from collections import Counter
from dataclasses import dataclass, replace
from itertools import groupby

from lickwright.errors import Spot, TabError
from lickwright.lick.notes import PLAIN, Marks, Technique
from lickwright.lick.tab.block import TabBlock, TabColumn
from lickwright.neck import Guitar, Position
from lickwright.theory import parse_note_name

_LABEL = re.compile(r"\s*([A-Ga-g][#b♯♭]?)[0-9]?\s*(?=[|\s-])")
_PALM_MUTE = re.compile(r"P\.?M\.?-*\|?")
_MARK_TECHNIQUE = {
    "h": Technique.HAMMER_ON,
    "p": Technique.PULL_OFF,
    "/": Technique.SLIDE,
    "\\": Technique.SLIDE,
}
_SIGNS = "digits, h p / \\ ~ x ( ) | and -"


def parse_tab(text: str, guitar: Guitar | None = None, *, where: Spot | None = None) -> TabBlock:
    """Read a tab block.

    Parameters
    ----------
    text : the block.
    guitar : whose strings and frets it uses; standard where not given.
    where : the place of the block's first line, so that errors name the file's own line.

    Returns
    -------
    TabBlock
        Its columns in order, each with the bar that it stands in.

    Raises
    ------
    TabError
        With the line and the column in the block, both counted from 1.

    Examples
    --------
    >>> tab = "\\n".join(["|-------|", "|-8---6-|", "|---7---|", *["|-------|"] * 3])
    >>> block = parse_tab(tab)
    >>> [str(column.position) for column in block.columns]
    ['string 2 fret 8', 'string 3 fret 7', 'string 2 fret 6']
    """
    guitar = guitar or Guitar()
    columns: list[TabColumn] = []
    bars = 0
    systems = _systems(text, guitar, where)
    if not systems:
        raise TabError("the tab has no lines", mend="Write one line for each string", where=where)
    for system in systems:
        read, count = _read_system(system, guitar, columns[-1] if columns else None)
        columns += [replace(column, bar=column.bar + bars) for column in read]
        bars += count
    if not columns:
        raise TabError("the tab has no notes", mend="Write fret numbers on its lines", where=where)
    return TabBlock(tuple(columns), bars)


@dataclass(frozen=True, slots=True)
class _TabLine:
    """One string's line: its number in the block, what stands after the label, and where."""

    number: int
    string: int
    content: str
    offset: int


@dataclass(frozen=True, slots=True)
class _TabSystem:
    """The lines of one system, the columns of its palm mutes, and the place of the block."""

    lines: tuple[_TabLine, ...]
    mutes: tuple[tuple[int, int], ...]
    where: Spot | None

    def error(self, line: _TabLine, at: int, what: str, mend: str) -> TabError:
        """An error at a place in a line; ``at`` counts from 0 after the label."""
        return _error(self.where, line.number, at + line.offset + 1, what, mend)

    def mutes_at(self, sign: _Sign) -> bool:
        """Whether a number stands under the palm."""
        at = sign.start + sign.line.offset
        return any(first <= at < last for first, last in self.mutes)


@dataclass(frozen=True, slots=True)
class _Sign:
    """A number or an x on a line, from column ``start`` up to ``end``."""

    line: _TabLine
    start: int
    end: int
    fret: int
    technique: Technique
    mark: str = ""
    marks: Marks = PLAIN
    held: bool = False


def _error(where: Spot | None, line: int, column: int | None, what: str, mend: str) -> TabError:
    place = f"tab line {line}" + (f", column {column}" if column is not None else "")
    spot = None
    if where is not None:
        spot = Spot(where.file, None if where.line is None else where.line + line - 1)
    return TabError(f"{place}: {what}", mend=mend, where=spot)


def _systems(text: str, guitar: Guitar, where: Spot | None) -> list[_TabSystem]:
    systems: list[_TabSystem] = []
    numbered = list(enumerate(text.expandtabs(8).split("\n"), start=1))
    for blank, group in groupby(numbered, key=lambda pair: not pair[1].strip()):
        if blank:
            continue
        rows = [(number, row.rstrip()) for number, row in group]
        first = rows[0][0]
        mutes: tuple[tuple[int, int], ...] = ()
        if "PM" in rows[0][1] or "P.M" in rows[0][1]:
            mutes = _palm_mutes(*rows.pop(0), where)
        if len(rows) != guitar.string_count:
            raise _error(
                where,
                first,
                None,
                f"the number of lines is {len(rows)}, but of strings {guitar.string_count}",
                "Write one line for each string, the highest first",
            )
        lines = tuple(
            _labelled(number, row, string, guitar, where)
            for string, (number, row) in enumerate(rows, start=1)
        )
        system = _TabSystem(lines, mutes, where)
        _check_lengths(system)
        systems.append(system)
    return systems


def _palm_mutes(number: int, row: str, where: Spot | None) -> tuple[tuple[int, int], ...]:
    spans = tuple(match.span() for match in _PALM_MUTE.finditer(row))
    rest = _PALM_MUTE.sub(lambda match: " " * len(match[0]), row)
    if rest.strip():
        column = len(rest) - len(rest.lstrip()) + 1
        raise _error(
            where, number, column, f"'{rest.strip()[0]}' is no palm mute", "Write PM and dashes"
        )
    return spans


def _labelled(number: int, row: str, string: int, guitar: Guitar, where: Spot | None) -> _TabLine:
    match = _LABEL.match(row)
    if match is None:
        content = row.lstrip()
        return _TabLine(number, string, content, len(row) - len(content))
    tuned = guitar.open_strings[string - 1].name
    if parse_note_name(match[1]).pc != tuned.pc:
        raise _error(
            where,
            number,
            match.start(1) + 1,
            f"the line is labelled {match[1]}, but string {string} is tuned to {tuned}",
            "Put the lines in order, the highest string first, or give the guitar that tuning",
        )
    return _TabLine(number, string, row[match.end() :], match.end())


def _check_lengths(system: _TabSystem) -> None:
    usual, _ = Counter(len(line.content) for line in system.lines).most_common(1)[0]
    for line in system.lines:
        if len(line.content) != usual:
            longer = "longer" if len(line.content) > usual else "shorter"
            by = abs(len(line.content) - usual)
            raise _error(
                system.where,
                line.number,
                None,
                f"string {line.string} is {by} character{'s' * (by > 1)} {longer} than the others",
                "Make all lines equally long",
            )


def _read_system(
    system: _TabSystem, guitar: Guitar, before: TabColumn | None
) -> tuple[list[TabColumn], int]:
    """The columns of a system, bars counted from 0, and how many bars it has."""
    starts = _bar_starts(system)
    signs = sorted(
        (sign for line in system.lines for sign in _signs(system, line, guitar)),
        key=lambda sign: (sign.start, sign.line.string),
    )
    columns: list[TabColumn] = []
    for at, sign in enumerate(signs):
        if at and sign.start < signs[at - 1].end:
            raise system.error(
                sign.line,
                sign.start,
                f"two notes at once, on strings {signs[at - 1].line.string} and {sign.line.string}",
                "Write a line of single notes, each in columns of its own",
            )
        column = TabColumn(
            Position(sign.line.string, sign.fret),
            bisect_right(starts, sign.start) - 1,
            sign.technique,
            replace(sign.marks, palm_mute=system.mutes_at(sign)),
            sign.held,
        )
        _check_start(system, sign, column, before)
        columns.append(column)
        before = column
    return columns, len(starts)


def _bar_starts(system: _TabSystem) -> list[int]:
    """The first column of each bar; a bar line must cross all strings."""
    length = len(system.lines[0].content)
    starts: list[int] = []
    in_bar = False
    for at in range(length):
        crossed = [line for line in system.lines if line.content[at] == "|"]
        if crossed and len(crossed) < len(system.lines):
            odd = next(line for line in system.lines if line.content[at] != "|")
            raise system.error(
                odd,
                at,
                f"the bar line does not cross string {odd.string}",
                "Write | in this column on every line",
            )
        if not crossed and not in_bar:
            starts.append(at)
        in_bar = not crossed
    return starts


_FRET = re.compile(r"\((?P<held>[0-9]+)\)|(?P<fret>[0-9]+)|(?P<dead>[xX])")


def _signs(system: _TabSystem, line: _TabLine, guitar: Guitar) -> list[_Sign]:
    """Numbers and dead notes of one line, with the marks that belong to them."""
    signs: list[_Sign] = []
    mark: tuple[int, str] | None = None
    at = 0
    while at < len(line.content):
        char = line.content[at]
        found = _FRET.match(line.content, at)
        if found is not None:
            sign = _sign(system, line, found, guitar, mark[1] if mark else "")
            signs.append(sign)
            mark = None
            at = found.end()
            continue
        if char == "~":
            if not signs or line.content[signs[-1].end : at].strip("~"):
                raise system.error(
                    line, at, "'~' follows no number", "Write ~ right after the fret"
                )
            signs[-1] = replace(signs[-1], marks=replace(signs[-1].marks, vibrato=True))
        elif char in _MARK_TECHNIQUE:
            if mark is not None:
                raise system.error(
                    line,
                    at,
                    f"'{char}' follows '{mark[1]}' with no number between",
                    "Write one mark between two frets",
                )
            mark = at, char
        elif char not in "-|":
            raise system.error(line, at, f"'{char}' is no tab sign", f"Use {_SIGNS}")
        at += 1
    if mark is not None:
        raise system.error(
            line, mark[0], f"'{mark[1]}' leads to no number", "Write the fret it leads to"
        )
    return signs


def _sign(
    system: _TabSystem, line: _TabLine, found: re.Match[str], guitar: Guitar, mark: str
) -> _Sign:
    technique = _MARK_TECHNIQUE.get(mark, Technique.PICK)
    number = found["held"] or found["fret"]
    if number is not None and (len(number) > 2 or int(number) > guitar.last_fret):
        raise system.error(
            line,
            found.start(),
            f"there is no fret {number}",
            f"The neck has frets 0 to {guitar.last_fret}; put a dash between two numbers",
        )
    if mark and (found["held"] or found["dead"]):
        raise system.error(
            line, found.start(), f"'{mark}' leads to {found[0]}", "Lead it to a fret number"
        )
    return _Sign(
        line,
        found.start(),
        found.end(),
        int(number or 0),
        technique,
        mark,
        marks=Marks(dead=found["dead"] is not None),
        held=found["held"] is not None,
    )


def _check_start(
    system: _TabSystem, sign: _Sign, column: TabColumn, before: TabColumn | None
) -> None:
    """A held or slurred note needs the right note just before it."""
    fret = column.position.fret
    same = before is not None and before.position.string == column.position.string
    from_fret = (
        before.position.fret if before is not None and same and not before.marks.dead else None
    )
    if column.held and from_fret != fret:
        raise system.error(
            sign.line,
            sign.start,
            f"({fret}) holds a note that is not the one just before it",
            "Put the held fret in brackets right after its note, or take the brackets away",
        )
    if not sign.mark:
        return
    rising = sign.mark in "h/"
    if from_fret is None or (fret <= from_fret if rising else fret >= from_fret):
        raise system.error(
            sign.line,
            sign.start,
            f"'{sign.mark}' leads to fret {fret}, but no {'lower' if rising else 'higher'} fret on"
            f" string {column.position.string} comes just before it",
            "Write h and / to a higher fret of the same string, p and \\ to a lower one",
        )
