"""What does a person type to find shapes on the neck, and fingers for a line?"""

from __future__ import annotations

import typer

from lickwright.cli.hands.fingers import fingers
from lickwright.cli.hands.shapes import shapes

__all__ = ["register"]


def register(app: typer.Typer) -> None:
    """Add this room's commands."""
    app.command()(shapes)
    app.command()(fingers)
