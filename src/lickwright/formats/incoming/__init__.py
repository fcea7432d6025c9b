"""Which line does a file from another program hold, and how is it played?

Nouns:

* :class:`Wanted`: which line is wanted, and for which hands.
"""

from __future__ import annotations

from lickwright.formats.incoming.reading import ANY_LINE, Wanted, load_musicxml

__all__ = [
    "ANY_LINE",
    "Wanted",
    "load_musicxml",
]
