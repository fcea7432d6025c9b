"""``lickwright film``: find every playing of a lesson in the teacher's own recording."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from lickwright.lesson.file import FilmEntry, Lesson
    from lickwright.publish.film import Film, MadeFile


def register(app: typer.Typer) -> None:
    """Add this room's command."""
    app.command("film")(film)


def film(
    lesson: Annotated[Path, typer.Argument(metavar="LESSON", help="a lesson file (YAML)")],
    recordings: Annotated[
        list[Path],
        typer.Argument(
            metavar="RECORDING...",
            help="a film or a sound file of up to three hours; several of the same playing are"
            " brought together by their sound",
        ),
    ],
    table: Annotated[
        Path | None,
        typer.Option(
            "--table",
            metavar="FILE.csv",
            help="write what was found; what you correct in it is kept when this runs again",
        ),
    ] = None,
    make: Annotated[
        list[str] | None,
        typer.Option(
            "--make",
            metavar="WHAT",
            help="overlays (transparent), film (finished), cuts (for an editor); may be repeated",
        ),
    ] = None,
    out: Annotated[
        Path, typer.Option("--out", "-o", metavar="FOLDER", help="where they are written")
    ] = Path(),
    fps: Annotated[
        float | None, typer.Option("--fps", metavar="RATE", help="frames a second, 23.976 to 60")
    ] = None,
    shape: Annotated[
        str | None, typer.Option("--shape", metavar="W:H", help="16:9, or 9:16 for telephones")
    ] = None,
    coding: Annotated[
        str | None, typer.Option("--coding", help="of overlays: animation, prores or png")
    ] = None,
    show: Annotated[
        str | None,
        typer.Option("--show", help="best: the best playings; recording: all that was recorded"),
    ] = None,
    as_json: Annotated[bool, typer.Option("--json", help="print for machines")] = False,
) -> None:
    """Find every playing of a lesson's examples in a recording, and propose the best."""
    from lickwright.lesson.file import load_lesson
    from lickwright.publish.film import corrected, find_film, read_table, write_table

    read = load_lesson(lesson)
    wanted = _wanted(make or [])
    settings = _settings(read, fps=fps, shape=shape, coding=coding, show=show)
    names = [entry.name for entry in read.examples]
    told = read_table(table, names) if table is not None and table.exists() else ()
    made = find_film(read, recordings)
    made, found = corrected(made, told)
    if table is not None:
        write_table(table, made.rows, found)
    if not as_json:
        _print_film(made)
    files = _made(made, wanted, out, settings)
    if as_json:
        _print_json(made, files)
    for file in () if as_json else files:
        typer.echo(f"{file.path}: {file.what}")


_MAKES = ("overlays", "film", "cuts")


def _wanted(make: list[str]) -> list[str]:
    from lickwright.errors import OutputError, did_you_mean

    for word in make:
        if word not in _MAKES:
            raise OutputError(
                f"'{word}' is nothing that can be made of a film",
                mend=did_you_mean(word, _MAKES) or f"Make one of: {', '.join(_MAKES)}",
            )
    return [word for word in _MAKES if word in make]


def _settings(lesson: Lesson, **told: float | str | None) -> FilmEntry:
    """The lesson's own settings, and over them what was said here."""
    from pydantic import ValidationError

    from lickwright.errors import OutputError

    said = {name: value for name, value in told.items() if value is not None}
    try:
        entry = lesson.entry.film
        return type(entry).model_validate({**entry.model_dump(), **said})
    except ValidationError as error:
        name = str(error.errors()[0]["loc"][0])
        raise OutputError(
            f"--{name} {said[name]} is not possible", mend=f"See --help for --{name}"
        ) from error


def _made(film: Film, wanted: list[str], out: Path, settings: FilmEntry) -> list[MadeFile]:
    from lickwright.cli.progress import shown
    from lickwright.errors import OutputError, Spot
    from lickwright.publish.film import make_cuts, make_film, make_overlays

    if not wanted:
        return []
    try:
        out.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise OutputError(
            f"the folder cannot be made: {error.strerror or error}",
            mend="Name a folder that you may write to",
            where=Spot(str(out)),
        ) from error
    files: list[MadeFile] = []

    def say(words: str) -> None:
        typer.echo(words, err=True)

    if "cuts" in wanted:
        files += make_cuts(film, out, settings)
    if "overlays" in wanted:
        files += make_overlays(film, out, settings, say)
    if "film" in wanted:
        with shown() as tell:
            files += make_film(film, out, settings, say, tell)
    return files


def _print_json(made: Film, files: list[MadeFile]) -> None:
    import json

    data = made.as_data()
    data["files"] = [{"file": str(file.path), "what": file.what} for file in files]
    typer.echo(json.dumps(data, ensure_ascii=False, indent=1))


def _print_film(made: Film) -> None:
    from lickwright.publish.film import clock

    width = max(len(row.example) for row in made.rows)
    typer.echo(f"{'start':>10}  {'end':>10}  {'example':<{width}}  part      tempo  sure  faults")
    for row in made.rows:
        words = ", ".join(row.faults) or "none"
        if row.use:
            words += f"; you said {row.use}"
        typer.echo(
            f"{clock(row.start_s):>10}  {clock(row.end_s):>10}  {row.example:<{width}}"
            f"  {row.part:<8}  {row.tempo_bpm:>5.0f}  {row.sure:>4.2f}  {words}"
        )
        for until, names in _by_end(row.also):
            typer.echo(f"{'':24}the same notes as {' and '.join(names)} until {until}")
    for row in made.rows:
        if row.proposed:
            typer.echo(
                f"Best {row.speed} one of {row.example}: {clock(row.start_s)}, {row.proposed}."
            )
    for source in made.sources[1:]:
        begins = "after" if source.beside.start_s >= 0 else "before"
        typer.echo(
            f"{source.path.name} begins {abs(source.beside.start_s):.3f} s {begins}"
            f" {made.sources[0].path.name}."
        )


def _by_end(also: tuple[tuple[str, float], ...]) -> Iterator[tuple[str, list[str]]]:
    """The examples that share notes, those together that part at the same moment."""
    from lickwright.publish.film import clock

    ends: dict[str, list[str]] = {}
    for name, until in sorted(also, key=lambda pair: pair[1]):
        ends.setdefault(clock(until), []).append(name)
    yield from ends.items()
