"""Where is the shelf that a command is about?"""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from lickwright.shelf.store import Shelf

SHELF = Annotated[
    str | None,
    typer.Option(
        "--shelf",
        metavar="PLACE",
        envvar="LICKWRIGHT_SHELF",
        help="a SQLite file, or the URL of a Postgres database",
        show_default=False,
    ),
]
AS_JSON = Annotated[bool, typer.Option("--json", help="print for machines")]


def usual_place() -> str:
    """The path of the shelf in the user's folder; nothing is made."""
    return str(Path(typer.get_app_dir("lickwright")) / "shelf.sqlite")


def open_shelf(place: str | None) -> Shelf:
    """The shelf at a place, or the usual one; made where it is missing."""
    from lickwright.errors import Spot
    from lickwright.shelf import ShelfError
    from lickwright.shelf.store import Shelf

    if place is None:
        place = usual_place()
        folder = Path(place).parent
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            reason = (error.strerror or str(error)).lower()
            raise ShelfError(
                f"the folder of the shelf cannot be made ({reason})",
                mend="Name a file with --shelf",
                where=Spot(str(folder)),
            ) from error
    return Shelf(place)


def open_old_shelf(place: str | None) -> Shelf:
    """As :func:`open_shelf`, but there must be one: a name with a slip makes no empty shelf."""
    from lickwright.errors import Spot
    from lickwright.shelf import ShelfError
    from lickwright.shelf.store import Shelf, address_of

    place = usual_place() if place is None else place
    file = address_of(place).file
    if file is not None and not os.path.exists(file):
        raise ShelfError(
            "there is no shelf here",
            mend="Name one with --shelf or LICKWRIGHT_SHELF",
            where=Spot(str(file)),
        )
    return Shelf(place)
