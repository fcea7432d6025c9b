"""Commands that keep a shelf safe: shelf backup, restore, verify."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from lickwright.cli.shelf.place import AS_JSON, SHELF, open_old_shelf, open_shelf

if TYPE_CHECKING:
    from collections.abc import Mapping

BACKUP = Annotated[Path, typer.Argument(metavar="FILE", help="a backup: a shelf in one file")]


def register(group: typer.Typer) -> None:
    """Add these commands to the shelf's."""
    for command in (backup, restore, verify):
        group.command()(command)


def backup(
    file: BACKUP,
    replace: Annotated[
        bool, typer.Option("--replace", help="put it in place of a file that is there")
    ] = False,
    shelf: SHELF = None,
    as_json: AS_JSON = False,
) -> None:
    """Write all of the shelf, as it is at one moment, to a file that is itself a shelf."""
    from lickwright.shelf.store import back_up

    with open_old_shelf(shelf) as kept:
        made = back_up(kept, file, replace=replace)
    if as_json:
        _print_json({"file": str(file)} | made.as_data())
        return
    typer.echo(f"Wrote {_said(made.counts)} to {file}, and read them again: all is whole.")


def restore(
    file: BACKUP,
    replace: Annotated[
        bool, typer.Option("--replace", help="take all that is on the shelf off it first")
    ] = False,
    shelf: SHELF = None,
    as_json: AS_JSON = False,
) -> None:
    """Put a backup back, whole or not at all; what stands on the shelf stays without --replace."""
    from lickwright.shelf.store import put_back

    with open_shelf(shelf) as kept:
        done = put_back(kept, file, replace=replace)
    if as_json:
        _print_json(done.as_data())
        return
    typer.echo(f"Put back {_said(done.now.counts)}.")
    if any(done.before.values()):
        typer.echo(f"Taken off: {_said(done.before)}.")


def verify(shelf: SHELF = None, as_json: AS_JSON = False) -> None:
    """Look whether all of the shelf is whole; exit code 2 where it is not."""
    from lickwright.shelf.store import verify as verify_shelf

    with open_old_shelf(shelf) as kept:
        found = verify_shelf(kept)
    if as_json:
        _print_json({"shelf": kept.name} | found.as_data())
    else:
        for fault in found.faults:
            typer.echo(f"{kept.name}: {fault}.")
        state = "all is whole" if found.is_whole else "not all is whole; put a backup back"
        typer.echo(f"{kept.name}: version {found.version}, {_said(found.counts)}: {state}.")
    if not found.is_whole:
        raise typer.Exit(2)


def _said(counts: Mapping[str, int]) -> str:
    """Rows as a person counts them."""
    if not counts:
        return "its rows cannot be counted"
    return " and ".join(
        f"{counts[name]} {name}{'' if counts[name] == 1 else 's'}" for name in ("lesson", "lick")
    )


def _print_json(data: Any) -> None:
    typer.echo(json.dumps(data, ensure_ascii=False, indent=1))
