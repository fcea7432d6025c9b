"""What of a lick is the idea, and which other triads can play it?

Nouns:

* :class:`Idea`: the order of a line, free of its triads.
* :class:`IdeaTask`: what one chord asks for.
* :class:`MergedIdea`: the order of a line of merged arpeggios, free of its triads.
* :class:`MergedTask`: what one chord asks for such a line.
"""

from __future__ import annotations

from lickwright.changes.idea.candidates import idea_pool
from lickwright.changes.idea.idea import Idea, idea_of, turned_idea
from lickwright.changes.idea.merged_candidates import MergedTask, merged_candidates
from lickwright.changes.idea.pieces import MergedIdea, is_merged, merged_idea_of
from lickwright.changes.idea.plan import IdeaTask
from lickwright.changes.idea.triad_groups import Group, clearest_groups

__all__ = [
    "Group",
    "Idea",
    "IdeaTask",
    "MergedIdea",
    "MergedTask",
    "clearest_groups",
    "idea_of",
    "idea_pool",
    "is_merged",
    "merged_candidates",
    "merged_idea_of",
    "turned_idea",
]
