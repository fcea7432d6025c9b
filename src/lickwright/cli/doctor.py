"""The command that looks at the machine, for people who ask why, and for their bug reports."""

from __future__ import annotations

import json
from itertools import groupby
from typing import TYPE_CHECKING

import typer

from lickwright.cli.shelf.place import AS_JSON, SHELF

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lickwright.cli.doctor_checks import DoctorLine


def register(app: typer.Typer) -> None:
    """Add this room's command."""
    app.command()(doctor)


def doctor(shelf: SHELF = None, as_json: AS_JSON = False) -> None:
    """Look whether all that Lickwright needs is here; exit code 2 where it is not."""
    from lickwright.cli.doctor_checks import lines

    found = list(lines(shelf))
    faults = sum(line.is_fault for line in found)
    if as_json:
        data = {"good": not faults, "lines": [line.as_data() for line in found]}
        typer.echo(json.dumps(data, ensure_ascii=False, indent=1))
    else:
        typer.echo(told(found))
    if faults:
        raise typer.Exit(2)


def told(found: Sequence[DoctorLine]) -> str:
    """The lines as a person reads them, and can send to another."""
    width = max(len(line.name) for line in found)
    said: list[str] = []
    for topic, lines in groupby(found, key=lambda line: line.topic):
        said.append(topic)
        for line in lines:
            mark = "MEND" if line.is_fault else "    "
            said.append(f"{mark}  {line.name:<{width}}  {line.found}")
            if line.mend:
                said.append(f"      {'':<{width}}  {line.mend}.")
    faults = sum(line.is_fault for line in found)
    things = "thing" if faults == 1 else "things"
    said.append(f"{faults} {things} to mend." if faults else "All is well.")
    return "\n".join(said)
