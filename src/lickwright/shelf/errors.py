"""What can be wrong with a shelf."""

from __future__ import annotations

from lickwright.errors import LickwrightError


class ShelfError(LickwrightError):
    """A shelf that cannot be opened, read or written, or holds nothing by that name."""
