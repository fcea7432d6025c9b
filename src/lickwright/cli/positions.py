"""``lickwright positions``: the same notes elsewhere on the neck."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from lickwright.lick import Lick
    from lickwright.lick.hands import InPosition


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("positions")(positions)


def positions(
    lesson: Annotated[Path, typer.Argument(metavar="LESSON", help="a lesson file (YAML)")],
    example: Annotated[str, typer.Argument(metavar="EXAMPLE", help="name of the lick")],
    part: Annotated[
        str | None, typer.Option("--part", help="one part of it, by its name or number")
    ] = None,
    frets: Annotated[
        str | None, typer.Option("--frets", metavar="A-B", help="stay within these frets")
    ] = None,
    strings: Annotated[
        str | None, typer.Option("--strings", metavar="A-B", help="stay on these strings")
    ] = None,
    show: Annotated[
        int, typer.Option("--show", metavar="N", min=1, help="how many to print, as JSON too")
    ] = 10,
    as_json: Annotated[bool, typer.Option("--json", help="print for machines")] = False,
) -> None:
    """Show a lick, or one part of it, in every position at the same pitch: reach and strokes."""
    from lickwright.lesson.compile import Workshop, example_named
    from lickwright.lesson.file import load_lesson
    from lickwright.lick.hands import in_positions

    workshop = Workshop(load_lesson(lesson))
    index = example_named(workshop.lesson, example)
    worked = workshop.worked(index)
    lick = worked.score.lick
    notes = lick.notes if part is None else lick.notes_of(_part(lick, part, example))
    found = in_positions(
        notes,
        worked.score.guitar,
        frets,
        strings,
        hand=workshop.lesson.hand,
        policy=worked.entry.picking,
        meter=workshop.meter(worked.entry),
    )
    if as_json:
        import json

        typer.echo(json.dumps([_data(one) for one in found[:show]], indent=2))
        return
    if not found:
        typer.echo("The notes do not lie in this window under one hand.")
    for one in found[:show]:
        typer.echo(_lines(one))
    if len(found) > show:
        typer.echo(f"{len(found) - show} more: --show {len(found)}")


def _part(lick: Lick, asked: str, example: str) -> int:
    from lickwright.errors import LessonError, did_you_mean

    names = [part.name for part in lick.parts]
    if asked in names:
        return names.index(asked)
    if asked.isascii() and asked.isdigit() and 1 <= int(asked) <= len(names):
        return int(asked) - 1
    mend = f"Its parts are: {', '.join(names)}" if names else "It is of one piece: take --part out"
    raise LessonError(f"'{example}' has no part '{asked}'", mend=did_you_mean(asked, names) or mend)


def _lines(one: InPosition) -> str:
    from lickwright.lick.picking import print_strokes

    cells = [f"{place.string}/{place.fret}" for place in one.positions]
    low, high = one.frets
    said = [
        f"frets {low}-{high}",
        f"{one.reach_mm:.0f} mm",
        f"{len(one.sweeps)} {'sweep' if len(one.sweeps) == 1 else 'sweeps'}",
    ]
    if one.here:
        said.append("where it is")
    elif one.same_strokes:
        said.append("the same strokes")
    return f"{' '.join(cells)}\n  {print_strokes(one.strokes)}\n  {', '.join(said)}\n"


def _data(one: InPosition) -> dict[str, Any]:
    return {
        "notes": [
            {"string": place.string, "fret": place.fret, "stroke": stroke}
            for place, stroke in zip(one.positions, one.strokes, strict=True)
        ],
        "frets": list(one.frets),
        "reach_mm": round(one.reach_mm, 1),
        "sweeps": [
            {"first": s.first + 1, "last": s.last + 1, "stroke": s.stroke} for s in one.sweeps
        ],
        "same_strokes": one.same_strokes,
        "here": one.here,
        "cost": one.cost,
    }
