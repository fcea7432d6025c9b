"""How is a Score written, before any file format: values, beams, accidentals, octaves?

Nouns:

* :class:`AccidentalBook`: what the reader knows while reading along, per staff step; one book per
  staff.
* :class:`WrittenNote`: one symbol of the page: a note head or a rest.
* :class:`NotatedBar`: a bar as the page shows it; a ``pickup`` leans on its end and carries no
  number.
* :class:`NoteValue`: a written value: ``plain`` quarter notes long, half as long again when dotted.
* :class:`PrintedTempo`: a tempo mark: the value that is counted, and how many a minute
  (``66–112``).
* :class:`WrittenScore`: a Score with its written layer.
"""

from __future__ import annotations

from lickwright.score.notation.accents import meter
from lickwright.score.notation.accidentals import AccidentalBook
from lickwright.score.notation.bars import NotatedBar, WrittenNote
from lickwright.score.notation.legato import Run, runs_at
from lickwright.score.notation.tempo import PrintedTempo, printed_tempo, tempo_number
from lickwright.score.notation.values import NoteValue, value_of
from lickwright.score.notation.written import WrittenScore, write

__all__ = [
    "AccidentalBook",
    "NotatedBar",
    "NoteValue",
    "PrintedTempo",
    "Run",
    "WrittenNote",
    "WrittenScore",
    "meter",
    "printed_tempo",
    "runs_at",
    "tempo_number",
    "value_of",
    "write",
]
