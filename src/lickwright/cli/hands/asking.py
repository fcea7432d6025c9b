"""What do the commands for neck and hand ask alike, and how do they print?"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lickwright.neck import Guitar

TUNING = Annotated[
    str,
    typer.Option("--tuning", metavar="NAME", help="a tuning's name, or its notes lowest first"),
]
CAPO = Annotated[int, typer.Option("--capo", metavar="FRET", min=0, help="the capo's fret")]
HAND = Annotated[str, typer.Option("--hand", help="whose hand: small, medium or large")]
FRETS = Annotated[
    str | None, typer.Option("--frets", metavar="A-B", help="stay within these frets")
]
STRINGS = Annotated[
    str | None, typer.Option("--strings", metavar="A-B", help="stay on these strings, 1 highest")
]
SHOW = Annotated[
    int, typer.Option("--show", metavar="N", min=1, help="how many to print, as JSON too")
]
AS_JSON = Annotated[bool, typer.Option("--json", help="print for machines")]


def guitar_of(tuning: str, capo: int) -> Guitar:
    from lickwright.neck import Guitar, parse_tuning

    return Guitar(open_strings=parse_tuning(tuning), capo=capo)


def say_more(count: int, show: int) -> None:
    if count > show:
        typer.echo(f"{count - show} more: --show {count}")


def in_columns(rows: Sequence[Sequence[str]]) -> str:
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    return "\n".join(
        "  ".join(f"{cell:<{width}}" for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in rows
    )


def print_json(data: Any) -> None:
    import json

    typer.echo(json.dumps(data, indent=2))
