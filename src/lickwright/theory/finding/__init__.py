"""Which triads imply a wanted chord, lie in a scale, or change under another bass?

Nouns:

* :class:`ChordPair`: two triads over a chord that the band sounds.
* :class:`ScalePair`: two triads of a scale.
* :class:`TriadGroup`: two or three triads that imply the wanted chord.
"""

from __future__ import annotations

from lickwright.theory.finding.basses import over_every_bass
from lickwright.theory.finding.chord_scales import chord_scales
from lickwright.theory.finding.hexatonics import ScalePair, pairs_in, triads_in
from lickwright.theory.finding.over_chord import ChordPair, pairs_over
from lickwright.theory.finding.pairs import TriadGroup, pairs_for

__all__ = [
    "ChordPair",
    "ScalePair",
    "TriadGroup",
    "chord_scales",
    "over_every_bass",
    "pairs_for",
    "pairs_in",
    "pairs_over",
    "triads_in",
]
