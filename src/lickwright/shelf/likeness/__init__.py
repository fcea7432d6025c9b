"""How are two licks alike?

Nouns:

* :class:`Likeness`: how a lick that is on the shelf is like a new one.
* :class:`Prints`: the prints of one lick, short enough to be kept and compared.
"""

from __future__ import annotations

from lickwright.shelf.likeness.comparing import Likeness, compare
from lickwright.shelf.likeness.fingerprints import Prints, prints_of

__all__ = [
    "Likeness",
    "Prints",
    "compare",
    "prints_of",
]
