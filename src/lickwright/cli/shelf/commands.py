"""Commands on the shelf of finished lessons: shelf add, find, show, near, gaps ..."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from lickwright.cli.shelf import care
from lickwright.cli.shelf.place import AS_JSON, SHELF, open_shelf
from lickwright.cli.shelf.tables import coverage_table, lesson_table, lick_table, lick_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from lickwright.shelf import Near
    from lickwright.shelf.licks import ShelvedLick
    from lickwright.shelf.store import Shelf

SHOW = Annotated[int, typer.Option("--show", metavar="N", min=1, max=1000, help="how many")]

group = typer.Typer(
    name="shelf",
    help="Keep finished lessons and licks; find, compare and plan by them.",
    no_args_is_help=True,
    rich_markup_mode=None,
)


def register(app: typer.Typer) -> None:
    """Add this room's commands."""
    for command in (add, lessons, find, show, near, gaps, remove):
        group.command()(command)
    group.command("export")(export)
    group.command("import")(import_)
    care.register(group)
    app.add_typer(group)


def add(
    files: Annotated[
        list[Path], typer.Argument(metavar="FILE...", help="lesson files, or MusicXML")
    ],
    part: Annotated[
        str | None, typer.Option("--part", metavar="NAME", help="which part of a MusicXML file")
    ] = None,
    bars: Annotated[
        str | None, typer.Option("--bars", metavar="A-B", help="which bars of a MusicXML file")
    ] = None,
    octaves: Annotated[
        int, typer.Option("--octaves", metavar="N", min=-4, max=4, help="move it by octaves")
    ] = 0,
    tuning: Annotated[
        str, typer.Option("--tuning", metavar="NAME", help="for a MusicXML file without one")
    ] = "standard",
    over: Annotated[
        str | None,
        typer.Option("--over", metavar="BASS", help="the bass under a line without chords"),
    ] = None,
    shelf: SHELF = None,
    as_json: AS_JSON = False,
) -> None:
    """Put lessons and licks on the shelf, and say which are like something that is there."""
    from lickwright.formats.incoming import Wanted
    from lickwright.lesson.file import load_lesson
    from lickwright.neck import Guitar, parse_tuning
    from lickwright.shelf.licks import MUSICXML_ENDINGS, shelved_lesson, shelved_musicxml
    from lickwright.shelf.store import keep_lesson, keep_lick
    from lickwright.theory import parse_note_name

    bass = None if over is None else parse_note_name(over)
    wanted = Wanted(
        part=part,
        bars=None if bars is None else _range(bars, "bars"),
        guitar=Guitar(open_strings=parse_tuning(tuning)),
        octaves=octaves,
    )
    told = []
    with open_shelf(shelf) as kept:
        for file in files:
            if file.suffix.lower() in MUSICXML_ENDINGS:
                lick, left_out = shelved_musicxml(file, wanted, bass)
                alike = _alike(kept, [lick])
                done = keep_lick(kept, lick, file.name)
                name = lick.score.name
            else:
                lesson = shelved_lesson(load_lesson(file))
                alike, left_out = _alike(kept, lesson.licks), ()
                done = keep_lesson(kept, lesson)
                name = lesson.title
            told.append(
                {
                    "file": str(file),
                    "name": name,
                    "done": done,
                    "left_out": list(left_out),
                    "alike": list(alike),
                }
            )
            if as_json:
                continue
            typer.echo(f"{name}: {done}.")
            for said in left_out:
                typer.echo(f"  {said}")
            if done == "added":
                for said in alike:
                    typer.echo(f"  {said}.")
    if as_json:
        _print_json(told)


def lessons(shelf: SHELF = None, as_json: AS_JSON = False) -> None:
    """List the lessons of the shelf."""
    from lickwright.shelf import lessons as lessons_of

    with open_shelf(shelf) as kept:
        found = lessons_of(kept)
    if as_json:
        _print_json([asdict(card) for card in found])
        return
    if not found:
        typer.echo("There are no lessons on the shelf.")
        return
    typer.echo(lesson_table(found))


def find(
    words: Annotated[
        list[str] | None, typer.Argument(metavar="[WORD...]", help="words that it must have")
    ] = None,
    chord: Annotated[
        str | None,
        typer.Option("--chord", metavar="CHORD", help="a chord it implies: Dm9, or m9 on any root"),
    ] = None,
    family: Annotated[
        str | None,
        typer.Option("--family", metavar="NAME", help="major, minor, dominant, suspended ..."),
    ] = None,
    triad: Annotated[
        list[str] | None, typer.Option("--triad", metavar="TRIAD", help="a triad; give it twice")
    ] = None,
    technique: Annotated[
        list[str] | None,
        typer.Option("--technique", metavar="NAME", help="sweep, alternate, legato, slide ..."),
    ] = None,
    tuning: Annotated[
        str | None, typer.Option("--tuning", metavar="NAME", help="a tuning's name, or its notes")
    ] = None,
    key: Annotated[
        str | None, typer.Option("--key", metavar="KEY", help="such as 'D dorian'")
    ] = None,
    strings: Annotated[
        str | None, typer.Option("--strings", metavar="A-B", help="stays on these strings")
    ] = None,
    frets: Annotated[
        str | None, typer.Option("--frets", metavar="A-B", help="stays within these frets")
    ] = None,
    playable_at: Annotated[
        float | None,
        typer.Option("--playable-at", metavar="BPM", help="its estimated ceiling is no lower"),
    ] = None,
    tempo: Annotated[
        str | None, typer.Option("--tempo", metavar="A-B", help="its target tempo lies between")
    ] = None,
    lesson: Annotated[
        int | None, typer.Option("--lesson", metavar="N", help="the number of its lesson")
    ] = None,
    show: SHOW = 20,
    before: Annotated[
        int | None, typer.Option("--before", metavar="ID", help="go on after this lick")
    ] = None,
    shelf: SHELF = None,
    as_json: AS_JSON = False,
) -> None:
    """Find licks by any mixture of words and facts, the newest first."""
    from lickwright.shelf import LickSearch
    from lickwright.shelf import find as find_licks

    search = LickSearch(
        words=" ".join(words or ()),
        chord=chord,
        family=family,
        triads=tuple(triad or ()),
        techniques=tuple(technique or ()),
        tuning=tuning,
        key=key,
        strings=None if strings is None else _range(strings, "strings"),
        frets=None if frets is None else _range(frets, "frets"),
        playable_at=playable_at,
        tempo=None if tempo is None else _range(tempo, "tempi"),
        lesson=lesson,
    )
    with open_shelf(shelf) as kept:
        found = find_licks(kept, search, show, before)
    if as_json:
        _print_json({"licks": [asdict(card) for card in found.licks], "more": found.more})
        return
    if not found.licks:
        typer.echo("No lick on the shelf is like that.")
        return
    typer.echo(lick_table(found.licks))
    if found.more:
        typer.echo(f"There are more: --before {found.licks[-1].id}")


def show(
    lick: Annotated[int, typer.Argument(metavar="ID", help="the number that find prints")],
    example: Annotated[
        bool, typer.Option("--example", help="as an example to take into a lesson file")
    ] = False,
    over: Annotated[
        str | None, typer.Option("--over", metavar="BASS", help="the bass, where it has no chords")
    ] = None,
    shelf: SHELF = None,
    as_json: AS_JSON = False,
) -> None:
    """Show one lick: its tab, and what is known of it."""
    from lickwright.shelf import lick_card
    from lickwright.shelf.licks import example_text, score_data

    with open_shelf(shelf) as kept:
        card, score, text = lick_card(kept, lick)
    if as_json:
        _print_json(asdict(card) | {"text": text, "score": score_data(score)})
    elif example:
        typer.echo(example_text(score, over), nl=False)
    else:
        typer.echo(lick_text(card, score, text))


def near(
    lick: Annotated[
        str,
        typer.Argument(metavar="ID_OR_FILE", help="a lick of the shelf, or a lesson file"),
    ],
    show: SHOW = 3,
    shelf: SHELF = None,
    as_json: AS_JSON = False,
) -> None:
    """Say where something like it was taught before, and how far it was moved."""
    from lickwright.lesson.file import load_lesson
    from lickwright.shelf import near as near_score
    from lickwright.shelf import near_lick, own_licks
    from lickwright.shelf.licks import shelved_lesson

    told: dict[str, list[Near]] = {}
    with open_shelf(shelf) as kept:
        if lick.isascii() and lick.isdigit():
            told[f"lick {lick}"] = near_lick(kept, int(lick), show)
        else:
            lesson = shelved_lesson(load_lesson(lick))
            own = own_licks(kept, lesson)
            for each in lesson.licks:
                told[each.score.name] = near_score(kept, each.score, show, leave_out=own)
    if as_json:
        _print_json(
            {
                name: [
                    {"lick": asdict(one.card), "likeness": asdict(one.likeness), "said": str(one)}
                    for one in found
                ]
                for name, found in told.items()
            }
        )
        return
    for name, found in told.items():
        typer.echo(name if found else f"{name}: nothing like it is on the shelf.")
        for one in found:
            typer.echo(f"  {one}.")


def gaps(
    teacher: Annotated[
        str | None, typer.Option("--teacher", metavar="NAME", help="only the lessons of one")
    ] = None,
    show: SHOW = 5,
    shelf: SHELF = None,
    as_json: AS_JSON = False,
) -> None:
    """Show what the lessons cover, and what they do not yet."""
    from lickwright.shelf import coverage

    with open_shelf(shelf) as kept:
        covered = coverage(kept, teacher, show)
    if as_json:
        _print_json(
            {
                "covered": [
                    {"family": family, "technique": technique, "strings": strings, "licks": number}
                    for (family, technique, strings), number in covered.counts.items()
                ],
                "next": [asdict(step) for step in covered.steps],
            }
        )
        return
    typer.echo(coverage_table(covered))
    typer.echo("\nNot covered yet:")
    for step in covered.steps:
        typer.echo(f"  {step}")


def remove(
    lesson: Annotated[
        int | None, typer.Option("--lesson", metavar="ID", help="a lesson, by its id")
    ] = None,
    lick: Annotated[
        int | None, typer.Option("--lick", metavar="ID", help="a lick that stands alone, by its id")
    ] = None,
    shelf: SHELF = None,
    as_json: AS_JSON = False,
) -> None:
    """Take a lesson, or a lick that stands alone, off the shelf."""
    from lickwright.shelf import ShelfError
    from lickwright.shelf.store import remove_lesson, remove_lick

    if (lesson is None) == (lick is None):
        raise ShelfError("nothing was named, or too much", mend="Give --lesson ID or --lick ID")
    with open_shelf(shelf) as kept:
        if lesson is not None:
            remove_lesson(kept, lesson)
        if lick is not None:
            remove_lick(kept, lick)
    if as_json:
        _print_json({"removed": {"lesson": lesson, "lick": lick}})
    else:
        typer.echo("Taken off the shelf.")


def export(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="the file to write (JSON lines)")],
    shelf: SHELF = None,
    as_json: AS_JSON = False,
) -> None:
    """Write the whole shelf to one file, from which it can be taken in again without loss."""
    from lickwright.shelf.store import export_file

    with open_shelf(shelf) as kept:
        lines = export_file(kept, file)
    entries = lines - 1  # the first line says what the file is
    if as_json:
        _print_json({"file": str(file), "entries": entries})
    else:
        typer.echo(f"Wrote {entries} {'entry' if entries == 1 else 'entries'} to {file}.")


def import_(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="a file that export wrote")],
    shelf: SHELF = None,
    as_json: AS_JSON = False,
) -> None:
    """Take in what another shelf exported; what is there already stays as it is."""
    from lickwright.shelf.store import import_file

    with open_shelf(shelf) as kept:
        done = import_file(kept, file)
    if as_json:
        _print_json(done)
        return
    for what, count in sorted(done.items()):
        typer.echo(f"{count} {what}.")


# --- where, and what is like it ----------------------------------------------------------------


def _alike(shelf: Shelf, licks: Sequence[ShelvedLick]) -> list[str]:
    """For each lick the closest one that is on the shelf already, in words."""
    from lickwright.shelf import near as near_score

    return [
        f"{lick.score.name}: {found}"
        for lick in licks
        for found in near_score(shelf, lick.score, limit=1)
    ]


def _range(text: str, what: str) -> tuple[int, int]:
    from lickwright.shelf import ShelfError

    low, _, high = text.partition("-")
    if not all(end.isascii() and end.isdigit() and len(end) < 5 for end in (low, high or low)):
        raise ShelfError(f"'{text}' is no range of {what}", mend="Write it as 1-4")
    return int(low), int(high or low)


def _print_json(data: Any) -> None:
    typer.echo(json.dumps(data, ensure_ascii=False, indent=1))
