"""What does a person type to hear what triads imply, and to find triads?"""

from __future__ import annotations

from lickwright.cli.harmony.commands import register

__all__ = ["register"]
