"""What does the command line ask of a player's own hand?"""

from __future__ import annotations

from lickwright.cli.habits.learning import register

__all__ = ["register"]
