"""How is every lesson of a folder built, here or on a cluster?"""

from __future__ import annotations

from lickwright.publish.batch.plan import build_folder

__all__ = [
    "build_folder",
]
