"""Floor 6: a recording turned back into notes.

Nouns:

* :class:`Take`: a take held against its score.
"""

from __future__ import annotations

from lickwright.take.report import Take

__all__ = [
    "Take",
]
