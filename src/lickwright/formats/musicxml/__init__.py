"""How is a Score said in MusicXML 4.0?"""

from __future__ import annotations

from lickwright.formats.musicxml.chord_kinds import KIND_VALUES, musicxml_harmony
from lickwright.formats.musicxml.note_writing import note_id
from lickwright.formats.musicxml.writing import musicxml, score_element

__all__ = [
    "KIND_VALUES",
    "musicxml",
    "musicxml_harmony",
    "note_id",
    "score_element",
]
