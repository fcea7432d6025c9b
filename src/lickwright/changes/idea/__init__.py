"""What of a lick is the idea, and which other triads can play it?

Nouns:

* :class:`Idea`: the order of a line, free of its triads.
* :class:`IdeaTask`: what one chord asks for.
"""

from __future__ import annotations

from lickwright.changes.idea.candidates import idea_pool
from lickwright.changes.idea.idea import Idea, idea_of
from lickwright.changes.idea.plan import IdeaTask

__all__ = [
    "Idea",
    "IdeaTask",
    "idea_of",
    "idea_pool",
]
