"""How does an example of a lesson become a Score?

Nouns:

* :class:`PhraseIdea`: a whole phrase that may be made of two triads over a chord.
* :class:`Span`: a stretch of an example under one bass: what is claimed, and what the notes
  imply.
* :class:`Worked`: one example, worked out.
* :class:`Workshop`: works the examples of one lesson out, each at most once.
"""

from __future__ import annotations

from lickwright.lesson.compile.as_tab import tab_example
from lickwright.lesson.compile.carrying import carry_example, example_named
from lickwright.lesson.compile.examples import Span, Worked, Workshop, brought_along
from lickwright.lesson.compile.ideas import PhraseIdea, phrase_ideas
from lickwright.lesson.compile.places import USUAL_CONTOUR, joins_of

__all__ = [
    "USUAL_CONTOUR",
    "PhraseIdea",
    "Span",
    "Worked",
    "Workshop",
    "brought_along",
    "carry_example",
    "example_named",
    "joins_of",
    "phrase_ideas",
    "tab_example",
]
