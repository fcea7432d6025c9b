"""What does a person type to keep, find and compare what is on the shelf?"""

from __future__ import annotations

from lickwright.cli.shelf.commands import register

__all__ = ["register"]
