"""What can be wrong with a take before anything is said about its notes."""

from __future__ import annotations

from lickwright.errors import LickwrightError


class TakeError(LickwrightError):
    """A recording that cannot be read, or in which the example cannot be found."""
