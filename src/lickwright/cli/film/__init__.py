"""What does a person type to find what was played in a film, and to make something of it?"""

from __future__ import annotations

from lickwright.cli.film.command import register

__all__ = ["register"]
