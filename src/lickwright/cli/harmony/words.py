"""How are readings and pairs put on a terminal?"""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from rich.table import Table

    from lickwright.theory.hearing import Reading, Style


def symbol(reading: Reading, style: Style = "plain") -> str:
    from lickwright.theory.hearing import written_name

    return written_name(reading, style) or "no common name"


def heard(reading: Reading) -> str:
    return f"{reading.strength:.0%}" if reading.named else ""


def degrees(reading: Reading) -> str:
    return "  ".join(
        f"{note}={degree}" for note, degree in zip(reading.notes, reading.degrees, strict=True)
    )


def remarks(reading: Reading, shown: str) -> str:
    remarks = []
    if not reading.root_sounds:
        remarks.append("rootless")
    absent = [name for name in reading.missing if name != "1"]
    if absent:
        remarks.append(f"no {' '.join(absent)}")
    remarks += reading.clashes
    if reading.diatonic is False:
        remarks.append("outside the key")
    others = [name for name in (reading.symbol, *reading.also) if name and name != shown]
    if reading.beside:
        others.remove(reading.symbol)
    if others:
        remarks.append(f"also {', '.join(others)}")
    return "; ".join(remarks)


def readings_table(readings: list[Reading], style: Style) -> Table:
    table = new_table("", "implies", "heard", "notes", "remarks")
    for place, reading in enumerate(readings, start=1):
        table.add_row(
            str(place),
            symbol(reading, style),
            heard(reading),
            degrees(reading),
            remarks(reading, symbol(reading, style)),
        )
    return table


def new_table(*columns: str) -> Table:
    from rich.table import Table

    table = Table(box=None, pad_edge=False, padding=(0, 2, 0, 0), header_style="dim")
    for column in columns:
        table.add_column(column, overflow="fold")
    return table


def print_table(table: Table) -> None:
    from rich.console import Console

    Console(highlight=False, markup=False).print(table)


def print_lines(lines: list[str]) -> None:
    for line in lines:
        typer.echo(line)


def print_json(data: object) -> None:
    typer.echo(json.dumps(data, ensure_ascii=False, indent=1))
