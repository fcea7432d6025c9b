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
    hands,
    harmony,
    lesson,
    positions,
    shelf,
    strokes,
    studio,
    take,
)

app = typer.Typer(
    name="lickwright",
    help="From one lesson file to a published lead-guitar lesson.",
    no_args_is_help=True,
    add_completion=False,
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
)

from lickwright import __version__
from lickwright.cli import (
    changes,
    doctor,
    hands,
    harmony,
    lesson,
    positions,
    shelf,
    strokes,
    studio,
    take,
)
    room.register(app)
