"""Was what was played what is printed?"""

from __future__ import annotations

from lickwright.take.judging.align import SAME_PITCH
from lickwright.take.judging.check import check_take, pitched_notes, take_of_part
from lickwright.take.judging.picture import take_svg
from lickwright.take.judging.tempo_line import fit_tempo
from lickwright.take.judging.words import not_heard, remarks

__all__ = [
    "SAME_PITCH",
    "check_take",
    "fit_tempo",
    "not_heard",
    "pitched_notes",
    "remarks",
    "take_of_part",
    "take_svg",
]
