"""Commands on changes: analyse, journey."""

from __future__ import annotations

import json
from typing import Annotated, Any

import typer

KEY = Annotated[
    str | None, typer.Option("--key", metavar="KEY", help="the key, such as 'D dorian'")
]
AS_JSON = Annotated[bool, typer.Option("--json", help="print for machines")]


def register(app: typer.Typer) -> None:
    """Add this room's commands."""
    app.command()(analyse)
    app.command()(journey)


def analyse(
    changes: Annotated[
        str, typer.Argument(metavar="CHANGES", help="chords, bars parted by |: 'Dm9 | G13'")
    ],
    key: KEY = None,
    time: Annotated[str, typer.Option("--time", metavar="TIME", help="such as 4/4")] = "4/4",
    show: Annotated[
        int, typer.Option("--show", metavar="N", min=1, help="how many scales a chord")
    ] = 2,
    as_json: AS_JSON = False,
) -> None:
    """Say in which key each chord sounds, what it does there, and which scales it offers."""
    from lickwright.changes.progression import analyse as roles_of
    from lickwright.changes.progression import in_inferred_keys, parse_changes, pivot_before

    written = parse_changes(changes, key, time)
    played = in_inferred_keys(written)
    roles = roles_of(played)
    if as_json:
        _print_json([_role_data(role, show) for role in roles])
        return
    for at, role in enumerate(roles):
        if played != written and (not at or role.placed.key != roles[at - 1].placed.key):
            pivot = pivot_before(played, at)
            over = "" if pivot is None else f", by way of {pivot}"
            typer.echo(f"in {role.placed.key}{over}")
        place = " ".join(filter(None, (str(role.placed.chord), role.functional)))
        said = f"{role.function}: {role.why}" if role.function else role.why
        typer.echo(f"bar {role.placed.bar}  {place}  {said}")
        for scale in role.scales[:show]:
            typer.echo(f"    {scale}: {'; '.join(scale.why)}")


def journey(
    played: Annotated[
        list[str], typer.Argument(metavar="TRIAD...", help="the triads that stay, such as F Am")
    ],
    stops: Annotated[
        int, typer.Option("--stops", metavar="N", min=2, max=12, help="how many basses")
    ] = 3,
    start: Annotated[
        str | None, typer.Option("--from", metavar="BASS", help="the first bass")
    ] = None,
    end: Annotated[str | None, typer.Option("--to", metavar="BASS", help="the last bass")] = None,
    key: KEY = None,
    show: Annotated[int, typer.Option("--show", metavar="N", min=1, help="how many lines")] = 3,
    as_json: AS_JSON = False,
) -> None:
    """Find bass lines under triads that stay, ranked by the journey they make."""
    from lickwright.changes import bass_journeys
    from lickwright.theory import parse_triad

    triads = [parse_triad(text) for text in played]
    found = bass_journeys(triads, stops, key, start, end, show)
    if as_json:
        _print_json(
            [
                {
                    "basses": [str(stop.bass) for stop in line.stops],
                    "chords": [stop.reading.symbol for stop in line.stops],
                    "cost": line.cost,
                    "why": list(line.why),
                }
                for line in found
            ]
        )
        return
    for line in found:
        typer.echo(str(line))
        for sentence in line.why:
            typer.echo(f"  {sentence}")


def _role_data(role: Any, show: int) -> dict[str, Any]:
    return {
        "bar": role.placed.bar,
        "chord": str(role.placed.chord),
        "key": str(role.placed.key),
        "numeral": role.numeral,
        "functional": role.functional,
        "function": role.function,
        "why": role.why,
        "scales": [
            {
                "name": str(scale),
                "notes": [str(note) for note in scale.notes],
                "avoid": [str(note) for note in scale.avoid],
                "why": list(scale.why),
            }
            for scale in role.scales[:show]
        ],
    }


def _print_json(data: Any) -> None:
    typer.echo(json.dumps(data, ensure_ascii=False, indent=2))
