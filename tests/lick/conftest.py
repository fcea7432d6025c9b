"""Property tests here have no deadline: how long an example takes is no law."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("no deadline", deadline=None)
settings.load_profile("no deadline")
