"""The table of a film as a file: what was found, and what the teacher says about it.

A CSV file (RFC 4180) for any spreadsheet.  The teacher may write ``yes`` or ``no`` under ``use``,
change ``start``, ``end``, ``example`` and ``bars`` (``whole``, ``2`` or ``2-3``), and add rows.
The last column says what was found; a row that differs from it was corrected, and is kept when the
film is listened to again.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from lickwright.errors import OutputError, Spot, did_you_mean
from lickwright.files import write_whole
from lickwright.publish.film.findings import Film, FilmRow, proposed, row_of
from lickwright.take.finding import playing_between

COLUMNS = (
    *("use", "start", "end", "example", "bars", "tempo", "speed", "faults", "sure", "also"),
    *("proposed", "found"),
)
_MOST_BYTES = 4_000_000
_TIME = re.compile(r"(?:(\d+):)?(?:(\d{1,2}):)?(\d{1,2}(?:\.\d{1,6})?)", re.ASCII)
#: Times are written to the hundredth of a second, so a row that was not touched differs by less.
_SAME_S = 0.011
#: Two rows are about the same playing where they share half of what they cover.
_SAME_SHARE = 0.5


@dataclass(frozen=True, slots=True)
class TableLine:
    """A row of a table file, as the teacher left it.

    Parameters
    ----------
    line : where it stands in the file, from 1.
    bars : as written; empty where nothing is.
    found : start, end, example and bars as the program found them; ``None`` in an added row.
    """

    line: int
    use: str
    start_s: float
    end_s: float
    example: str
    bars: str
    found: tuple[float, float, str, str] | None

    @property
    def corrected(self) -> bool:
        """Whether the teacher changed what was played, or where."""
        if self.found is None:
            return True
        start, end, example, bars = self.found
        moved = abs(start - self.start_s) > _SAME_S or abs(end - self.end_s) > _SAME_S
        return moved or example != self.example or bars != self.bars


def write_table(path: Path, rows: Sequence[FilmRow], found: Sequence[FilmRow]) -> None:
    """Write the table of a film.

    Parameters
    ----------
    rows : what stands in it.
    found : beside each of them what was found there, which is the same row where nothing was
        corrected; a row without length where nothing was found.

    Raises
    ------
    OutputError
        Where the file cannot be written; the former one stands.
    """
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(COLUMNS)
    for row, former in zip(rows, found, strict=True):
        also = "; ".join(f"{name} until {clock(until)}" for name, until in row.also)
        writer.writerow(
            (
                row.use,
                clock(row.start_s),
                clock(row.end_s),
                row.example,
                row.part.removeprefix("bars ").removeprefix("bar "),
                f"{row.tempo_bpm:.0f}",
                row.speed,
                ", ".join(row.faults),
                f"{row.sure:.2f}",
                also,
                row.proposed,
                _found_text(former),
            )
        )
    write_whole(path, text.getvalue().encode())


def _found_text(row: FilmRow) -> str:
    if row.end_s <= row.start_s:
        return ""
    bars = row.part.removeprefix("bars ").removeprefix("bar ")
    return f"{clock(row.start_s)} {clock(row.end_s)} {bars} {row.example}"


def read_table(path: Path, examples: Sequence[str]) -> tuple[TableLine, ...]:
    """Read a table that a teacher may have corrected.

    Parameters
    ----------
    examples : the names that the lesson has.

    Returns
    -------
    tuple of TableLine
        In the order of the file.

    Raises
    ------
    OutputError
        With file and line, where something in it cannot be read.
    """
    try:
        data = path.read_bytes()
        text = data.decode("utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise OutputError(
            "the table cannot be read",
            mend="Give a CSV file in UTF-8 that this command wrote",
            where=Spot(str(path)),
        ) from error
    if len(data) > _MOST_BYTES:
        raise OutputError(
            "the table is too long", mend="Give one that this command wrote", where=Spot(str(path))
        )
    lines = text.splitlines()
    divider = ";" if lines and lines[0].count(";") > lines[0].count(",") else ","
    reader = csv.DictReader(io.StringIO(text), delimiter=divider)
    needed = ("use", "start", "end", "example", "bars", "found")
    if any(name not in (reader.fieldnames or ()) for name in needed):
        raise OutputError(
            f"the table lacks one of the columns {', '.join(needed)}",
            mend="Keep the first line as it was written",
            where=Spot(str(path), 1),
        )
    found = []
    for row in reader:
        if any(value for value in row.values()):
            spot = Spot(str(path), reader.line_num)
            found.append(_line(row, spot, reader.line_num, examples))
    return tuple(found)


def _line(
    row: dict[str, str | None], spot: Spot, number: int, examples: Sequence[str]
) -> TableLine:
    cell = {name: (row.get(name) or "").strip() for name in COLUMNS}
    use = cell["use"].casefold()
    if use not in ("", "yes", "no"):
        raise OutputError(
            f"'{cell['use']}' stands under use", mend="Write yes, no or nothing", where=spot
        )
    if cell["example"] not in examples:
        raise OutputError(
            f"the lesson has no example '{cell['example']}'",
            mend=did_you_mean(cell["example"], examples) or "Write an example's name",
            where=spot,
        )
    start, end = seconds(cell["start"], spot), seconds(cell["end"], spot)
    if end <= start:
        raise OutputError("the playing ends before it begins", mend="Write a later end", where=spot)
    if not re.fullmatch(r"whole|\d+(-\d+)?|", cell["bars"], re.ASCII):
        raise OutputError(
            f"'{cell['bars']}' stands under bars", mend="Write whole, 2 or 2-3", where=spot
        )
    words = cell["found"].split(" ", 3)
    former = None
    if len(words) == 4:
        former = (seconds(words[0], spot), seconds(words[1], spot), words[3], words[2])
    elif cell["found"]:
        raise OutputError(
            "the last column was changed", mend="Leave what stands under found", where=spot
        )
    return TableLine(number, use, start, end, cell["example"], cell["bars"], former)


def corrected(film: Film, table: Sequence[TableLine]) -> tuple[Film, tuple[FilmRow, ...]]:
    """A film with what a teacher said about it.

    Returns
    -------
    film
        Its rows as the teacher wants them.
    found
        Beside each row what was found there; without length where nothing was.
    """
    pairs = [(row, row) for row in film.rows]
    for line in table:
        wanted = line.found or (line.start_s, line.end_s, line.example, line.bars)
        place = _about(wanted[0], wanted[1], [found for _, found in pairs])
        if not line.corrected:
            if place is not None and line.use:
                row, found = pairs[place]
                pairs[place] = replace(row, use=line.use), found
            continue
        row = _as_told(film, line)
        if place is None:
            pairs.append((row, replace(row, start_s=0.0, end_s=0.0)))
        else:
            pairs[place] = row, pairs[place][1]
    rows = proposed([row for row, _ in pairs])
    order = sorted(range(len(pairs)), key=lambda n: pairs[n][0].start_s)
    return replace(film, rows=rows), tuple(pairs[n][1] for n in order)


def _about(start_s: float, end_s: float, rows: Sequence[FilmRow]) -> int | None:
    """The row that is about the same stretch of the film."""
    best, place = _SAME_SHARE, None
    for number, row in enumerate(rows):
        common = min(end_s, row.end_s) - max(start_s, row.start_s)
        share = common / (max(end_s, row.end_s) - min(start_s, row.start_s))
        if share > best:
            best, place = share, number
    return place


def _as_told(film: Film, line: TableLine) -> FilmRow:
    """The playing that the teacher says there is, with the notes that can be heard of it."""
    names = [example.entry.name for example in film.examples]
    number = names.index(line.example)
    scores = [example.score for example in film.examples]
    clock_here = film.sources[film.ear].beside
    playing = playing_between(
        scores, number, film.listened, clock_here.own(line.start_s), clock_here.own(line.end_s)
    )
    score = scores[number]
    bars = (score.bars[0].number, score.bars[-1].number)
    if playing is not None:
        row = row_of(film, playing)
        bars = row.bars if line.bars in ("", "whole") else _bars(line.bars)
    else:
        quarters = float(score.length)
        tempo = 60.0 * quarters / (line.end_s - line.start_s)
        row = FilmRow(line.example, line.start_s, line.end_s, True, bars, tempo, "target", (), 1.0)
        bars = bars if line.bars in ("", "whole") else _bars(line.bars)
    whole = row.whole if line.bars == "" else line.bars == "whole"
    return replace(
        row,
        example=line.example,
        start_s=line.start_s,
        end_s=line.end_s,
        whole=whole,
        bars=bars,
        use=line.use,
        sure=1.0,
        corrected=True,
    )


def _bars(text: str) -> tuple[int, int]:
    first, _, last = text.partition("-")
    return int(first), int(last or first)


def clock(time_s: float) -> str:
    """A moment as hours, minutes and seconds.

    Returns
    -------
    str
        To the hundredth of a second.

    >>> clock(3723.456)
    '1:02:03.46'
    """
    hundredths = round(100 * max(time_s, 0.0))
    minutes, rest = divmod(hundredths, 6000)
    return f"{minutes // 60}:{minutes % 60:02d}:{rest / 100:05.2f}"


def seconds(text: str, spot: Spot | None = None) -> float:
    """A moment written as hours, minutes and seconds, the first two of them where wanted.

    Raises
    ------
    OutputError
        Where it is no time.

    >>> seconds("1:02:03.5"), seconds("2:03"), seconds("7.25")
    (3723.5, 123.0, 7.25)
    """
    match = _TIME.fullmatch(text)
    if match is None:
        raise OutputError(f"'{text}' is no time", mend="Write it as 0:12:34.50", where=spot)
    one, two, last = match.groups()
    hours, minutes = (int(one), int(two)) if two else (0, int(one or 0))
    return 3600.0 * hours + 60.0 * minutes + float(last)
