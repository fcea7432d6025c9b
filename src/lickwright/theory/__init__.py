"""Floor 0: spelled pitch, interval, key, scale, triad, chord.

Nouns:

* :class:`Chord`: a chord on a spelled root.
* :class:`Key`: a tonic and a mode, such as D dorian.
* :class:`NoteName`: a letter with its accidentals; ``alter`` is +1 for each sharp, -1 for each
  flat.
* :class:`Pitch`: a note name in an octave.
* :class:`Scale`: a scale, free of any tonic.
* :class:`TriadQuality`: quality, by the suffix that the house prints after the root.
* :class:`Triad`: three notes on a root.
"""

from __future__ import annotations

from lickwright.theory.chord import Chord, chord_from_degrees, parse_chord
from lickwright.theory.degree import (
    MAJOR_SEMITONES,
    PLAIN_DEGREES,
    as_tension,
    degree_alter,
    degree_between,
    degree_note,
    degree_number,
    degree_semitones,
    engraved_degree,
    stacked,
)
from lickwright.theory.interval import interval_between
from lickwright.theory.key import Key, parse_key
from lickwright.theory.pitch import (
    LETTERS,
    NoteName,
    Pitch,
    mask_of,
    name_above,
    parse_note_name,
    parse_pitch,
    pitch_classes,
    pitch_from_midi,
    rotate_mask,
)
from lickwright.theory.scales import DIATONIC_FIFTHS, LINE_FAMILIES, SCALES, Scale, find_scale
from lickwright.theory.spelling import spell, spell_root
from lickwright.theory.triad import TRIAD_TONES, Triad, TriadQuality, parse_triad

__all__ = [
    "DIATONIC_FIFTHS",
    "LETTERS",
    "LINE_FAMILIES",
    "MAJOR_SEMITONES",
    "PLAIN_DEGREES",
    "SCALES",
    "TRIAD_TONES",
    "Chord",
    "Key",
    "NoteName",
    "Pitch",
    "Scale",
    "Triad",
    "TriadQuality",
    "as_tension",
    "chord_from_degrees",
    "degree_alter",
    "degree_between",
    "degree_note",
    "degree_number",
    "degree_semitones",
    "engraved_degree",
    "find_scale",
    "interval_between",
    "mask_of",
    "name_above",
    "parse_chord",
    "parse_key",
    "parse_note_name",
    "parse_pitch",
    "parse_triad",
    "pitch_classes",
    "pitch_from_midi",
    "rotate_mask",
    "spell",
    "spell_root",
    "stacked",
]
