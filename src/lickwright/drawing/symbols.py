"""How are symbols printed?  Sharps and flats of ASCII chord symbols, as printers set them."""

from __future__ import annotations

import re

# A root stands alone or before a quality, so that "Above" and "Ebbing" stay words.
_ROOT_ACCIDENTAL = re.compile(
    r"(?<![A-Za-z])([A-G])(#{1,2}|b{1,2})"
    r"(?=$|[^A-Za-z]|(?:maj|min|mM|mmaj|m|M|dim|aug|sus|add|alt|ø|o)(?![a-z]))"
)
_DEGREE_ACCIDENTAL = re.compile(r"(?<![A-Za-z#b])(#{1,2}|b{1,2})(?=\d)|(?<=[a-z\d(/,])([#b])(?=\d)")
_SIGNS = {"#": "♯", "##": "♯♯", "b": "♭", "bb": "♭♭"}


def printed_symbol(text: str) -> str:
    """Chord symbols, note names and degrees with sharps and flats as printers set them.

    ``Bbm7b5`` becomes ``B♭m7♭5``, ``b3 5 #11`` becomes ``♭3 5 ♯11``.  Made for symbols and for
    our own sentences about them; a teacher's sentences are left as they were written.
    """
    text = _ROOT_ACCIDENTAL.sub(lambda match: match[1] + _SIGNS[match[2]], text)
    return _DEGREE_ACCIDENTAL.sub(lambda match: _SIGNS[match[0]], text)
