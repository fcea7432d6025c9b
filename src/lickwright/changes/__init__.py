"""Floor 3: progressions, and licks carried across them."""

from __future__ import annotations

from lickwright.changes.bass_journey import bass_journeys

__all__ = [
    "bass_journeys",
]
