"""Where is the shelf when nobody names it?"""

from __future__ import annotations

from pathlib import Path

import typer


def usual_place() -> str:
    """The path of the shelf in the user's folder; nothing is made."""
    return str(Path(typer.get_app_dir("lickwright")) / "shelf.sqlite")
