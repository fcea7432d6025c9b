"""How is a Score written, before any file format: values, beams, accidentals, octaves?

Nouns:

* :class:`AccidentalBook`: what the reader knows while reading along, per staff step; one book per
  staff.
* :class:`Piece`: one symbol of the page: a note head or a rest.
* :class:`WrittenBar`: a bar as the page shows it; a ``pickup`` leans on its end and carries no
  number.
* :class:`Value`: a written value: ``plain`` quarter notes long, half as long again when dotted.
* :class:`WrittenScore`: a Score with its written layer.
"""

from __future__ import annotations

from lickwright.score.notation.accents import meter
from lickwright.score.notation.accidentals import AccidentalBook
from lickwright.score.notation.bars import Piece, WrittenBar
from lickwright.score.notation.values import Value, value_of
from lickwright.score.notation.written import WrittenScore, write

__all__ = [
    "AccidentalBook",
    "Piece",
    "Value",
    "WrittenBar",
    "WrittenScore",
    "meter",
    "value_of",
    "write",
]
