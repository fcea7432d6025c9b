"""``lickwright strokes``: which pick strokes play a line, and what is wrong with given ones."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lickwright.lick import Stroke
    from lickwright.lick.picking import StrokeProblem, StrokeReport
    from lickwright.neck import Position


def register(app: typer.Typer) -> None:
    """Add the command to the application."""
    app.command("strokes")(strokes)


def strokes(
    notes: Annotated[
        list[str],
        typer.Argument(help="The notes as STRING/FRET, string 1 the highest: 4/10 4/14 3/10 2/10"),
    ],
    policy: Annotated[
        str, typer.Option(help="What the hand may do: sweep, alternate, down or legato.")
    ] = "sweep",
    own: Annotated[str, typer.Option(help="Your own strokes, to be checked: 'DDD U  UUU D'.")] = "",
    start: Annotated[str, typer.Option(help="The first stroke, where you want it: D or U.")] = "",
    escape: Annotated[
        str,
        typer.Option(help="The stroke on which your pick leaves the strings: both, down or up."),
    ] = "both",
    tempo: Annotated[
        float | None,
        typer.Option(help="Quarter notes a minute, with a rhythm.", min=1.0, max=400.0),
    ] = None,
    rhythm: Annotated[str, typer.Option(help="The rhythm, so that the beat counts: '16ths'.")] = "",
    json: Annotated[bool, typer.Option("--json", help="Print the answer as JSON.")] = False,
) -> None:
    """Find the best pick strokes for a line, or check your own."""
    from lickwright.errors import HandError
    from lickwright.lick.picking import (
        assign_strokes,
        check_strokes,
        legato_techniques,
        parse_strokes,
        read_policy,
        stroke_report,
    )
    from lickwright.lick.rhythm import lay_out, parse_rhythm

    places = [_place(text) for text in notes]
    onsets = None
    if rhythm:
        onsets = [onset for onset, _ in lay_out(parse_rhythm(rhythm), len(places)).spans]
    first = _first(start)
    if tempo is not None and not rhythm:
        raise HandError("a tempo says nothing without a rhythm", mend="Add --rhythm 16ths")
    if own:
        if first is not None:
            raise HandError("the first stroke is told twice", mend="Take --start out")
        chosen = parse_strokes(own, len(places))
        techniques = None
    else:
        chosen = assign_strokes(
            places, policy, onsets=onsets, tempo_bpm=tempo, start=first, escape=escape
        )
        legato = read_policy(policy) == "legato"
        techniques = legato_techniques(places, onsets=onsets) if legato else None
    problems = check_strokes(places, chosen, techniques, onsets=onsets, policy=policy)
    report = stroke_report(places, chosen, onsets=onsets)
    if json:
        typer.echo(_json(places, chosen, problems, report))
    else:
        typer.echo(_table(places, chosen, report))
        for problem in problems:
            typer.echo(str(problem), err=True)
    if problems:
        raise typer.Exit(2)


def _first(text: str) -> Stroke | None:
    from lickwright.errors import HandError
    from lickwright.lick import Stroke

    if not text:
        return None
    if text.upper() not in set(Stroke):
        raise HandError(f"'{text}' is not a stroke to begin with", mend="Write D or U")
    return Stroke(text.upper())


def _place(text: str) -> Position:
    from lickwright.errors import HandError
    from lickwright.neck import Position

    string, _, fret = text.partition("/")
    if not (string.isascii() and string.isdigit() and fret.isascii() and fret.isdigit()):
        raise HandError(f"'{text}' is not a note of a line", mend="Write STRING/FRET, such as 4/10")
    return Position(int(string), int(fret))


def _table(
    places: Sequence[Position], chosen: Sequence[Stroke | None], report: StrokeReport
) -> str:
    cells = [f"{place.string}/{place.fret}" for place in places]
    signs = ["-" if stroke is None else stroke.value for stroke in chosen]
    width = max(map(len, cells)) + 1
    sweeps = ", ".join(f"{s.first + 1}-{s.last + 1} {s.stroke.value}" for s in report.sweeps)
    lines = [
        "note    " + "".join(f"{cell:<{width}}" for cell in cells).rstrip(),
        "stroke  " + "".join(f"{sign:<{width}}" for sign in signs).rstrip(),
        f"sweeps  {len(report.sweeps)}" + (f" (notes {sweeps})" if sweeps else ""),
        f"outside {len(report.outside)}, inside {len(report.inside)},"
        f" strings skipped {len(report.skipped)}, turns {len(report.turns)}",
    ]
    if report.down_on_beat or report.up_on_beat:
        lines.append(f"on the beat: {len(report.down_on_beat)} down, {len(report.up_on_beat)} up")
    return "\n".join(lines)


def _json(
    places: Sequence[Position],
    chosen: Sequence[Stroke | None],
    problems: Sequence[StrokeProblem],
    report: StrokeReport,
) -> str:
    import json
    from dataclasses import asdict

    return json.dumps(
        {
            "notes": [
                {"string": place.string, "fret": place.fret, "stroke": stroke}
                for place, stroke in zip(places, chosen, strict=True)
            ],
            "report": asdict(report),
            "problems": [asdict(problem) for problem in problems],
        },
        indent=2,
    )
