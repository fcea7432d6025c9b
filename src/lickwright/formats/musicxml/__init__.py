"""How is a Score said in MusicXML 4.0, and which line does a MusicXML file hold?

Nouns:

* :class:`Wanted`: which line is wanted, and for which hands.
"""

from __future__ import annotations

from lickwright.formats.musicxml.note_writing import note_id
from lickwright.formats.musicxml.reading import ANY_LINE, Wanted, load_musicxml
from lickwright.formats.musicxml.writing import musicxml, score_element

__all__ = [
    "ANY_LINE",
    "Wanted",
    "load_musicxml",
    "musicxml",
    "note_id",
    "score_element",
]
