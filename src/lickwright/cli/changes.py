"""Commands on chords, changes and what is played over them: analyse, journey, ideas."""

from __future__ import annotations

import json
from pathlib import Path
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
    app.command()(ideas)


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


def ideas(
    chord: Annotated[str, typer.Argument(metavar="CHORD", help="over which they sound: Bm9")],
    triads: Annotated[
        list[str] | None, typer.Argument(metavar="TRIAD...", help="the two that are played")
    ] = None,
    key: KEY = None,
    frets: Annotated[
        str | None, typer.Option("--frets", metavar="FRETS", help="where on the neck: 7-12")
    ] = None,
    show: Annotated[
        int, typer.Option("--show", metavar="N", min=1, max=20, help="how many phrases")
    ] = 6,
    into: Annotated[
        Path | None,
        typer.Option("--into", metavar="LESSON", help="write one into this lesson file"),
    ] = None,
    take: Annotated[
        int, typer.Option("--take", metavar="N", min=1, help="with --into: which one")
    ] = 1,
    as_json: AS_JSON = False,
) -> None:
    """Find whole phrases for a chord or a pair: ranked, varied, each with its reasons."""
    from lickwright.lesson.compile import phrase_ideas
    from lickwright.lesson.edit import list_entry
    from lickwright.lesson.file import load_lesson
    from lickwright.neck import Guitar, fret_window
    from lickwright.theory import parse_chord, parse_key, parse_triad

    lesson = None if into is None else load_lesson(into)
    guitar = Guitar() if lesson is None else lesson.guitar
    found = phrase_ideas(
        parse_chord(chord),
        parse_key(key) if key is not None else None,
        triads=[parse_triad(text) for text in triads or ()],
        frets=None if frets is None else fret_window(frets, guitar),
        guitar=guitar,
        hand="medium" if lesson is None else lesson.entry.hand,
        count=max(show, take),
    )
    if take > len(found):
        raise typer.BadParameter(f"there are {len(found)} ideas, not {take}")
    entries = [
        {"name": f"Idea {at} over {idea.entry['implies']}", **idea.entry}
        for at, idea in enumerate(found, start=1)
    ]
    if as_json:
        rows = [
            {"example": entry, "points": idea.points, "why": list(idea.why)}
            for entry, idea in zip(entries, found, strict=True)
        ]
        _print_json(rows[:show])
    else:
        for entry, idea in list(zip(entries, found, strict=True))[:show]:
            typer.echo(f"# {'; '.join(idea.why)}")
            typer.echo(list_entry(entry, 2))
    if into is not None:
        _take_into(into, entries[take - 1])
        typer.echo(f"'{entries[take - 1]['name']}' is now in {into}.", err=as_json)


def _take_into(path: Path, entry: dict[str, Any]) -> None:
    """Write an example at the end of a lesson file, under a name that is free."""
    from lickwright.lesson.edit import LessonDocument
    from lickwright.lesson.file import load_lesson

    names = {example.name for example in load_lesson(path).examples}
    name, number = entry["name"], 1
    while entry["name"] in names:
        number += 1
        entry["name"] = f"{name} ({number})"
    document = LessonDocument(path)
    try:
        document.add_example(entry)
        document.save()
    finally:
        document.close()


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
