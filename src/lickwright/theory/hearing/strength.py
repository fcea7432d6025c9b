"""How surely is a chord heard over a bass?

A strength is a sum of points out of 100, and every part of it is a :class:`HeardTerm` with its
words.

========== ======= ==========================================================================
term       points  what it rests on
========== ======= ==========================================================================
support    0..30   Parncutt's root support, beside the best supported root over this bass
                   (:mod:`lickwright.theory.hearing.salience`)
bass       0..28   the root in the bass, a chord tone in the bass, or a bass outside the chord
guides     0..20   the third and the seventh tell a chord's kind; a fourth stands in for the
                   third, a sixth for the seventh, and a full triad needs no seventh
plainness  ..22    how far the name is from a plain chord (:mod:`lickwright.theory.hearing.naming`)
missing    ..0     tones that the symbol says and that do not sound
clashes    ..0     tensions a semitone above a chord tone where the chord cannot carry them
beside     ..0     tones that do not fit the symbol and are listed beside it
========== ======= ==========================================================================

The first term is published; the others are common practice, no source, and so are their weights,
which were set on the table of a trained player's readings that the tests carry.

A *clash* is an avoid note: a natural 11 against a major third, a b9 outside dominant,
half-diminished and suspended chords, a b13 against a perfect fifth outside dominants.

A symbol never contradicts itself: no two thirds outside dominants, no two sevenths or fifths, no 13
over a raised fifth.  The tone that does not fit stands *beside* it, and a seventh chord that sounds
whole on its root in the bass is always heard as itself, with what is foreign beside it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from itertools import combinations

from lickwright.theory.hearing.naming import VOCABULARY_ROWS, Naming, is_grip, name_on_root
from lickwright.theory.hearing.salience import root_share
from lickwright.theory.pitch import mask_of, pitch_classes, rotate_mask

SUPPORT_POINTS = 30.0
#: The third, or what stands in for it.
GUIDE_POINTS = {"3": 12.0, "b3": 12.0, "4": 9.0, "2": 3.0}
#: A seventh or sixth, or a full triad by itself; less for a triad with an added tone.
SEVENTH_POINTS = 8.0
ADDED_TRIAD_POINTS = 5.0
#: What the name is worth at no distance from a plain chord, and what each step away costs.
PLAIN_POINTS, DISTANCE_POINTS = 22.0, 2.0
#: By the degree of the bass; a tension in the bass is worth nothing.
BASS_POINTS = {
    "1": 28.0,
    "3": 14.0,
    "b3": 14.0,
    "5": 12.0,
    "b5": 12.0,
    "#5": 12.0,
    "b7": 12.0,
    "7": 12.0,
    "bb7": 12.0,
    "6": 6.0,
    "4": 6.0,
    "2": 4.0,
}
FOREIGN_BASS_POINTS = 6.0
TURNED_SIXTH_POINTS = 4.0
MISSING_POINTS = {"1": -14.0, "5": -1.0, "9": -1.0, "11": -1.0}
MISSING_UNDER_B13_POINTS = -12.0
#: A chord turned over is less sure of itself: what it misses counts so many times.
TURNED_MISSING_FACTOR = 3.0
CLASH_POINTS = -6.0
BESIDE_POINTS = -12.0
#: More tones beside a symbol than this are another chord.
MOST_BESIDE = 3

_SEVENTHS = frozenset({"b7", "7", "bb7", "6"})
_FIFTHS = frozenset({"5", "b5", "#5"})


@dataclass(frozen=True, slots=True)
class HeardTerm:
    """One part of a strength: its name, its points and what they mean."""

    name: str
    points: float
    words: str

    def __str__(self) -> str:
        return f"{self.name} {self.points:+.0f}: {self.words}"


@dataclass(frozen=True, slots=True)
class Heard:
    """One way to hear a mask over its bass.

    Parameters
    ----------
    root : semitones from the bass up to the root.
    naming : the chord; it does not hold the bass where ``foreign``.
    foreign : whether the bass stands outside the chord, as in F/G.
    clashes : tensions the chord cannot carry.
    terms : the parts of the strength.
    points : their sum, 0 to 100.
    beside : sounding degrees that the symbol does not hold, ascending.
    """

    root: int
    naming: Naming
    foreign: bool
    clashes: tuple[str, ...]
    terms: tuple[HeardTerm, ...]
    points: float
    beside: tuple[str, ...] = ()

    @property
    def bass_degree(self) -> str:
        """The degree of a bass inside the chord, ``""`` where it is foreign."""
        return "" if self.foreign else self.naming.by_semitones[-self.root % 12]


@cache
def hear(mask: int) -> tuple[Heard, ...]:
    """Every common name for what sounds, the surest first; empty where there is none.

    Parameters
    ----------
    mask : 12-bit, relative to the bass, which sounds (bit 0 is set).

    Returns
    -------
    tuple of Heard
        Each with its root in semitones above the bass, and its points.

    Examples
    --------
    >>> [(way.root, way.naming.kind.suffix) for way in hear(0b10010001)]
    [(0, ''), (9, 'm7'), (8, 'maj7#5'), (1, 'dim(maj7)'), (4, 'm(no5)'), (7, '6sus4(no5)')]
    """
    ways = [way for root in range(12) for way in _on_root(mask, root)]
    ways.sort(key=lambda way: (-way.points, way.root, way.foreign))
    return tuple(ways)


def _on_root(mask: int, root: int) -> list[Heard]:
    """At most one way on each root: a symbol for all that sounds, or one with tones beside it."""
    whole = _wholly(mask, root)
    ways = [way for way in whole if not contradicts(way.naming)]
    if ways or not mask >> root & 1:
        return ways
    over_root = rotate_mask(mask, -root)
    whole_seventh = root == 0 and any(not tones & ~over_root for tones in _WHOLE_SEVENTHS)
    if whole_seventh or whole:
        return _with_beside(mask, root)
    return []


def contradicts(naming: Naming) -> bool:
    """Whether a symbol would say two things that exclude each other.

    What has a row of its own in the vocabulary may say what it likes, but for a 13 over a #5.
    """
    said = {*naming.kind.degrees, *naming.degrees}
    if {"13", "#5"} <= said:
        return True
    return naming.kind not in VOCABULARY_ROWS and (
        ({"3", "#9"} <= said and "b7" not in said)
        or ({"9"} <= said and bool(said & {"b9", "#9"}))
        or len(said & {"b7", "7"}) > 1
    )


#: Sevenths as masks over their root: 7, maj7, m7, m7b5, dim7, m(maj7).
_WHOLE_SEVENTHS = tuple(
    mask_of(tones)
    for tones in (
        (0, 4, 7, 10),
        (0, 4, 7, 11),
        (0, 3, 7, 10),
        (0, 3, 6, 10),
        (0, 3, 6, 9),
        (0, 3, 7, 11),
    )
)
_BESIDE_DEGREES = ("1", "b9", "9", "b3", "3", "11", "#11", "5", "b13", "13", "b7", "7")


def _with_beside(mask: int, root: int) -> list[Heard]:
    """The plainest symbol for most of what sounds, the fewest tones beside it."""
    over_root = rotate_mask(mask, -root)
    bass = -root % 12
    loose = [at for at in pitch_classes(over_root) if at not in (0, bass)]
    for count in range(1, min(len(loose), MOST_BESIDE) + 1):
        found: list[tuple[float, tuple[int, ...], Naming]] = []
        for dropped in combinations(loose, count):
            naming = name_on_root(over_root & ~mask_of(dropped))
            if (
                naming is not None
                and naming.distance is not None
                and not naming.missing
                and naming.by_semitones[bass] in BASS_POINTS
                and not contradicts(naming)
            ):
                found.append((naming.distance, dropped, naming))
        if found:
            distance, dropped, naming = min(
                found, key=lambda each: (each[0], tuple(-at for at in each[1]))
            )
            names = tuple(_beside_degree(at, naming) for at in dropped)
            return [_weigh(mask, root, naming, distance, foreign=False, beside=names)]
    return []


def _beside_degree(at: int, naming: Naming) -> str:
    if at == 3 and {"3", "b7"} <= set(naming.degrees):
        return "#9"
    if at == 8 and "5" not in naming.degrees:
        return "#5"
    return _BESIDE_DEGREES[at]


def _wholly(mask: int, root: int) -> list[Heard]:
    """At most one way: the bass is a tone of the chord, or it stands outside."""
    over_root = rotate_mask(mask, -root)
    bass = -root % 12
    whole = name_on_root(over_root)
    if whole is not None and whole.distance is not None and whole.by_semitones[bass] in BASS_POINTS:
        return [_weigh(mask, root, whole, whole.distance, foreign=False)]
    if not over_root & 1:
        return []
    upper = name_on_root(over_root & ~(1 << bass))
    if upper is None or upper.distance is None:
        return []
    if not upper.kind.mask >> bass & 1:
        return [_weigh(mask, root, upper, upper.distance, foreign=True)]
    # The symbol says the bass's tone (the 9 of an 11), so the bass is a tension of the chord.
    if whole is not None and whole.distance is not None:
        return [_weigh(mask, root, whole, whole.distance, foreign=False)]
    return []


def _weigh(
    mask: int,
    root: int,
    naming: Naming,
    distance: float,
    *,
    foreign: bool,
    beside: tuple[str, ...] = (),
) -> Heard:
    clashes = _clashes(naming)
    terms = (
        _support(mask, root),
        _bass(naming, root, foreign),
        _guides(naming),
        _plainness(naming, distance),
        *_missing(naming, turned=bool(root) and not foreign),
        *(HeardTerm("clashes", CLASH_POINTS, words) for words in clashes),
        *(HeardTerm("beside", BESIDE_POINTS, f"the {name} stands beside it") for name in beside),
    )
    points = max(0.0, min(100.0, sum(term.points for term in terms)))
    return Heard(root, naming, foreign, clashes, terms, points, beside)


def _support(mask: int, root: int) -> HeardTerm:
    share = root_share(mask, root)
    words = (
        "the best supported root of all that sounds"
        if share == 1.0
        else f"the root has {share:.0%} of the support of the best supported one"
    )
    return HeardTerm("support", SUPPORT_POINTS * share, words)


def _bass(naming: Naming, root: int, foreign: bool) -> HeardTerm:
    if foreign and is_grip(naming):
        return HeardTerm("bass", FOREIGN_BASS_POINTS, "the bass stands outside the chord")
    if foreign:
        return HeardTerm(
            "bass", 0.0, "the bass stands outside a chord that is already full of colour"
        )
    degree = naming.by_semitones[-root % 12]
    if degree != "1" and "6" in naming.kind.degrees:
        # Turned over, C6 is called Am7 and Dm6 is called Bm7b5: sixth chords stand on their root.
        return HeardTerm(
            "bass", TURNED_SIXTH_POINTS, f"a sixth chord turned over, the {degree} in the bass"
        )
    words = "the root is in the bass" if degree == "1" else f"the {degree} is in the bass"
    return HeardTerm("bass", BASS_POINTS.get(degree, 0.0), words)


def _guides(naming: Naming) -> HeardTerm:
    degrees = set(naming.degrees)
    thirds = [name for name in GUIDE_POINTS if name in degrees]
    sevenths = sorted(degrees & _SEVENTHS)
    third_points = max((GUIDE_POINTS[name] for name in thirds), default=0.0)
    full_triad = bool(thirds and degrees & _FIFTHS and not sevenths)
    points = third_points
    if sevenths:
        points += SEVENTH_POINTS
    elif full_triad:
        points += ADDED_TRIAD_POINTS if naming.tensions else SEVENTH_POINTS
    if sevenths:
        words = f"{' and '.join([*thirds[:1], *sevenths])} sound"
    elif full_triad:
        words = f"{thirds[0]} and the fifth sound: a full triad"
    else:
        words = f"{thirds[0]} sounds, no seventh" if thirds else "neither third nor seventh sounds"
    return HeardTerm("guides", points, words)


def _plainness(naming: Naming, distance: float) -> HeardTerm:
    if distance == 0:
        words = "a plain chord"
    elif naming.tensions:
        words = f"coloured by {' '.join(naming.tensions)}"
    else:
        words = "not the plainest of chords"
    return HeardTerm("plainness", PLAIN_POINTS - DISTANCE_POINTS * distance, words)


def _missing(naming: Naming, *, turned: bool) -> list[HeardTerm]:
    terms = []
    for name in naming.missing:
        points = MISSING_POINTS[name]
        words = "the root does not sound" if name == "1" else f"the {name} does not sound"
        if name == "5" and "b3" in naming.degrees and "b13" in naming.degrees:
            # A minor third and a minor sixth without a fifth are a major triad turned over.
            points, words = MISSING_UNDER_B13_POINTS, "the 5 below the b13 does not sound"
        elif turned and name != "1":
            points *= TURNED_MISSING_FACTOR
        terms.append(HeardTerm("missing", points, words))
    return terms


def _clashes(naming: Naming) -> tuple[str, ...]:
    degrees = set(naming.degrees)
    dominant = "b7" in degrees and ("3" in degrees or "4" in degrees)
    half_diminished = {"b3", "b5", "b7"} <= degrees
    clashes = []
    if {"3", "11"} <= degrees:
        clashes.append("11 against 3")
    if "b9" in degrees and not dominant and not half_diminished:
        clashes.append("b9 against 1")
    if "5" in degrees and not dominant:
        clashes.extend(f"{high} against 5" for high in ("b13", "b6") if high in degrees)
    return tuple(clashes)
