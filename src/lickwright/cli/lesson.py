"""Commands on a lesson file: build, check, schema."""

from __future__ import annotations

import json
import os
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

LESSON = Annotated[Path, typer.Argument(metavar="LESSON", help="a lesson file (YAML)")]
AS_JSON = Annotated[bool, typer.Option("--json", help="print for machines")]


def register(app: typer.Typer) -> None:
    """Add this room's commands."""
    app.command()(build)
    app.command()(check)
    app.command()(carry)
    app.command()(schema)


def build(
    lesson: Annotated[
        Path | None, typer.Argument(metavar="LESSON", help="a lesson file (YAML)")
    ] = None,
    out: Annotated[Path, typer.Option("--out", "-o", metavar="DIR", help="output folder")] = Path(
        "out"
    ),
    every: Annotated[
        Path | None,
        typer.Option("--all", metavar="FOLDER", help="build every lesson of a folder instead"),
    ] = None,
    scheduler: Annotated[
        str | None,
        typer.Option(metavar="ADDRESS", help="with --all: a Dask scheduler, tcp://host:8786"),
    ] = None,
    timeout: Annotated[
        float,
        typer.Option(
            metavar="SECONDS",
            min=1,
            help="with --scheduler: give up when no lesson was finished for so long",
        ),
    ] = 600,
    resume: Annotated[
        bool,
        typer.Option("--resume", help="with --all: leave out what a stopped batch had finished"),
    ] = False,
    as_json: AS_JSON = False,
) -> None:
    """Build the whole lesson: sheet, pages, diagrams, sound, an index to look and listen."""
    if (lesson is None) == (every is None):
        raise typer.BadParameter("name a lesson file, or a folder with --all")
    if every is None and (scheduler is not None or resume):
        raise typer.BadParameter("--scheduler and --resume belong to --all")
    if every is not None:
        _build_all(every, out, _Batch(scheduler, timeout, resume), as_json)
    elif lesson is not None:
        _build_one(lesson, out, as_json)


def _build_one(lesson: Path, out: Path, as_json: bool) -> None:
    from lickwright.cli.progress import shown
    from lickwright.lesson.file import load_lesson
    from lickwright.publish import UnsoundLessonError
    from lickwright.publish import build as build_lesson

    try:
        with shown() as progress:
            report = build_lesson(
                load_lesson(lesson), out, progress=progress, workers=os.cpu_count() or 1
            )
    except UnsoundLessonError as error:
        for finding in error.findings:
            typer.echo(str(finding), err=True)
        raise typer.Exit(2) from None
    if as_json:
        typer.echo(json.dumps(report.as_data(), ensure_ascii=False, indent=1))
        return
    for finding in report.findings:
        typer.echo(str(finding))
    if report.built:
        typer.echo(f"Built {', '.join(report.built)}.")
    else:
        typer.echo("Nothing has changed since the last build.")
    if report.put_back:
        typer.echo(f"Put back what was missing or changed: {', '.join(report.put_back)}.")
    typer.echo(f"Look and listen: {out / 'index.html'}")
    typer.echo(f"Print: {out / 'lesson.pdf'}")


@dataclass(frozen=True, slots=True)
class _Batch:
    """How a whole folder is built."""

    scheduler: str | None
    timeout_s: float
    resume: bool


def _build_all(folder: Path, out: Path, how: _Batch, as_json: bool) -> None:
    from lickwright.cli.progress import shown
    from lickwright.publish.batch import build_folder

    with shown() as progress:
        report = build_folder(
            folder,
            out,
            scheduler=how.scheduler,
            progress=progress,
            resume=how.resume,
            timeout_s=how.timeout_s,
            say=lambda said: typer.echo(said, err=True),
        )
    text = str(report)
    if as_json:
        text = json.dumps(report.as_data(), ensure_ascii=False, indent=1)
    typer.echo(text)
    raise typer.Exit(report.exit_code)


def check(
    lesson: LESSON,
    level: Annotated[
        str | None,
        typer.Option(
            metavar="LEVEL",
            help="for a player who is beginning, growing, steady, practised or virtuoso,"
            " instead of the lesson's",
        ),
    ] = None,
    as_json: AS_JSON = False,
) -> None:
    """Check the lesson without building it; exit code 2 where something must be mended."""
    from lickwright.lesson import check as check_lesson
    from lickwright.lesson.file import load_lesson

    read = load_lesson(lesson)
    findings = check_lesson(read if level is None else read.played_at(level))
    if as_json:
        typer.echo(json.dumps([f.as_data() for f in findings], ensure_ascii=False, indent=1))
    else:
        for finding in findings:
            typer.echo(str(finding))
        if not findings:
            typer.echo(f"{lesson}: nothing to mend.")
    if any(finding.severity == "error" for finding in findings):
        raise typer.Exit(2)


def carry(
    lesson: LESSON,
    example: Annotated[str, typer.Argument(metavar="EXAMPLE", help="name of the lick to carry")],
    changes: Annotated[str, typer.Option(help="the chords: 'Dm9 | G13 . | Cmaj9'")],
    way: Annotated[str, typer.Option(help="exact, grip, diatonic or idea")] = "idea",
    filled: Annotated[
        str, typer.Option(help="a chord longer than the lick: round, held or rest")
    ] = "round",
    landing: Annotated[
        str | None, typer.Option(help="where the line lands: 'guide tone on 1 for 2'")
    ] = None,
    guide_tones: Annotated[
        bool, typer.Option("--guide-tones", help="begin every chord on a guide tone")
    ] = False,
    near: Annotated[bool, typer.Option("--near", help="stay near the lick's own place")] = False,
    between: Annotated[
        str | None, typer.Option("--range", metavar="NOTES", help="keep between two notes: D3-A5")
    ] = None,
    rootless: Annotated[
        bool, typer.Option("--rootless", help="leave the root to the band")
    ] = False,
    require: Annotated[str | None, typer.Option(help="degrees that must sound: '9 13'")] = None,
    avoid: Annotated[str | None, typer.Option(help="degrees that must not: '11'")] = None,
    families: Annotated[str | None, typer.Option(help="kinds of triad: 'major minor'")] = None,
    turned: Annotated[
        bool, typer.Option("--turned", help="a chord may have the lick turned round")
    ] = False,
    as_json: AS_JSON = False,
) -> None:
    """Carry a lick over changes; prints it as an example to take into the lesson file."""
    from lickwright.lesson.compile import carry_example, tab_example
    from lickwright.lesson.edit import list_entry
    from lickwright.lesson.file import load_lesson

    wishes: dict[str, str | bool | None] = {
        "landing": landing,
        "guide_tones": guide_tones,
        "near": near,
        "range": between,
        "rootless": rootless,
        "require": require,
        "avoid": avoid,
        "families": families,
        "turned": turned,
    }
    asked = {key: value for key, value in wishes.items() if value}
    worked, meter = carry_example(load_lesson(lesson), example, changes, way, filled, asked)
    text = f"{list_entry(tab_example(worked, meter, changes, asked), 2)}\n"
    if as_json:
        bars = [
            {
                "chord": str(span.claim),
                "triads": [str(triad) for triad in span.triads],
                "implies": [reading.symbol for reading in span.readings[:3]],
                "why": choice,
            }
            for span, choice in zip(worked.spans, worked.choices, strict=True)
        ]
        typer.echo(
            json.dumps(
                {"chords": bars, "cut": worked.cut, "example": text}, ensure_ascii=False, indent=1
            )
        )
        return
    for span, choice in zip(worked.spans, worked.choices, strict=True):
        triads = " and ".join(map(str, span.triads))
        typer.echo(f"# {span.claim}: {triads}; {choice}")
    for said in worked.cut:
        typer.echo(f"# {said}")
    typer.echo(text, nl=False)


def schema() -> None:
    """Print the JSON Schema of lesson files."""
    from lickwright.lesson.file import lesson_schema

    typer.echo(json.dumps(lesson_schema(), ensure_ascii=False, indent=2))
