"""Which scales does a chord offer when no key is known, the usual one first?

A chord offers the scales that hold its tones: those of its own row in the table below, in the
order in which players reach for them, then whatever else among the modes holds them.  A fifth
that the symbol lets go does not bind; a third and a seventh do.  Common practice, no source.
"""

from __future__ import annotations

from functools import lru_cache

from lickwright.theory.chord import Chord
from lickwright.theory.degree import degree_semitones
from lickwright.theory.pitch import mask_of
from lickwright.theory.scales import LINE_FAMILIES, SCALES, Scale, find_scale

#: What a chord must hold | what it must not | the scales in the order of use.
_TABLE = """
3 b7 b9 b13   |    | phrygian dominant, altered, half-whole, mixolydian b2
3 b7 #9       | b9 | half-whole, altered
3 b7 b9       |    | half-whole, phrygian dominant, altered, mixolydian b2
3 b7 #5       |    | altered, whole tone, mixolydian b6
3 b7 b13      | b9 | mixolydian b6, altered, phrygian dominant, whole tone
3 b7 #11      |    | lydian dominant, half-whole, whole tone, altered
3 b7 b5       |    | lydian dominant, whole tone, altered, half-whole
3 b7          |    | mixolydian, lydian dominant, altered, half-whole, phrygian dominant, mixolydian b6
3 7 #5        |    | lydian augmented, augmented, ionian #5
3 #5          | b7 | lydian augmented, whole tone, augmented
3 7 #11       |    | lydian, lydian #2
3             |    | major, lydian, mixolydian, lydian dominant, harmonic major
b3 b5 b7      |    | locrian, locrian #2, locrian #6, dorian b5
b3 b5 bb7     |    | whole-half, locrian bb7, altered bb7
b3 b5         | b7 | whole-half, locrian, locrian #2
b3 7          |    | melodic minor, harmonic minor, lydian b3
b3 6          |    | dorian, melodic minor, dorian #4
b3 b7 b9      |    | phrygian, dorian b2
b3 b7 b13     |    | minor, phrygian
b3 b7         |    | dorian, minor, phrygian, dorian #4, dorian b2
b3            |    | dorian, minor, melodic minor, harmonic minor, phrygian
b7 b9         |    | dorian b2, phrygian, phrygian dominant, half-whole
b7            |    | mixolydian, dorian, minor
5             |    | major, mixolydian, dorian
"""  # noqa: E501
_ROWS = tuple(
    (
        frozenset(needs.split()),
        frozenset(lacks.split()),
        tuple(name.strip() for name in scales.split(",")),
    )
    for needs, lacks, scales in (line.split("|") for line in _TABLE.splitlines() if line.strip())
)
_OTHERS = tuple(
    scale
    for scale in SCALES
    if scale.family not in LINE_FAMILIES and len(scale.degrees) >= 6 and scale.family != "blues"
)


@lru_cache(maxsize=512)
def chord_scales(chord: Chord) -> tuple[Scale, ...]:
    """The scales on a chord's root that hold the chord, the usual one first.

    Parameters
    ----------
    chord : any chord; a foreign bass and an upper chord belong to the scale where they can.

    Returns
    -------
    tuple of Scale
        Empty where no scale holds the chord.

    Examples
    --------
    >>> from lickwright.theory.chord import parse_chord
    >>> [scale.name for scale in chord_scales(parse_chord("Cm7b5"))][:2]
    ['locrian', 'locrian #2']
    """
    whole = _bound(chord, {(note.pc - chord.root.pc) % 12 for note in chord.notes})
    own = _bound(chord, {degree_semitones(name) for name in chord.kind.degrees})
    return _holding(chord, whole) or _holding(chord, own)


def _bound(chord: Chord, tones: set[int]) -> int:
    """The tones that a scale must hold: all but the fifth where the symbol lets it go."""
    return mask_of(tones - ({7} if "5" in chord.kind.optional else set()))


def _holding(chord: Chord, tones: int) -> tuple[Scale, ...]:
    degrees = set(chord.kind.degrees)
    usual = next((row[2] for row in _ROWS if row[0] <= degrees and not row[1] & degrees), ())
    named = [find_scale(name) for name in usual]
    others = [scale for scale in _OTHERS if scale not in named and _same_third(chord, scale)]
    return tuple(scale for scale in (*named, *others) if not tones & ~scale.mask)


def _same_third(chord: Chord, scale: Scale) -> bool:
    """Whether the chord's third is the scale's third, not its #2 or b4."""
    third = next((name for name in ("3", "b3") if name in chord.kind.degrees), "")
    return not third or third in scale.degrees
