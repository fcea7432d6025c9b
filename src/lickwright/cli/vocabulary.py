"""Commands that list what can be written: tunings, chords, scales."""

from __future__ import annotations

import json
from typing import Annotated, Any

import typer

WORDS = Annotated[
    list[str] | None,
    typer.Argument(metavar="[WORD...]", help="only rows that hold these words"),
]
AS_JSON = Annotated[bool, typer.Option("--json", help="print for machines")]


def register(app: typer.Typer) -> None:
    """Add this room's commands."""
    app.command()(tunings)
    app.command()(chords)
    app.command()(scales)


def tunings(words: WORDS = None, as_json: AS_JSON = False) -> None:
    """List the tunings that have a name, lowest string first."""
    from lickwright.neck import TUNINGS

    rows = [{"tuning": name, "strings": notes.split()} for name, notes in TUNINGS.items()]
    _say(rows, words, as_json)


def chords(words: WORDS = None, as_json: AS_JSON = False) -> None:
    """List the kinds of chord: as printed, the tones, and what else is read."""
    from lickwright.theory.symbols import VOCABULARY

    rows = [
        {
            "chord": kind.suffix or "major",
            "family": kind.family,
            "degrees": list(kind.degrees),
            "may lack": list(kind.optional),
            "also": list(kind.spellings),
        }
        for kind in VOCABULARY
    ]
    _say(rows, words, as_json)


def scales(words: WORDS = None, as_json: AS_JSON = False) -> None:
    """List the scales that a key or a search can name."""
    from lickwright.theory import SCALES

    rows = [
        {
            "scale": scale.name,
            "family": scale.family,
            "degrees": list(scale.degrees),
            "also": list(scale.aliases),
        }
        for scale in SCALES
    ]
    _say(rows, words, as_json)


def _say(rows: list[dict[str, Any]], words: list[str] | None, as_json: bool) -> None:
    """Print the rows that hold every word, as a table or for machines."""
    chosen = [row for row in rows if all(_holds(row, word) for word in words or ())]
    if as_json:
        typer.echo(json.dumps(chosen, ensure_ascii=False, indent=1))
    elif not chosen:
        typer.echo(f"No row holds {' and '.join(map(repr, words or ()))}.")
    else:
        typer.echo(_columns(chosen))


def _holds(row: dict[str, Any], word: str) -> bool:
    return any(word.lower() in cell.lower() for cell in _cells(row))


def _cells(row: dict[str, Any]) -> list[str]:
    """What stands in each column; names with spaces in them are parted by commas."""
    cells = []
    for cell in row.values():
        parting = ", " if any(" " in part for part in cell) else "  "
        cells.append(cell if isinstance(cell, str) else parting.join(cell))
    return cells


def _columns(rows: list[dict[str, Any]]) -> str:
    lines = [list(rows[0]), *map(_cells, rows)]
    widths = [max(map(len, column)) for column in zip(*lines, strict=True)]
    return "\n".join(
        "  ".join(cell.ljust(width) for cell, width in zip(line, widths, strict=True)).rstrip()
        for line in lines
    )
