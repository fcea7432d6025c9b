"""Floor 7: the lesson file, what it says and what is wrong with it.

Nouns:

* :class:`Flaw`: a finding that knows the key of its example but not yet the line in the file.
"""

from __future__ import annotations

from lickwright.lesson.checks import Flaw, check, check_example, flaws

__all__ = [
    "Flaw",
    "check",
    "check_example",
    "flaws",
]
