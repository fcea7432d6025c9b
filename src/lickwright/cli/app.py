"""The command line: commands by the room they belong to.

Only ``typer`` is loaded here; each command loads what it needs when it runs, so that
``lickwright --help`` answers at once.
"""

from __future__ import annotations

from typing import Annotated

import typer

from lickwright import __version__
from lickwright.cli import (
    changes,
    doctor,
    film,
    habits,
    hands,
    harmony,
    lesson,
    positions,
    shelf,
    strokes,
    studio,
    take,
    vocabulary,
)

app = typer.Typer(
    name="lickwright",
    help="From one lesson file to a published lead-guitar lesson.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)


def _say_version(asked: bool) -> None:
    if asked:
        typer.echo(f"lickwright {__version__}")
        raise typer.Exit


@app.callback()
def _common(
    version: Annotated[
        bool,
        typer.Option("--version", is_eager=True, callback=_say_version, help="print it and end"),
    ] = False,
) -> None:
    """From one lesson file to a published lead-guitar lesson."""


_ROOMS = (
    lesson,
    harmony,
    hands,
    habits,
    strokes,
    positions,
    changes,
    take,
    film,
    shelf,
    studio,
    vocabulary,
    doctor,
)
for room in _ROOMS:
    room.register(app)
